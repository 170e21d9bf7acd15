"""How the pages say things: quantities in the household's units, days, bands, sentences."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from markupsafe import Markup, escape

from ullage.draw.expected import days_text, hour_known, sure_text
from ullage.draw.theme import day_text
from ullage.plan.answers import Band, CarbonationAnswer, Method, Schedule
from ullage.plan.forecast import Forecast
from ullage.plan.spoken import part
from ullage.units import Kind, UnitSystem, format_quantity

WEEKDAYS: Final = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A bit of a sentence. A `setting` is what the hand can change and stands out; a `number`
    is set in the figures' type."""

    text: str
    role: Literal["words", "setting", "number"] = "words"


Sentence = tuple[Piece, ...]

BY_HAND: Final[tuple[Method, ...]] = ("shake", "stone")
"""Those of them that want more of the hand than a pressure set, so their title is said first."""
ON_GAS: Final[tuple[Method, ...]] = ("hold", "burst", "shake", "stone")
"""The ways that come down to what the regulator is set to."""


def long_day(when: datetime, beside: datetime | None = None) -> str:
    """Write a day in full, "Friday 4 December"; its year where it is not that of `beside`."""
    year = "" if beside is None or beside.year == when.year else f" {when.year}"
    return f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]}{year}"


def moment(when: datetime, beside: datetime | None = None) -> str:
    """Write a day with its time, "Fri 4 Dec, 18:00"; its year where it is not that of `beside`."""
    return f"{day_text(when, beside)}, {when:%H:%M}"


def full_date(when: datetime) -> str:
    """Write a date as a title block does: "2026-12-04 18:00"."""
    return f"{when:%Y-%m-%d %H:%M}"


def band_text(band: Band, kind: Kind, units: UnitSystem) -> str:
    """Write a band as a range, its unit once: "6.6 to 8.5 s"."""
    low, high = (format_quantity(value, kind, units) for value in (band.low, band.high))
    return range_text(low, high)


def range_text(low: str, high: str) -> str:
    """Join two texts with "to"; a unit that both bear is written once.

    >>> range_text("6.6 s", "8.5 s"), range_text("11 in", "1.2 ft")
    ('6.6 to 8.5 s', '11 in to 1.2 ft')
    """
    number, _, unit = low.partition(" ")
    if low == high:
        return low
    return f"{number} to {high}" if high.partition(" ")[2] == unit else f"{low} to {high}"


def plain_band(band: Band, places: int = 1) -> str:
    """Write the band of a count: "6.4 to 8.8"."""
    return range_text(f"{band.low:.{places}f}", f"{band.high:.{places}f}")


def ready_text(schedule: Schedule) -> str:
    """Say when a schedule gets there, and between which days with 80 % confidence."""
    if schedule.ready_at is None:
        return "not ready in the time looked at"
    if schedule.ready_at <= schedule.course[0].at:
        return "ready now"
    when = Forecast(schedule.ready_at, schedule.ready_early, schedule.ready_late)
    say = moment if hour_known(when) else day_text
    text = f"ready {say(schedule.ready_at, schedule.course[0].at)}"
    between = _between(schedule)
    text += f" ({sure_text(between)})" if between else ""
    return text + (", too late" if schedule.makes_date is False else "")


def _between(schedule: Schedule) -> str:
    """Between which days, or between which hours of one."""
    early, late = schedule.ready_early, schedule.ready_late
    if early and late and early < late and early.date() == late.date():
        return f"{early:%H:%M} to {late:%H:%M} that day"
    return days_text(Forecast(schedule.ready_at, early, late), schedule.course[0].at)


def advised_schedule(answer: CarbonationAnswer) -> Schedule | None:
    """Give the schedule that the answer advises, if any."""
    return next((one for one in answer.schedules if one.method == answer.advised), None)


def carbonation_sentence(answer: CarbonationAnswer, units: UnitSystem) -> Sentence:
    """Say what to set and when the beer is ready: the first thing on the sheet."""
    advised = advised_schedule(answer)
    if advised is None:
        return _holding_sentence(answer, units)
    pieces = [*_settings(advised, units)]
    if advised.ready_at is None:
        return (*pieces, Piece(f"; the {answer.beer} does not get there in the time looked at."))
    if advised.ready_at <= advised.course[0].at:
        return (*pieces, Piece(f"; the {answer.beer} is ready now."))
    day = long_day(advised.ready_at, advised.course[0].at)
    return (*pieces, Piece(f"; the {answer.beer} is ready on "), Piece(day), Piece("."))


def _settings(schedule: Schedule, units: UnitSystem) -> list[Piece]:
    """Say the pressures in their order, each from its time on; without the gas on, the way."""
    if schedule.method not in ON_GAS:
        return [Piece(schedule.title)]
    changes: list[tuple[datetime, str]] = []
    for step in schedule.steps:
        if step.gauge_pressure_pa is None:
            continue
        text = format_quantity(step.gauge_pressure_pa, Kind.PRESSURE, units)
        if not changes or changes[-1][1] != text:
            changes.append((step.at, text))
    pieces: list[Piece] = []
    begin = f"{schedule.title}: set " if schedule.method in BY_HAND else "Set "
    for i, (at, text) in enumerate(changes):
        pieces += [Piece(", then " if i else begin), Piece(text, "setting")]
        pieces += [Piece(f" from {moment(at, schedule.course[0].at)}")] if i else []
    return pieces or [Piece("Leave the pressure as it is")]


def _holding_sentence(answer: CarbonationAnswer, units: UnitSystem) -> Sentence:
    setting = format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units)
    level = format_quantity(answer.target_vol, Kind.CARBONATION, units)
    if answer.gauge_pressure_pa.value < 0:
        return (Piece(f"No pressure holds the {answer.beer} at {level}: serve it warmer."),)
    if any(one.level == "danger" for one in answer.cautions):
        text = (
            f"Do not set {setting}, which would hold the {answer.beer} at {level}: it lies above "
        )
        return (Piece(f"{text}the lowest rating in its chain."),)
    reason = "" if not answer.schedules else "; no schedule here gets it there by itself"
    return (
        Piece(setting, "setting"),
        Piece(f" holds the {answer.beer} at {level}{reason}."),
    )


def co2(text: str) -> Markup:
    """Set CO2 with its small 2, whatever else a text holds being escaped."""
    return Markup(re.sub(r"\bCO2\b", "CO<sub>2</sub>", str(escape(text))))  # noqa: S704


def named(where: str) -> str:
    """Where a finding lies, as a person says it, without the quotes of the system file.

    >>> named('keg "K1", tap "left"'), named('regulator "regulator"'), named("the file")
    ('keg K1, tap left', 'regulator', 'the file')
    """
    return ", ".join(_unquoted(one) for one in re.split(r'(?<="), ', where))


def _unquoted(where: str) -> str:
    found = re.fullmatch(r'(.*\b)?(\w+) "(.+)"', where)
    return where if found is None else f"{found[1] or ''}{part(found[2], found[3])}"


def sentence(message: object) -> str:
    """A message, or an error's, as a sentence: with a capital letter and a full stop.

    >>> sentence("give one of the two")
    'Give one of the two.'
    """
    text = str(message)
    whole = text[:1].upper() + text[1:]
    return whole if whole.endswith((".", "!", "?")) else f"{whole}."
