"""What is said of a keg: how it stands, what to do next, when it is ready and when it is kicked."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from ullage.draw.expected import days_text, sure_text
from ullage.draw.theme import day_text
from ullage.plan.answers import CarbonationAnswer
from ullage.plan.forecast import Forecast
from ullage.plan.spoken import headed
from ullage.plan.status import KegStatus
from ullage.plan.sugar_left import sugar_gauge, valve_at, valve_by
from ullage.plan.to_come import WaitingStep, setting_of
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.keg_data import KegData
from ullage.web.views import Fact
from ullage.web.wording import Piece, Sentence

SAME_PA: Final = 1_000.0
"""Two settings of a regulator nearer than this, a seventh of a psi, are the same to the eye."""
LONGEST_STEP: Final = 160
SHORT_STEP: Final = 90
"""Letters of a step's words in a sentence and in a table; the whole stands at the plan."""


def level_word(keg: KegStatus) -> str:
    """How the carbonation lies to what is wanted: the band counts.

    "as wanted", "too low", "probably too low", "too high" and so on; "" where nothing is wanted.
    """
    level = keg.level_vol
    if keg.target_vol is None or keg.tolerance_vol is None:
        return ""
    low, high = keg.target_vol - keg.tolerance_vol, keg.target_vol + keg.tolerance_vol
    if low <= level.value <= high:
        return "as wanted"
    side = "low" if level.value < low else "high"
    sure = level.high < low if side == "low" else level.low > high
    return f"too {side}" if sure else f"probably too {side}"


def level_text(keg: KegStatus, units: UnitSystem) -> str:
    """The carbonation with its band: "2.34 vol (2.21 to 2.40 vol)"."""
    value = format_quantity(keg.level_vol.value, Kind.CARBONATION, units)
    spread = wording.band_text(keg.level_vol, Kind.CARBONATION, units)
    return value if spread == value else f"{value} ({spread})"


def wanted_text(keg: KegStatus, units: UnitSystem) -> str:
    """What is wanted, as a range: "2.3 to 2.7 vol"; "" where nothing is."""
    if keg.target_vol is None or keg.tolerance_vol is None:
        return ""
    low, high = keg.target_vol - keg.tolerance_vol, keg.target_vol + keg.tolerance_vol
    ends = (format_quantity(one, Kind.CARBONATION, units) for one in (low, high))
    return wording.range_text(*ends)


def forecast_text(found: Forecast, now: datetime) -> str:
    """A forecast with the days that bound it, or why there is none."""
    if found.at is None:
        return found.words
    between = days_text(found, now)
    day = day_text(found.at, now)
    return f"{day} ({between})" if between else day


def forecast_fact(name: str, found: Forecast, now: datetime, learnt: str = "") -> Fact:
    """A forecast as a fact: its day, and between which days it is 80 % sure, or why none."""
    if found.at is None:
        return Fact(name, "–", found.words)
    sure = sure_text(days_text(found, now)) or "80 % sure: that day"
    return Fact(name, day_text(found.at, now), f"{sure}; {learnt}" if learnt else sure)


def ready_text(keg: KegData, now: datetime) -> str:
    """When it is ready: "now", a day, or why that cannot be told."""
    if keg.ahead is None:
        return ""
    return "now" if keg.ahead.is_ready else forecast_text(keg.ahead.ready, now)


def next_text(keg: KegData, now: datetime, units: UnitSystem) -> str:
    """The next planned step in a few words; "" where none waits."""
    if not keg.steps:
        return ""
    step = keg.steps[0]
    said = "Now" if step.when == "due" else wording.moment(step.at.astimezone(), now)
    short = _short(step.do, SHORT_STEP)
    setting = setting_of(short, step.gauge_pressure_pa, units)
    return f"{said}: {short} Set {setting}." if setting else f"{said}: {short}"


def lead(
    keg: KegData,
    is_full: bool,
    answer: CarbonationAnswer | None,
    now: datetime,
    units: UnitSystem,
) -> Sentence:
    """How the keg stands and what to do next, with the number to set."""
    if not is_full:
        return (Piece("It is empty: clean it, sanitise it and fill it."),)
    stands = _stands(keg.status, units)
    if (bars := _barred(keg.status, units)) is not None:
        return (*stands, *bars)
    if keg.steps:
        return (*stands, *_step(keg.steps[0], now, units), *_then(keg, now))
    if answer is None:
        return (*stands, Piece("."))
    if _is_set(keg.status, answer):
        return (*stands, *_leave(keg, answer, now, units))
    return (*stands, Piece(". "), *wording.carbonation_sentence(answer, units))


def _barred(keg: KegStatus, units: UnitSystem) -> tuple[Piece, ...] | None:
    """What comes before any setting: sugar that leads past its level, or a cylinder run dry."""
    if keg.sugar is not None:
        leads = format_quantity(keg.sugar.level_vol, Kind.CARBONATION, units)
        text = f", {sugar_gauge(keg.sugar, units)}: put a spunding valve on"
        at = valve_at(keg, units) if keg.ferments else ""
        when = f" {valve_by(keg.ferments)}{at}."
        return (Piece(". The sugar in it leads to "), Piece(leads, "number"), Piece(text + when))
    if keg.dry_cylinder is not None:
        return (Piece(f". {headed('cylinder', keg.dry_cylinder)} is empty: it gets no gas."),)
    return None


def _is_set(keg: KegStatus, answer: CarbonationAnswer) -> bool:
    """Whether the gas is on already as the advised way would have it."""
    if answer.advised != "hold" or keg.supply_gauge_pa is None:
        return False
    return abs(keg.supply_gauge_pa - answer.gauge_pressure_pa.value) < SAME_PA


def _leave(
    keg: KegData, answer: CarbonationAnswer, now: datetime, units: UnitSystem
) -> tuple[Piece, ...]:
    setting = format_quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units)
    pieces = (Piece(". Leave the gas at "), Piece(setting, "setting"), Piece("."))
    return (*pieces, *_then(keg, now))


def _stands(keg: KegStatus, units: UnitSystem) -> tuple[Piece, ...]:
    level = format_quantity(keg.level_vol.value, Kind.CARBONATION, units)
    pieces = [Piece(f"{keg.batch} holds "), Piece(level, "number")]
    if keg.target_vol is None:
        return (*pieces, Piece(" of CO2"))
    wanted = format_quantity(keg.target_vol, Kind.CARBONATION, units)
    pieces += [Piece(" of the "), Piece(wanted, "number"), Piece(" wanted")]
    if (word := level_word(keg)) == "as wanted":
        pieces.append(Piece(", near enough"))
    elif "probably" in word:
        pieces.append(Piece(f", {word}"))
    return tuple(pieces)


def _step(step: WaitingStep, now: datetime, units: UnitSystem) -> tuple[Piece, ...]:
    if step.when == "missed":
        begin = f". A step was missed on {wording.moment(step.at.astimezone(), now)}: "
        return (Piece(f"{begin}{_short(step.do)} Do it now if it still fits, or plan anew."),)
    when = "Now" if step.when == "due" else f"On {wording.moment(step.at.astimezone(), now)}"
    pieces = [Piece(f". {when}: {_short(step.do)}")]
    if setting := setting_of(_short(step.do), step.gauge_pressure_pa, units):
        pieces += [Piece(" Set "), Piece(setting, "setting"), Piece(".")]
    return tuple(pieces)


def _then(keg: KegData, now: datetime) -> tuple[Piece, ...]:
    if keg.ahead is None or keg.ahead.ready.at is None or keg.ahead.is_ready:
        return ()
    day = wording.long_day(keg.ahead.ready.at.astimezone(), now)
    return (Piece(f" Ready on {day}."),)


def _short(text: str, longest: int = LONGEST_STEP) -> str:
    """A step's words as one sentence that ends, cut where they are long."""
    whole = text if text.endswith((".", "!", "?")) else f"{text}."
    return whole if len(whole) <= longest else f"{whole[:longest].rsplit(' ', 1)[0]} …"
