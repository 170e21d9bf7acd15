"""What comes: when each keg is ready and kicked, when a cylinder is empty, what to do next.

The log is replayed as it will go on if the planned steps that wait are done. Drinking is forecast,
never written: its rate is learnt from the log (`ullage.plan.drinking`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.household import household
from ullage.cellar.keg_events import Shaken, SpundingSet
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped
from ullage.cellar.replay import NOMINAL
from ullage.cellar.state import CellarState
from ullage.plan.answers import Band
from ullage.plan.bands import band
from ullage.plan.course_ahead import Crossing, first_within
from ullage.plan.cylinder_ahead import empties
from ullage.plan.drinking import Rate
from ullage.plan.dry_cylinder import dry_cylinder
from ullage.plan.fermenting_out import too_much_sugar
from ullage.plan.followed import DAY_S, Followed, followed
from ullage.plan.forecast import Forecast, ready_forecast, unknown
from ullage.plan.gas_ahead_answer import Refill
from ullage.plan.gas_ahead_of import GasOf, fed_by, gas_log, gas_of
from ullage.plan.gas_ahead_refill import LEAD_S, refill_of
from ullage.plan.kicked import kicked
from ullage.plan.on_gas import SETTLE_S
from ullage.plan.spoken import by_number, part
from ullage.plan.status_limits import do_not
from ullage.plan.to_come import WaitingStep, waiting
from ullage.plan.weakest import weakest_of
from ullage.system.cylinder import full_kg
from ullage.system.model import System
from ullage.system.parts import cylinder_size
from ullage.units import UnitSystem

HORIZON: Final = timedelta(days=28)


@dataclass(frozen=True, slots=True)
class KegAhead:
    """One keg with beer: when it comes within its tolerance, and when it is kicked.

    `drinking` is how quickly it is drunk, as far as that is known.
    """

    keg: str
    batch: str | None
    style: str
    tap: str | None
    beer_left_m3: Band
    level_vol: Band
    target_vol: float | None
    tolerance_vol: float | None
    is_ready: bool
    ready: Forecast
    drinking: Rate | None
    kicked: Forecast


@dataclass(frozen=True, slots=True)
class CylinderAhead:
    """One cylinder: what it holds, and when that is gone if the kegs to come are as they were.

    `refill`: the day to have it refilled or swapped by, a week before it may be empty.
    """

    cylinder: str
    size: str
    contents_kg: Band
    rated_kg: float
    empty: Forecast
    refill: Refill

    @property
    def what(self) -> str:
        """What is in it, as one says it: full of a blend it holds less than its rated CO2."""
        is_co2 = self.rated_kg == cylinder_size(self.size).rated_kg
        return "CO2" if is_co2 else "blended gas"


@dataclass(frozen=True, slots=True)
class LookAhead:
    """What comes after `at`; carbonation was followed to `until`, planned steps done as planned."""

    at: datetime
    until: datetime
    units: str
    kegs: tuple[KegAhead, ...]
    cylinders: tuple[CylinderAhead, ...]
    household: Rate | None
    steps: tuple[WaitingStep, ...]
    remarks: tuple[str, ...]


def look_ahead(
    log: Sequence[Event],
    at: datetime,
    horizon: timedelta = HORIZON,
    system: System | None = None,
) -> LookAhead:
    """What comes after `at`, from the facts of the log up to then and the steps that wait.

    `horizon`: how far carbonation is followed. `system`: where a tap's drinking is given that the
    log does not tell.
    """
    home = household(log)
    ahead = followed(log, at, horizon, system)
    kegs = kegs_ahead(ahead)
    told = gas_log(ahead, log, home)
    steps = tuple(
        _within(step, system, ahead.now, home.units) for step in waiting(log, at, home.units)
    )
    return LookAhead(
        at=at,
        until=at + horizon,
        units=home.units,
        kegs=kegs,
        cylinders=tuple(
            _cylinder(ahead, name, gas_of(ahead, name, kegs, told), log)
            for name in sorted(ahead.now.cylinders, key=by_number)
        ),
        household=ahead.drinking.household,
        steps=steps,
        remarks=_remarks(kegs, steps),
    )


def _within(
    step: WaitingStep, system: System | None, now: CellarState, units: UnitSystem
) -> WaitingStep:
    """The step; where it sets more than a rating of its keg's chain allows, it says not to."""
    keg = now.kegs.get(step.subject)
    if step.subject_kind != "keg" or keg is None:
        return step
    lowest = weakest_of(system, step.subject, keg.keg_kind)
    return replace(step, do=do_not(step.do, step.gauge_pressure_pa, lowest, units))


def kegs_ahead(ahead: Followed) -> tuple[KegAhead, ...]:
    """Every keg with beer enough for a glass, by its name."""
    return tuple(
        _keg(ahead, name)
        for name in sorted(ahead.now.kegs, key=by_number)
        if ahead.now.kegs[name].gives_a_glass
    )


def _keg(ahead: Followed, name: str) -> KegAhead:
    keg, wide = ahead.now.kegs[name], ahead.wide_now.kegs[name]
    batch = ahead.now.batches.get(keg.batch or "")
    ready, ready_s = ready_of(ahead, name)
    rate = ahead.drinking.kegs.get(name)
    own = rate is not None and rate is not ahead.drinking.taps.get(keg.tap or "")
    return KegAhead(
        keg=name,
        batch=keg.batch,
        style=batch.style if batch else "",
        tap=keg.tap,
        beer_left_m3=band(float(keg.beer_m3), np.atleast_1d(np.asarray(wide.beer_m3, np.float64))),
        level_vol=band(float(keg.level_vol), np.atleast_1d(np.asarray(wide.level_vol, np.float64))),
        target_vol=batch.target_vol if batch else None,
        tolerance_vol=batch.tolerance_vol if batch else None,
        is_ready=ready_s is not None and ready_s.value_s <= 0.0,
        ready=ready,
        drinking=rate,
        kicked=kicked(ahead, name, None if own else ready_s),
    )


def ready_of(ahead: Followed, name: str) -> tuple[Forecast, Crossing | None]:
    """When the level first lies within the tolerance and the steps of its plan are done."""
    keg = ahead.now.kegs[name]
    batch = ahead.now.batches.get(keg.batch or "")
    if batch is None:
        return unknown("its batch is not described, so its level is not known to be right"), None
    if _passes_it(ahead, name, batch.target_vol):
        return unknown("not as it stands: the sugar in it leads past its level"), None
    if (dry := dry_cylinder(ahead.now, keg)) is not None and not _refilled(ahead, dry):
        return unknown(f"no gas comes: {part('cylinder', dry)} is empty"), None
    levels = np.array([float(state.kegs[name].level_vol) for state in ahead.then])
    wide = np.array(
        np.broadcast_arrays(*(np.atleast_1d(one.kegs[name].level_vol) for one in ahead.wide_then))
    )
    least = _not_before(ahead, name)
    near = (batch.target_vol - batch.tolerance_vol, batch.target_vol + batch.tolerance_vol)
    crossing = first_within(ahead.marks_s, levels, wide, near).not_before(least)
    last = ahead.marks_s[-1]
    beyond = f"not within {last / DAY_S:.0f} days as things stand"
    if keg.supply is None and not any(event.stream == f"keg:{name}" for event in ahead.coming):
        beyond += ": no gas is on"
    told = ready_forecast(ahead.at, crossing.value_s, crossing.samples_s, least, last, beyond)
    return told, crossing


def _passes_it(ahead: Followed, name: str, target_vol: float) -> bool:
    """Whether sugar leads it past its level, and no valve is planned that would let that off."""
    valves = (isinstance(one, SpundingSet) and one.stream == f"keg:{name}" for one in ahead.coming)
    keg = ahead.now.kegs[name]
    return not any(valves) and too_much_sugar(keg, target_vol, NOMINAL) is not None


def _refilled(ahead: Followed, cylinder: str) -> bool:
    """Whether it is planned to be swapped, or another one put in its place."""
    full = (one for one in ahead.coming if isinstance(one, CylinderSwapped | CylinderConnected))
    return any(one.cylinder == cylinder for one in full)


def _not_before(ahead: Followed, name: str) -> float:
    """Seconds until the steps of a keg's plan are all done, and it has rested if it was shaken."""
    least = 0.0
    for event in ahead.coming:
        if event.plan is None or event.stream != f"keg:{name}":
            continue
        done = (event.at - ahead.at).total_seconds()
        rest = event.duration_s + SETTLE_S if isinstance(event, Shaken) else 0.0
        least = max(least, done + rest)
    return least


def _cylinder(ahead: Followed, name: str, gas: GasOf, log: Sequence[Event]) -> CylinderAhead:
    known, wide = ahead.now.cylinders[name], ahead.wide_now.cylinders[name]
    empty = empties(gas.course, gas.kegs, gas.losses, gas.usual)
    fed = [keg for keg in ahead.now.kegs if fed_by(ahead, keg) == name]
    return CylinderAhead(
        cylinder=name,
        size=known.size,
        contents_kg=band(
            float(known.contents_kg), np.atleast_1d(np.asarray(wide.contents_kg, np.float64))
        ),
        rated_kg=full_kg(known.size, known.co2_share),
        empty=empty,
        refill=refill_of(log, ahead, fed, empty, LEAD_S),
    )


def _remarks(kegs: Sequence[KegAhead], steps: Sequence[WaitingStep]) -> tuple[str, ...]:
    gone = sorted({step.subject for step in steps if step.when == "missed"})
    found = [
        f"A step for {name} was missed; what is told here counts it as not done. Plan it anew."
        for name in gone
    ]
    if any(keg.drinking is None for keg in kegs):
        found.append(
            "Write down pours, or weigh a keg now and then, to see when it will be kicked."
        )
    return tuple(found)
