"""Upkeep, its procedures and the room's safety as lines of text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Final

from ullage.draw.log_lines import WIDTH, indented, wrapped
from ullage.draw.procedure_lines import begun_text, resume
from ullage.plan.calendar import titled
from ullage.plan.room import CylinderInRoom, LimitSeen, PressureSeen, Safety
from ullage.plan.spoken import headed, part
from ullage.plan.upkeep import State, Upkeep
from ullage.plan.upkeep_together import Together, together
from ullage.plan.upkeep_under_way import UnderWay, can_go_on, still_to_begin
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

HEADS: Final[dict[State, str]] = {
    "due": "Due now",
    "soon": "Due within a week",
    "unknown": "Not known",
    "waits": "Waiting for a keg to be empty",
    "ahead": "Later",
}
BEGUN: Final = "Half done"

WELL_KNOWN: Final = ("OSHA PEL", "ACGIH STEL", "NIOSH IDLH")
"""The limits that sentences go by; all of them stand in the table."""


def upkeep_lines(answer: Upkeep, begun: Sequence[UnderWay] = (), *, everything: bool) -> list[str]:
    """What is begun and what is due. Without `everything`, what lies ahead is only counted."""
    if not answer.tasks:
        return ["Nothing to keep up yet: begin with ullage record begin FILE."]
    lines = wrapped(sentence(answer, begun))
    tasks = still_to_begin(answer.tasks, begun)
    if begun:
        lines += [
            "",
            BEGUN,
            *(line for one in begun for line in indented(begun_text(one, answer.at), hang=2)),
        ]
    for state, head in HEADS.items():
        found = [task for task in tasks if task.state == state]
        if not found:
            continue
        if state in ("ahead", "waits") and not everything:
            lines += ["", f"{head}: {len(found)} tasks; --all shows them."]
            continue
        lines += ["", head, *(line for one in together(found) for line in _together(one))]
    if answer.switched_off:
        lines += ["", *wrapped(f"Switched off: {', '.join(answer.switched_off)}.")]
    return lines


def sentence(answer: Upkeep, begun: Sequence[UnderWay] = ()) -> str:
    """What to do first, in one sentence: what is half done, else what is due."""
    tasks = still_to_begin(answer.tasks, begun)
    due = [task for task in tasks if task.state == "due"]
    if half_done := can_go_on(begun):
        more = f" ({len(due)} more due)" if due else ""
        return f"Go on with what is half done: {resume(half_done[0])}{more}."
    if due:
        dated = f"due {day(due[0].due_at)}" if due[0].due_at else "last done nobody knows when"
        first = f"{titled(due[0])}, {dated}"
        more = f" ({len(due) - 1} more due)" if len(due) > 1 else ""
        return f"Do now: {first}{more}."
    coming = [task for task in tasks if task.due_at is not None]
    if not coming:
        return "Nothing is due."
    first_one = min(coming, key=lambda task: task.due_at or answer.at)
    return f"Nothing is due. Next: {titled(first_one)}, {day(first_one.due_at)}."


def day(moment: datetime | None) -> str:
    """A day with its year: `9 Dec 2026`."""
    if moment is None:
        return "no day"
    here = moment.astimezone()
    return f"{here.day} {here:%b %Y}"


def safety_lines(answer: Safety, units: UnitSystem) -> list[str]:
    """The room's air, cylinder by cylinder, what to do about it, and pressures above a rating."""
    lines = wrapped(room_sentence(answer, units))
    for one in answer.cylinders:
        lines += ["", *_in_room(one, units)]
    above = [one for one in answer.pressures if one.above]
    lines += ["", *wrapped(pressure_sentence(answer, units))]
    lines += [line for one in above for line in wrapped(f"Danger: {pressure(one, units)}")]
    lines += [line for one in answer.odds for line in wrapped(f"Note: {one}")]
    return lines + [line for text in answer.advice for line in ["", *wrapped(text)]]


def room_sentence(answer: Safety, units: UnitSystem) -> str:
    """What the largest cylinder would do in the room, in one sentence."""
    if not answer.room or not answer.cylinders:
        return "How large the room is, is not told: what a leak would do in it is not known."
    worst = max(answer.cylinders, key=lambda one: one.full_fraction)
    size = room_size(answer.volume_m3 or 0.0, units)
    return (
        f"All of {part('cylinder', worst.cylinder)}, full, let into {answer.room} ({size}), shut: "
        f"{percent(worst.full_fraction)} CO2. {_verdict(worst)}"
    )


def room_size(volume_m3: float, units: UnitSystem) -> str:
    """A room's volume as rooms are measured.

    >>> room_size(45.3, "us"), room_size(45.3, "metric")
    ('1,600 cu ft', '45 m³')
    """
    if units == "metric":
        return f"{volume_m3:,.0f} m³"
    return f"{to_unit(volume_m3, 'cu ft'):,.0f} cu ft"


def highest_passed(fraction: float, limits: Iterable[LimitSeen]) -> LimitSeen | None:
    """The highest of the limits that people know by name which a share of the air is above."""
    known = [one for one in limits if one.name in WELL_KNOWN and fraction > one.fraction]
    return max(known, key=lambda one: one.fraction, default=None)


def _verdict(one: CylinderInRoom) -> str:
    worst = highest_passed(one.full_fraction, one.limits)
    if worst is None:
        return "That is below every published limit for the room as a whole."
    if worst.name == "NIOSH IDLH":
        return f"That is {worst.meaning} ({worst.name}, above {ppm(worst.fraction)})."
    return f"That is above {worst.name}, {ppm(worst.fraction)}: {worst.meaning}."


def pressure_sentence(answer: Safety, units: UnitSystem) -> str:
    """Whether every pressure that is set or planned lies below the lowest rating of its chain."""
    if not answer.pressures:
        return "No pressure is set or planned."
    above = sum(one.above for one in answer.pressures)
    if above:
        return f"{above} of {len(answer.pressures)} pressures lie above a rating: do not set them."
    nearest = max(answer.pressures, key=lambda one: one.gauge_pressure_pa / one.rating_gauge_pa)
    return (
        f"All {len(answer.pressures)} pressures that are set or planned lie below the lowest "
        f"rating in their chain; nearest: {pressure(nearest, units)}"
    )


def pressure(one: PressureSeen, units: UnitSystem) -> str:
    """A pressure against its rating: `keg K1: regulator is set to 11 psi, rated 50 psi.`"""
    gauge, rating = (
        format_quantity(each, Kind.PRESSURE, units)
        for each in (one.gauge_pressure_pa, one.rating_gauge_pa)
    )
    when = f" on {day(one.at)}" if one.at else ""
    return f"{part('keg', one.keg)}: {one.what} {gauge}{when}, rated {rating}."


def percent(fraction: float) -> str:
    """A share of the air in per cent."""
    return f"{100 * fraction:.2g} %"


def ppm(fraction: float) -> str:
    """A share of the air in parts per million, rounded to what is worth reading."""
    return f"{round(1e6 * fraction, -2):,.0f} ppm"


def duration(seconds: float) -> str:
    """A time in hours or days, in words."""
    hours = round(seconds / 3600)
    if hours < 48:
        return f"{hours} hour{'' if hours == 1 else 's'}"
    return f"{round(hours / 24)} days"


def _in_room(one: CylinderInRoom, units: UnitSystem) -> Iterator[str]:
    held = format_quantity(one.held_kg, Kind.MASS, units)
    yield f"{headed('cylinder', one.cylinder)}, {held} in it now"
    yield f"  at once, room shut, as it is now  {ppm(one.shut_fraction):>12}"
    yield f"  at once, room shut, when full     {ppm(one.full_fraction):>12}"
    for each in one.emptyings:
        yield f"  full, emptying over {duration(each.time_s):<8} aired {ppm(each.fraction):>12}"
    for limit in one.limits:
        yield f"  {limit.name:<11}{ppm(limit.fraction):>11}  {limit.meaning}"


def _together(one: Together) -> list[str]:
    """A task in a line; several of one part below its name."""
    when = f"{day(one.first.due_at)}: " if one.first.due_at else ""
    if len(one.tasks) == 1:
        return indented(f"{when}{titled(one.first)} ({one.because})", hang=2)
    shared = f" ({one.because})" if one.because else ""
    found = indented(f"{when}{one.about}{shared}", hang=2)
    for task in one.tasks:
        own = "" if shared else f" ({task.because})"
        found += textwrap.wrap(
            f"{task.title}{own}", WIDTH, initial_indent="    ", subsequent_indent="      "
        )
    return found
