"""Every way to bring one keg to its level that its parts and its beer allow."""

from __future__ import annotations

from ullage.cellar.draws import Draws
from ullage.cellar.track import KegCase
from ullage.physics import solubility
from ullage.plan import cures, natural, on_gas, top_up
from ullage.plan.answers import Schedule
from ullage.plan.blend_served import STRAIGHT, as_straight, straight_gauge
from ullage.plan.blend_ways import schedules_on_blend
from ullage.plan.schedule import Wanted, Way, schedule_of, too_little, too_much


def schedules(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> tuple[Schedule, ...]:
    """All ways that this keg allows, the gentlest first.

    None where `set_pa` lies above a rating, or so far below zero that no gauge pressure keeps it.
    """
    if set_pa > wanted.highest_gauge_pa or drifts_beyond(case, wanted, set_pa):
        return ()
    share = wanted.means.co2_share
    if share < STRAIGHT:
        gauge = max(set_pa, 0.0)
        pure_pa = straight_gauge(case, gauge, share)
        return schedules_on_blend(case, wanted, pure_pa, gauge, samples)
    found = _ways(case, wanted, max(set_pa, 0.0), samples)
    return tuple(schedule_of(case, wanted, way, samples) for way in found if way is not None)


def _ways(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> list[Way | None]:
    if too_much(case, wanted):
        quick = cures.vent_and_shake(case, wanted, set_pa)
        roomy = cures.pour_and_vent(case, wanted, set_pa)
        return [quick, roomy, cures.vent_at_rest(case, wanted, set_pa)]
    hold = on_gas.hold(case, wanted, set_pa, samples)
    if not too_little(case, wanted):
        return [hold]
    return [
        hold,
        on_gas.burst(case, wanted, set_pa, samples),
        on_gas.shake(case, wanted, set_pa, samples),
        on_gas.stone(case, wanted, set_pa, samples),
        None if wanted.means.on_gas else top_up.top_up(case, wanted),
        natural.prime(case, wanted, set_pa),
        natural.spund(case, wanted, set_pa),
    ]


def drifts_beyond(case: KegCase, wanted: Wanted, set_pa: float) -> bool:
    """Whether the beer rises beyond its tolerance even under its gas without gauge pressure."""
    if set_pa >= 0.0:
        return False
    factor = case.factor
    least_pa = float(as_straight(case.ambient_pa, wanted.means.co2_share, case.place_k))
    least = solubility.equilibrium_volumes(least_pa, case.place_k, factor)
    return least > wanted.target_vol + wanted.tolerance_vol
