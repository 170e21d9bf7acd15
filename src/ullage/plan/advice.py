"""What to do next, from how the cellar stands: the most pressing first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, Literal

from ullage.plan.repeats import told_of_each
from ullage.plan.spoken import by_number, ended, headed, part
from ullage.plan.status_answer import Advice, CylinderStatus, KegStatus, NextStep
from ullage.plan.suction import below_air
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
NEAR_RATING: Final = 0.9
"""Head pressure over what the keg is rated for, from which it is let off at once; common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What advice is given from: the cellar at `at`, and the tasks of cleaning its lines."""

    at: datetime
    units: UnitSystem
    kegs: Sequence[KegStatus]
    cylinders: Sequence[CylinderStatus]
    steps: Sequence[NextStep]
    lines: Sequence[Task] = ()


def advice(seen: Seen) -> tuple[Advice, ...]:
    """Kegs near their rating, missed steps, gas, beer, lines."""
    found = (*_near_rating(seen), *_missed(seen), *_gas(seen), *_beer(seen), *_lines(seen))
    return tuple(replace(one, text=one.text[:1].upper() + one.text[1:]) for one in found)


def _near_rating(seen: Seen) -> Iterator[Advice]:
    for keg in seen.kegs:
        rating = parts.keg_kind(keg.keg_kind).max_gauge_pa
        if keg.gauge_pressure_pa.value > NEAR_RATING * rating:
            head, marked = (
                format_quantity(each, Kind.PRESSURE, seen.units)
                for each in (keg.gauge_pressure_pa.value, rating)
            )
            text = (
                f"Vent {part('keg', keg.keg)} now, slowly, doors open and face away from the "
                f"valve: its head stands at {head} by what is written, and such kegs are marked "
                f"for {marked}."
            )
            yield Advice("vent", "keg", keg.keg, text)


def _missed(seen: Seen) -> Iterator[Advice]:
    missed = [step for step in seen.steps if step.missed]
    for step in told_of_each(missed, lambda one: one.keg):
        text = f"Missed, {part(step.subject_kind, step.keg)}: {ended(step.do)} Do it or plan anew."
        kind: Literal["keg", "fermenter"] = (
            "fermenter" if step.subject_kind == "fermenter" else "keg"
        )
        yield Advice("step", kind, step.keg, text)


def _gas(seen: Seen) -> Iterator[Advice]:
    for one in seen.cylinders:
        name, left = one.cylinder, one.contents_kg.value
        if left < 0.0:
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
        if keg.keg not in to_vent:
            yield from _gas_of(keg, seen.units, keg.keg in planned)


def _gas_of(keg: KegStatus, units: UnitSystem, is_planned: bool) -> Iterator[Advice]:
    """About the air in a head and the level of its beer: air that keeps it low is told once."""
    on_level = () if is_planned else tuple(_level(keg, units))
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
    if goes_over and keg.level_vol.value <= keg.target_vol + keg.tolerance_vol:
        when = "" if keg.carbonated else " once it is there"
        text = f"{_named(keg)} goes past its level at this pressure: set it{_to_set(keg, units)}"
        yield Advice("lower", "keg", keg.keg, f"{text}{when}.")
    elif keg.level_vol.value > keg.target_vol:
        yield Advice("cure", "keg", keg.keg, f"{_named(keg)} holds too much gas: plan a cure.")
    elif keg.comes_to_vol is None:
        text = f"{_named(keg)} is short of gas and has none on: connect it{_at(keg, units)}."
        if low := below_air(keg.gauge_pressure_pa.value, units):
            text += f" Its head stands {low}: it may suck in air."
        yield Advice("connect", "keg", keg.keg, text)
    elif keg.comes_to_vol < keg.target_vol - keg.tolerance_vol and _air_keeps_it_low(keg):
        text = f"There is air in the head of {part('keg', keg.keg)}: purge it, then"
        yield Advice("purge", "keg", keg.keg, f"{text}{_to(keg, units)} will do.")
    elif keg.comes_to_vol < keg.target_vol - keg.tolerance_vol:
        text = f"{_named(keg)} will not reach its level at this pressure: it wants{_to(keg, units)}"
        yield Advice("raise", "keg", keg.keg, f"{text}, or a quicker way.")


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
    ending, at, to = keg.ending, _at(keg, units), _to_set(keg, units)
    if ending is None:
        return
    if ending.level_vol > target_vol + tolerance_vol:
        text = f"{_named(keg)} will hold too much gas when it has fermented out: "
        has_valve = keg.spunding_gauge_pa is not None
        text += f"set its spunding valve{to}." if has_valve else f"put a spunding valve on{at}."
        yield Advice("valve", "keg", keg.keg, text)
    elif ending.chilled_vol < target_vol - tolerance_vol:
        text = f"{_named(keg)} will be short of gas when it has fermented out: "
        if ending.valve_limits:
            yield Advice("valve", "keg", keg.keg, f"{text}set its spunding valve{to}.")
        else:
            yield Advice("connect", "keg", keg.keg, f"{text}connect it{at} then.")


def _at(keg: KegStatus, units: UnitSystem) -> str:
    keeps = keg.keeps_gauge_pa
    if keeps is None or keeps <= 0.0:
        return ""
    return f" at {format_quantity(keeps, Kind.PRESSURE, units)}"


def _to(keg: KegStatus, units: UnitSystem) -> str:
    return _at(keg, units).removeprefix(" at") or " more"


def _to_set(keg: KegStatus, units: UnitSystem) -> str:
    return f" to{_at(keg, units).removeprefix(' at')}" if _at(keg, units) else " lower"


def _named(keg: KegStatus) -> str:
    return f"{headed('keg', keg.keg)} ({keg.batch})"


def _lines(seen: Seen) -> Iterator[Advice]:
    """The lines that are due, by the rule in force: the same that the page of upkeep says."""
    for task in sorted(seen.lines, key=lambda one: by_number(one.about)):
        if task.state == "due":
            said = f"{task.because}, due {task.every}"
            text = f"Clean the line of {part('tap', task.about)}: {said} ({task.by})."
            yield Advice("clean line", "tap", task.about, text)
