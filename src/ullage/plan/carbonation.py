"""What to set for one beer, and which way to bring it to its level is advised."""

from __future__ import annotations

from collections.abc import Sequence

from ullage.cellar.course import equilibrium_samples, gauge_samples, serving_gauge
from ullage.cellar.draws import Draws, draws
from ullage.cellar.track import KegCase
from ullage.physics import beer as beer_physics
from ullage.physics import shut_keg, solubility
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan import cautions
from ullage.plan.answers import Band, CarbonationAnswer, Method, Schedule
from ullage.plan.bands import band
from ullage.plan.methods import drifts_beyond, schedules
from ullage.plan.schedule import Wanted, too_much

MOST_VENTS = 500
MANY_VENTS = 20


def carbonation(case: KegCase, wanted: Wanted) -> CarbonationAnswer:
    """Answer for one keg. Raises `OutOfRange` where the physics does not reach."""
    samples = draws()
    set_pa = serving_gauge(case, wanted.target_vol)
    ways = schedules(case, wanted, set_pa, samples)
    present = wanted.present_gauge_pa
    return CarbonationAnswer(
        beer=wanted.beer,
        keg=wanted.keg,
        place=wanted.place,
        target_vol=wanted.target_vol,
        tolerance_vol=wanted.tolerance_vol,
        start_vol=case.start_vol,
        temperature_k=case.place_k,
        gauge_pressure_pa=band(set_pa, gauge_samples(case, wanted.target_vol, samples)),
        equilibrium_vol=_equilibrium(case, max(set_pa, 0.0), samples),
        present_gauge_pressure_pa=present,
        present_equilibrium_vol=None if present is None else _equilibrium(case, present, samples),
        schedules=ways,
        advised=_advised(ways, wanted),
        wanted_by=wanted.by,
        cautions=cautions.for_carbonation(set_pa, wanted.highest_gauge_pa),
        remarks=_remarks(case, wanted, set_pa),
    )


def _equilibrium(case: KegCase, gauge_pa: float, samples: Draws) -> Band:
    factor = float(beer_physics.solubility_factor(case.beer))
    value = solubility.equilibrium_volumes(case.ambient_pa + gauge_pa, case.place_k, factor)
    return band(value, equilibrium_samples(case, gauge_pa, samples))


def _advised(ways: Sequence[Schedule], wanted: Wanted) -> Method | None:
    """The gentlest way that makes the date even if slow; without a date, the gentlest."""
    able = [schedule for schedule in ways if schedule.ready_at is not None]
    if not able:
        return None
    if wanted.by is None:
        return able[0].method
    by = wanted.by
    sure = [one for one in able if one.ready_late is not None and one.ready_late <= by]
    likely = [one for one in able if one.makes_date]
    soonest = sorted(able, key=lambda one: one.ready_at or by)
    return (sure or likely or soonest)[0].method


def _remarks(case: KegCase, wanted: Wanted, set_pa: float) -> tuple[str, ...]:
    found = list(solubility.remarks(max(set_pa, 0.0), case.place_k))
    if drifts_beyond(case, wanted, set_pa):
        found.append(
            "At this temperature the beer keeps more than its target even without pressure; "
            "it cannot be held at this level here. Serve it warmer, or want more volumes."
        )
    if too_much(case, wanted):
        found.append(_over(case, wanted))
    if wanted.by is not None and wanted.by < wanted.start:
        found.append("The day it is wanted by has passed.")
    if case.ambient_pa < STANDARD_ATMOSPHERE.value - 2_000.0:
        found.append("The altitude is counted: the gauge must read more than at sea level.")
    return tuple(found)


def _over(case: KegCase, wanted: Wanted) -> str:
    """How many vents, each followed by a shake, an over-carbonated keg needs."""
    vents = vents_needed(case, wanted.target_vol)
    slow = "It holds too much, and at rest it loses it very slowly."
    if vents is None:
        return f"{slow} Venting does not get it down that far."
    times = "once" if vents == 1 else f"about {vents} times in all"
    roomy = " Pour a few pints off first: with more headspace it takes far fewer."
    return (
        f"{slow} Gas off; vent, shake, let it settle: {times}. Let it rest before you pour."
        f"{roomy if vents > MANY_VENTS else ''}"
    )


def vents_needed(case: KegCase, target_vol: float) -> int | None:
    """Vents to the room's pressure, each followed by a shake to a new balance, until the target.

    `None` where the target is no more than what the beer keeps at the room's pressure.
    """
    factor = float(beer_physics.solubility_factor(case.beer))
    level = case.start_vol
    for count in range(MOST_VENTS + 1):
        if level <= target_vol:
            return count
        vented = shut_keg.ShutKeg(case.beer_m3, case.head_m3, case.place_k, level, case.ambient_pa)
        level = float(shut_keg.shut_equilibrium(vented, factor).beer_vol)
    return None
