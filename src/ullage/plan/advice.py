"""What to do next, from how the cellar stands: the most pressing first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, Literal

from ullage.plan import cautions
from ullage.plan.repeats import told_of_each
from ullage.plan.spoken import by_number, date_text, ended, headed, part, since
from ullage.plan.status_answer import Advice, CylinderStatus, KegStatus, NextStep
from ullage.plan.status_limits import NEAR_RATING, rated, unopened
from ullage.plan.suction import below_air
from ullage.plan.sugar_left import keeps_at, no_more_at, of_sugar
from ullage.plan.upkeep import Task
from ullage.system import parts
from ullage.units import Kind, UnitSystem, format_quantity

NEARLY_EMPTY: Final = 0.15
"""Beer left over a usual fill, below which it is time to think of the next batch."""
SAME_PA: Final = 2_000.0
"""A regulator that is nearer than this, a third of a psi, to what keeps the level is set to it."""
LOW_CYLINDER: Final = 0.15
"""Gas left over what the cylinder is rated for, below which it should be filled."""
FLAT_VOL: Final = 1.5
"""Volumes below which any beer is flat, as hardly a style is served with less; common practice, no
source."""
FOUL_PPM: Final = 2_000.0
"""Oxygen in the head that spoils a beer in weeks; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What advice is given from: the cellar at `at`, and the tasks of cleaning its lines."""

    at: datetime
    units: UnitSystem
    kegs: Sequence[KegStatus]
    cylinders: Sequence[CylinderStatus]
    steps: Sequence[NextStep]
    lines: Sequence[Task] = ()
    tests: Sequence[Task] = ()


def advice(seen: Seen) -> tuple[Advice, ...]:
    """Kegs near their rating, missed steps, gas, beer, lines."""
    found = (
        *_near_rating(seen),
        *_missed(seen),
        *_gas(seen),
        *_beer(seen),
        *_lines(seen),
        *_tests(seen),
    )
    return tuple(replace(one, text=one.text[:1].upper() + one.text[1:]) for one in found)


def _near_rating(seen: Seen) -> Iterator[Advice]:
    for keg in seen.kegs:
        lowest, head_pa = keg.limit, keg.gauge_pressure_pa.value
        if lowest is not None and head_pa > NEAR_RATING * lowest.gauge_pa:
            head = format_quantity(head_pa, Kind.PRESSURE, seen.units)
            off = "" if keg.supply_gauge_pa is None else "shut its gas and "
            text = (
                f"{off}vent {part('keg', keg.keg)} now, slowly, doors open and face away from the "
                f"valve: its head stands at {head} by what is written, and "
                f"{rated(lowest, seen.units)}.{unopened(keg, seen.units)}"
            )
            yield Advice("vent", "keg", keg.keg, text)


def _missed(seen: Seen) -> Iterator[Advice]:
    missed = [step for step in seen.steps if step.missed]
    for step in told_of_each(missed, lambda one: one.keg):
        then = "" if step.forbidden else " Do it or plan anew."
        text = f"Missed, {part(step.subject_kind, step.keg)}: {ended(step.do)}{then}"
        kind: Literal["keg", "fermenter"] = (
            "fermenter" if step.subject_kind == "fermenter" else "keg"
        )
        yield Advice("step", kind, step.keg, text)


def _gas(seen: Seen) -> Iterator[Advice]:
    for one in seen.cylinders:
        name, left = one.cylinder, one.contents_kg.value
        if one.is_dry:
            text = f"{headed('cylinder', name)} is empty{since(one.known_at, seen.at)}: no keg "
            yield Advice("refill", "cylinder", name, f"{text}gets gas from it. Swap it.")
        elif left < 0.0:
            text = (
                f"{headed('cylinder', name)} gave more than it held by what is written: weigh it, "
                "and look for a leak."
            )
            yield Advice("weigh", "cylinder", name, text)
        elif left < LOW_CYLINDER * one.rated_kg:
            text = f"{headed('cylinder', name)} is nearly empty: have it filled or swapped."
            yield Advice("refill", "cylinder", name, text)


def _beer(seen: Seen) -> Iterator[Advice]:
    planned = {one.keg for one in seen.steps if one.subject_kind == "keg" and not one.renews}
    to_vent = {one.name for one in _near_rating(seen)}
    for keg in seen.kegs:
        if keg.batch is None:
            continue
        if keg.is_empty:
            text = f"{_named(keg)} is empty: clean it for the next."
            yield Advice("brew", "keg", keg.keg, text)
            continue
        if keg.beer_left_m3.value < NEARLY_EMPTY * parts.keg_kind(keg.keg_kind).usual_fill_m3:
            yield Advice("brew", "keg", keg.keg, f"{_named(keg)} is nearly empty.")
        yield from (sugar := tuple(of_sugar(keg, seen.units)))
        if keg.keg not in to_vent:
            yield from _gas_of(keg, seen.units, keg.keg in planned or bool(sugar))


def _gas_of(keg: KegStatus, units: UnitSystem, is_planned: bool) -> Iterator[Advice]:
    """About the air in a head and the level of its beer: air that keeps it low is told once."""
    on_level = () if is_planned else tuple(_level(keg, units))
    if keg.dry_cylinder is not None:
        on_level = tuple(one for one in on_level if one.need == "cure")  # it needs no gas
    if keg.oxygen_fraction * 1e6 > FOUL_PPM and all(one.need != "purge" for one in on_level):
        text = f"Purge {part('keg', keg.keg)}: its head still holds air."
        yield Advice("purge", "keg", keg.keg, text)
    yield from on_level


def _level(keg: KegStatus, units: UnitSystem) -> Iterator[Advice]:
    """About a keg that is off its level and has no plan."""
    if keg.target_vol is None or keg.tolerance_vol is None:
        yield from _undescribed(keg)
        return
    if keg.ferments and keg.supply_gauge_pa is None:
        yield from _fermenting(keg, keg.target_vol, keg.tolerance_vol, units)
        return
    goes_over = (keg.comes_to_vol or 0.0) > keg.target_vol + keg.tolerance_vol
    if keg.carbonated and not goes_over:
        return
    is_over = keg.level_vol.value > keg.target_vol + keg.tolerance_vol
    if keg.wants_too_much and not is_over:
        yield _forbidden(keg, units)
    elif goes_over and not is_over:
        when = "" if keg.carbonated else " once it is there"
        text = f"{_named(keg)} goes past its level at this pressure: set it{_to_set(keg, units)}"
        yield Advice("lower", "keg", keg.keg, f"{text}{when}.")
    elif keg.level_vol.value > keg.target_vol:
        yield Advice("cure", "keg", keg.keg, f"{_named(keg)} holds too much gas: plan a cure.")
    elif keg.comes_to_vol is None:
        text = f"{_named(keg)} is short of gas and has none on: connect it{keeps_at(keg, units)}."
        if low := below_air(keg.gauge_pressure_pa.value, units):
            text += f" Its head stands {low}: it may suck in air."
        yield Advice("connect", "keg", keg.keg, text)
    elif keg.comes_to_vol < keg.target_vol - keg.tolerance_vol and _air_keeps_it_low(keg):
        text = f"There is air in the head of {part('keg', keg.keg)}: purge it, then"
        yield Advice("purge", "keg", keg.keg, f"{text}{_to(keg, units)} will do.")
    elif keg.comes_to_vol < keg.target_vol - keg.tolerance_vol:
        text = f"{_named(keg)} will not reach its level at this pressure: it wants{_to(keg, units)}"
        yield Advice("raise", "keg", keg.keg, f"{text}, or a quicker way.")


def _forbidden(keg: KegStatus, units: UnitSystem) -> Advice:
    """About a keg whose level wants more pressure than a rating allows: none is advised."""
    lowest = "" if keg.limit is None else f", {rated(keg.limit, units)}"
    text = (
        f"{_named(keg)} would need{_to(keg, units)} where it stands: do not set it{lowest}. "
        f"{cautions.INSTEAD}"
    )
    return Advice("colder", "keg", keg.keg, text)


def _undescribed(keg: KegStatus) -> Iterator[Advice]:
    """About a keg whose batch nobody described: no level is wanted of it, so nothing is planned."""
    text = f"{_named(keg)} is not described: write down how much gas it wants."
    yield Advice("describe", "keg", keg.keg, text)
    waits = keg.ferments or keg.spunding_gauge_pa is not None or keg.supply_gauge_pa is not None
    if not waits and keg.level_vol.value < FLAT_VOL:
        text = f"{_named(keg)} is flat and has no gas on: put gas on it."
        yield Advice("connect", "keg", keg.keg, text)


def _air_keeps_it_low(keg: KegStatus) -> bool:
    """Whether the gas is set to what keeps its level, and only air takes some of that pressure."""
    set_pa, keeps = keg.supply_gauge_pa, keg.keeps_gauge_pa
    if set_pa is None or keeps is None:
        return False
    return keg.oxygen_fraction > 0.0 and set_pa > keeps - SAME_PA


def _fermenting(
    keg: KegStatus, target_vol: float, tolerance_vol: float, units: UnitSystem
) -> Iterator[Advice]:
    """About a keg that still ferments: nothing, unless it would end off its level."""
    ending, at, to = keg.ending, no_more_at(keg, units), _to_set(keg, units)
    if ending is None:
        return
    if ending.level_vol > target_vol + tolerance_vol:
        text = f"{_named(keg)} will hold too much gas when it has fermented out: "
        has_valve = keg.spunding_gauge_pa is not None
        text += f"set its spunding valve{to}." if has_valve else f"put a spunding valve on{at}."
        yield Advice("valve", "keg", keg.keg, text)
    elif ending.chilled_vol < target_vol - tolerance_vol and keg.wants_too_much:
        yield _forbidden(keg, units)
    elif ending.chilled_vol < target_vol - tolerance_vol:
        text = f"{_named(keg)} will be short of gas when it has fermented out: "
        if ending.valve_limits:
            yield Advice("valve", "keg", keg.keg, f"{text}set its spunding valve{to}.")
        else:
            yield Advice("connect", "keg", keg.keg, f"{text}connect it{at} then.")


def _to(keg: KegStatus, units: UnitSystem) -> str:
    return keeps_at(keg, units).removeprefix(" at") or " more"


def _to_set(keg: KegStatus, units: UnitSystem) -> str:
    at = no_more_at(keg, units)
    return f" to{at.removeprefix(' at')}" if at else " lower"


def _named(keg: KegStatus) -> str:
    return f"{headed('keg', keg.keg)} ({keg.batch})"


def _lines(seen: Seen) -> Iterator[Advice]:
    """The lines that are due, by the rule in force: the same that the page of upkeep says."""
    for task in sorted(seen.lines, key=lambda one: by_number(one.about)):
        if task.state == "due":
            said = f"{task.because}, due {task.every}"
            text = f"Clean the line of {part('tap', task.about)}: {said} ({task.by})."
            yield Advice("clean line", "tap", task.about, text)


def _tests(seen: Seen) -> Iterator[Advice]:
    """The cylinders whose test is overdue."""
    for task in sorted(seen.tests, key=lambda one: by_number(one.about)):
        due = "" if task.due_at is None else f" since {date_text(task.due_at, seen.at)}"
        text = f"The test of {part('cylinder', task.about)} is overdue{due} ({task.because})"
        yield Advice("test", "cylinder", task.about, f"{text}: have it tested or exchanged.")
