"""What to ask of the carbonation plan for a keg as it stands now, from the state of the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.carried import carried
from ullage.cellar.changing import only_cylinder
from ullage.cellar.draws import SAMPLES, spread_of
from ullage.cellar.events import Event
from ullage.cellar.household import Household, assumed, household, sampled
from ullage.cellar.passing import time_constant
from ullage.cellar.replay import at_moment
from ullage.cellar.state import Assumed, BatchState, CellarState, KegState
from ullage.cellar.track import FERMENTED_K, KegCase
from ullage.errors import EventError, OutOfRange
from ullage.physics import fermentation
from ullage.plan import clock
from ullage.plan.answers import CarbonationAnswer
from ullage.plan.carbonation import carbonation
from ullage.plan.cases import LEAST_HEAD_SHARE, YEAST_WITHIN_K, lowest_rating
from ullage.plan.fermenting_out import is_fermenting, too_much_sugar
from ullage.plan.keg_timeline import matters
from ullage.plan.lifting import full_kg
from ullage.plan.schedule import Means, Wanted
from ullage.plan.spoken import part, quoted
from ullage.plan.sugar_left import sugar_caution, valve_by
from ullage.plan.to_come import facts
from ullage.system.model import Keg, System
from ullage.system.parts import unknown

POINT: Final = 0.001


def present(log: Sequence[Event], at: datetime) -> CellarState:
    """The cellar at a moment by the facts in its log."""
    home = household(log)
    return at_moment(carried(facts(log, at), home), at, assumed(home))


def ways(
    log: Sequence[Event],
    keg: str,
    at: datetime,
    by: datetime | None = None,
    system: System | None = None,
) -> CarbonationAnswer:
    """The ways to bring a keg to its level from how it stands at `at`.

    `by`: when it is wanted; default: the day its batch is wanted by. Raises `UnknownName` for a
    keg that is not there, `EventError` where it holds no beer, its batch is not described, or it
    stands beyond what the models know, as by an amount of sugar written down wrong.
    """
    home = household(log)
    try:
        cellar = present(log, at)
        case, wanted = keg_question(cellar, keg, system, by, at, assumed(home))
        supply = cellar.kegs[keg].supply
        cylinder = only_cylinder(cellar) if supply is None else supply.cylinder
        spread = spread_of(home.learnt, cylinder, wanted.place)
        starts = _starts(log, keg, at, home)
        answer = carbonation(replace(case, spread=spread, starts_vol=starts), wanted)
    except OutOfRange as wrong:
        raise EventError(
            f"no way can be worked out for {part('keg', keg)} as it stands ({wrong}): vent it, "
            "or take back what was written down wrong"
        ) from None
    sugar = too_much_sugar(cellar.kegs[keg], wanted.target_vol, assumed(home))
    if sugar is None:
        return answer
    by_when = valve_by(is_fermenting(cellar.kegs[keg]))
    caution = sugar_caution(keg, sugar, home.units, by_when)
    return replace(answer, cautions=(caution, *answer.cautions))


def _starts(
    log: Sequence[Event], keg: str, at: datetime, home: Household
) -> NDArray[np.float64] | None:
    """Samples of what the beer holds at `at`; `None` where that is known exactly."""
    mine = facts([event for event in log if matters(event, keg)], at)
    state = carried(mine, home, SAMPLES, of=keg)
    wide = at_moment(state, at, sampled(home, SAMPLES)).kegs[keg].level_vol
    return np.asarray(wide) if np.ndim(wide) else None


def keg_question(
    cellar: CellarState,
    keg: str,
    system: System | None,
    by: datetime | None,
    at: datetime,
    one: Assumed,
) -> tuple[KegCase, Wanted]:
    """The keg's beer as it is in `cellar`, and what its batch is wanted to be.

    The lowest rating is that of the keg's kind, and of the parts that `system` puts on it. Raises
    as `ways` does.
    """
    found = cellar.kegs.get(keg)
    if found is None:
        raise unknown("keg", keg, cellar.kegs)
    if found.beer is None or not found.holds_beer:
        raise EventError(f"{part('keg', keg)} holds no beer; record its filling first")
    batch = cellar.batches.get(found.batch or "")
    if batch is None:
        raise EventError(
            f"batch {found.batch} of {part('keg', keg)} is not described: write down the level "
            f"it is wanted at first, as ullage record batch {quoted(found.batch or '')} 2.5"
        )
    described = _described(keg, system)
    own = found.kind.max_gauge_pa
    rating = own if system is None or described is None else lowest_rating(system, described)
    wanted = Wanted(
        beer=batch.name,
        keg=keg,
        place=found.place,
        target_vol=batch.target_vol,
        tolerance_vol=batch.tolerance_vol,
        start=at,
        by=_by(batch, at) if by is None else by,
        present_gauge_pa=None if found.supply is None else found.supply.gauge_pa,
        highest_gauge_pa=min(own, rating),
        means=_means(found, cellar, described, system),
    )
    return _case(found, one), wanted


def _case(keg: KegState, one: Assumed) -> KegCase:
    assert keg.beer is not None
    return KegCase(
        beer=keg.beer,
        beer_m3=float(keg.beer_m3),
        depth_m=float(keg.depth_m),
        start_vol=float(keg.level_vol),
        start_k=float(keg.temperature_k),
        place_k=keg.place_k,
        tau_s=time_constant(keg, one),
        ambient_pa=one.ambient_pa,
        head_m3=max(float(keg.head_m3), LEAST_HEAD_SHARE * keg.kind.capacity_m3),
    )


def _by(batch: BatchState, at: datetime) -> datetime | None:
    return None if batch.ready_by is None else clock.noon(batch.ready_by, at)


def _described(keg: str, system: System | None) -> Keg | None:
    known = () if system is None else system.kegs
    return next((one for one in known if one.name == keg), None)


def _means(
    keg: KegState, cellar: CellarState, described: Keg | None, system: System | None
) -> Means:
    """What there is to do it with, as far as the log and the system file tell."""
    own = keg.kind.max_gauge_pa
    told = None if described is None else described.max_pressure
    warm_k, warm_place = _warm(cellar)
    gravity, final = _gravities(keg)
    return Means(
        on_gas=keg.supply is not None or _gas_at_hand(keg, cellar, described, system),
        stone=described is not None and described.stone,
        spunding_valve=described is not None and described.spunding_valve,
        keg_gauge_pa=own if told is None else min(own, told),
        warm_k=warm_k,
        warm_place=warm_place,
        gravity=gravity,
        final_gravity=final,
        valve_gauge_pa=keg.spunding_pa,
        co2_share=_share(keg, cellar, described, system),
        weight_kg=full_kg(keg.kind, float(keg.beer_m3)),
    )


def _share(
    keg: KegState, cellar: CellarState, described: Keg | None, system: System | None
) -> float:
    """CO2 in the gas that is on a keg, or that its regulator, or the only cylinder, would give."""
    if keg.supply is not None:
        return keg.supply.co2_share
    if system is not None and described is not None and described.regulator is not None:
        name: str | None = system.regulator(described.regulator).cylinder
    else:
        name = only_cylinder(cellar)
    known = cellar.cylinders.get(name or "")
    return 1.0 if known is None else known.co2_share


def _gas_at_hand(
    keg: KegState, cellar: CellarState, described: Keg | None, system: System | None
) -> bool:
    """Whether a regulator's gas could stay on a keg that has none on now.

    One that is described has a regulator, or one feeds another keg in its place or has its
    cylinder there; of one that is not, no more is known than whether there is a cylinder.
    """
    if described is None or system is None:
        return bool(cellar.cylinders)
    if described.regulator is not None:
        return True
    gas = {one.name: system.cylinder(one.cylinder).place for one in system.regulators}
    fed = {one.place for one in system.kegs if one.regulator is not None}
    return keg.place in {*gas.values(), *fed}


def _warm(cellar: CellarState) -> tuple[float, str | None]:
    """The place where yeast would work best, and how warm it is; the usual warmth where none is."""
    away = {name: abs(kelvin - FERMENTED_K) for name, kelvin in cellar.places_k.items()}
    near = min(away, key=lambda name: away[name], default=None)
    if near is None or away[near] > YEAST_WITHIN_K:
        return FERMENTED_K, None
    return cellar.places_k[near], near


def _gravities(keg: KegState) -> tuple[float | None, float | None]:
    """Gravity now and at the end, of beer in which yeast still has something to do."""
    left = float(keg.to_ferment_vol)
    if left <= 0.0 or keg.beer is None:
        return None, None
    final = keg.beer.specific_gravity
    per_point = float(fermentation.volumes_to_make(final + POINT, final)) / POINT
    return final + left / per_point, final
