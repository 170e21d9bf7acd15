"""What is where, how carbonated, how much left, and what to do next: the cellar at a moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.household import Household, assumed, household, sampled
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import CellarState, CylinderState, KegState
from ullage.physics import solubility
from ullage.physics.numbers import Numbers
from ullage.plan.answers import Band
from ullage.plan.bands import band
from ullage.plan.steps import due_steps, say
from ullage.system import parts

SAMPLES = 400
NEARLY_EMPTY = 0.15
LOW_CYLINDER = 0.15
FOUL_PPM = 2_000.0
CLEAN_LINE_DAYS = 14


@dataclass(frozen=True, slots=True)
class KegStatus:
    """One keg now. Gauge pressure is that of its head; `comes_to_vol` what the gas leads to."""

    keg: str
    keg_kind: str
    place: str
    batch: str | None
    style: str
    tap: str | None
    filled_at: datetime | None
    beer_left_m3: Band
    level_vol: Band
    target_vol: float | None
    tolerance_vol: float | None
    temperature_k: float
    gauge_pressure_pa: Band
    supply_gauge_pa: float | None
    comes_to_vol: float | None
    oxygen_fraction: float
    drawn_kg: float
    carbonated: bool | None


@dataclass(frozen=True, slots=True)
class CylinderStatus:
    """One cylinder now: what replay leaves in it since it was last known."""

    cylinder: str
    size: str
    contents_kg: Band
    rated_kg: float
    known_at: datetime


@dataclass(frozen=True, slots=True)
class NextStep:
    """A planned step that waits: `missed` when its moment is past."""

    event: str
    at: datetime
    keg: str
    do: str
    missed: bool


@dataclass(frozen=True, slots=True)
class StatusAnswer:
    """The cellar at `at`: kegs, cylinders, steps that wait, advice in the order of its weight."""

    at: datetime
    units: str
    kegs: tuple[KegStatus, ...]
    cylinders: tuple[CylinderStatus, ...]
    steps: tuple[NextStep, ...]
    advice: tuple[str, ...]
    warnings: tuple[str, ...]


def status(log: Sequence[Event], at: datetime) -> StatusAnswer:
    """The cellar at a moment from the facts in its log up to then."""
    home = household(log)
    facts = [event for event in log if not event.planned and event.at <= at]
    one = assumed(home)
    now = at_moment(replay(facts, one), at, one)
    many = sampled(home, SAMPLES)
    spread = at_moment(replay(facts, many), at, many)
    kegs = tuple(_keg(now, spread, name, home) for name in sorted(now.kegs))
    cylinders = tuple(_cylinder(now, spread, name) for name in sorted(now.cylinders))
    steps = tuple(
        NextStep(event.id, event.at, event.subject, say(event, home.units), event.at < at)
        for event in due_steps(log)
    )
    return StatusAnswer(
        at=at,
        units=home.units,
        kegs=kegs,
        cylinders=cylinders,
        steps=steps,
        advice=_advice(now, kegs, cylinders, steps, at),
        warnings=now.warnings,
    )


def _keg(now: CellarState, spread: CellarState, name: str, home: Household) -> KegStatus:
    keg, wide = now.kegs[name], spread.kegs[name]
    batch = now.batches.get(keg.batch or "")
    level = _band(keg.level_vol, wide.level_vol)
    target = batch.target_vol if batch else None
    tolerance = batch.tolerance_vol if batch else None
    near = None
    if keg.beer is not None and target is not None and tolerance is not None:
        near = abs(level.value - target) <= tolerance
    ambient = assumed(home).ambient_pa
    return KegStatus(
        keg=name,
        keg_kind=keg.keg_kind,
        place=keg.place,
        batch=keg.batch,
        style=batch.style if batch else "",
        tap=keg.tap,
        filled_at=keg.filled_at,
        beer_left_m3=_band(keg.beer_m3, wide.beer_m3),
        level_vol=level,
        target_vol=target,
        tolerance_vol=tolerance,
        temperature_k=float(keg.temperature_k),
        gauge_pressure_pa=_gauge(keg, wide, ambient),
        supply_gauge_pa=None if keg.supply is None else keg.supply.gauge_pa,
        comes_to_vol=_comes_to(keg, ambient),
        oxygen_fraction=float(keg.oxygen_fraction()) if keg.beer is not None else 0.0,
        drawn_kg=float(keg.ledger.gas_drawn_kg),
        carbonated=near,
    )


def _band(value: Numbers, samples: Numbers) -> Band:
    return band(float(value), np.atleast_1d(np.asarray(samples, dtype=np.float64)))


def _gauge(keg: KegState, wide: KegState, ambient_pa: float) -> Band:
    if keg.beer is None:
        shown = 0.0 if keg.supply is None else keg.supply.gauge_pa
        return Band(shown, shown, shown)
    return _band(keg.head_pa() - ambient_pa, wide.head_pa() - ambient_pa)


def _comes_to(keg: KegState, ambient_pa: float) -> float | None:
    """What the beer comes to if the gas stays as it is and the place as cold."""
    if keg.beer is None or keg.supply is None:
        return None
    pressure = ambient_pa + keg.supply.gauge_pa - keg.air_pa(keg.place_k)
    one = float(keg.solubility(assumed(Household())))
    return float(solubility.equilibrium_volumes(pressure, keg.place_k, one))


def _cylinder(now: CellarState, spread: CellarState, name: str) -> CylinderStatus:
    known: CylinderState = now.cylinders[name]
    return CylinderStatus(
        cylinder=name,
        size=known.size,
        contents_kg=_band(known.contents_kg, spread.cylinders[name].contents_kg),
        rated_kg=parts.cylinder_size(known.size).rated_kg,
        known_at=known.known_at,
    )


def _advice(
    now: CellarState,
    kegs: Sequence[KegStatus],
    cylinders: Sequence[CylinderStatus],
    steps: Sequence[NextStep],
    at: datetime,
) -> tuple[str, ...]:
    """What to do next, the most pressing first."""
    found = [
        f"Missed: {step.do} (keg {step.keg}). Do it or plan anew." for step in steps if step.missed
    ]
    for cylinder in cylinders:
        found += _cylinder_advice(cylinder)
    for keg in kegs:
        found += _keg_advice(keg)
    for tap, cleaned in sorted(now.lines_cleaned.items()):
        if at - cleaned > timedelta(days=CLEAN_LINE_DAYS):
            found.append(
                f"Clean the line of tap {tap}: last done {cleaned:%d %b}, due every two weeks "
                "(Brewers Association, Draught Beer Quality Manual)."
            )
    return tuple(found)


def _cylinder_advice(cylinder: CylinderStatus) -> list[str]:
    left = cylinder.contents_kg.value
    if left < 0.0:
        return [
            f"Cylinder {cylinder.cylinder} gave more than it held by what is written: weigh it, "
            "and look for a leak."
        ]
    if left < LOW_CYLINDER * cylinder.rated_kg:
        return [f"Cylinder {cylinder.cylinder} is nearly empty: have it filled or swapped."]
    return []


def _keg_advice(keg: KegStatus) -> list[str]:
    if keg.batch is None:
        return []
    found = []
    kind = parts.keg_kind(keg.keg_kind)
    if keg.beer_left_m3.value < NEARLY_EMPTY * kind.usual_fill_m3:
        found.append(f"Keg {keg.keg} ({keg.batch}) is nearly empty.")
    if keg.oxygen_fraction * 1e6 > FOUL_PPM:
        found.append(f"Purge keg {keg.keg}: its head still holds air.")
    if keg.target_vol is None or keg.tolerance_vol is None or keg.carbonated:
        return found
    if keg.level_vol.value > keg.target_vol:
        found.append(f"Keg {keg.keg} ({keg.batch}) holds too much gas: plan a cure for it.")
    elif keg.comes_to_vol is None:
        found.append(f"Keg {keg.keg} ({keg.batch}) is short of gas and has none on: connect it.")
    elif keg.comes_to_vol < keg.target_vol - keg.tolerance_vol:
        found.append(f"Keg {keg.keg} ({keg.batch}) will not reach its level at this pressure.")
    return found
