"""Three ways to bring a beer to its level: hold at serving pressure, burst, shake.

Each is a list of phases that `ullage.cellar.course` follows; the steps for the hand say the same in
words.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from ullage.cellar.course import DAY_S, HOUR_S, first_reached, follow, rate_samples, serving_gauge
from ullage.cellar.draws import HIGH, Draws
from ullage.cellar.track import KegCase, Phase
from ullage.everyday_units import PSI
from ullage.physics import absorption, solubility
from ullage.physics import beer as beer_physics
from ullage.physics.constants import SHAKEN_CONTACT
from ullage.plan import clock
from ullage.plan.answers import Schedule, Step
from ullage.plan.schedule import (
    HORIZON_S,
    Wanted,
    Way,
    pour_step,
    ready_seconds,
    schedule_of,
    temperature_at,
    too_little,
    too_much,
)

BURST_GAUGE_PA = 40 * PSI
"""Usual for a burst: 40 psi for about a day (common practice, no source)."""
BURST_WORTH_PA = 5 * PSI
BURST_STEP_S = HOUR_S / 2
LONGEST_BURST_S = 3 * DAY_S
SHAKE_READY_K = 2.0
LONGEST_SHAKE_MINUTES = 180
SETTLE_S = 6 * HOUR_S
"""Rest after shaking before it pours calmly (common practice, no source)."""
OVER_STEP = "Leave the gas off and vent as the remark says; then set the pressure."
FLAT_STEP = "Purge the headspace, set the pressure, leave the gas on."
LEVEL_STEP = "Set the pressure, leave the gas on."


def schedules(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> tuple[Schedule, ...]:
    """All ways that this keg allows, the gentlest first.

    None where `set_pa` lies above a rating, or so far below zero that no gauge pressure keeps it.
    """
    if set_pa > wanted.highest_gauge_pa or drifts_beyond(case, wanted, set_pa):
        return ()
    held = max(set_pa, 0.0)
    ways = [_hold(case, wanted, held, samples)]
    if too_little(case, wanted):
        quicker = (_burst(case, wanted, held, samples), _shake(case, wanted, held, samples))
        ways += [way for way in quicker if way is not None]
    return tuple(schedule_of(case, wanted, way, samples) for way in ways)


def drifts_beyond(case: KegCase, wanted: Wanted, set_pa: float) -> bool:
    """Whether the beer rises beyond its tolerance even under CO2 without gauge pressure."""
    if set_pa >= 0.0:
        return False
    factor = float(beer_physics.solubility_factor(case.beer))
    least = solubility.equilibrium_volumes(case.ambient_pa, case.place_k, factor)
    return least > wanted.target_vol + wanted.tolerance_vol


def _hold(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way:
    phases = (Phase(HORIZON_S, set_pa),)
    ready = ready_seconds(case, wanted, phases, samples)
    start = clock.after(wanted.start, 0.0)
    steps = (Step(start, _first_step(case, wanted), set_pa), *pour_step(wanted, ready))
    return Way("hold", "Hold at serving pressure", phases, steps, ready)


def _first_step(case: KegCase, wanted: Wanted) -> str:
    """Beer that is at its level is not purged: that would only cost it gas."""
    if too_much(case, wanted):
        return OVER_STEP
    return FLAT_STEP if too_little(case, wanted) else LEVEL_STEP


def _burst(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way | None:
    burst_pa = min(BURST_GAUGE_PA, wanted.highest_gauge_pa)
    if burst_pa < set_pa + BURST_WORTH_PA:
        return None
    seconds = _burst_time(case, wanted, burst_pa, samples)
    if seconds < BURST_STEP_S:
        return None
    phases = (Phase(seconds, burst_pa), Phase(HORIZON_S - seconds, set_pa))
    ready = ready_seconds(case, wanted, phases, samples, not_before=seconds)
    steps = (
        Step(
            clock.after(wanted.start, 0.0),
            "Take the beer disconnect off, shut the gas to other kegs, purge, set the burst.",
            burst_pa,
        ),
        Step(
            clock.after(wanted.start, seconds),
            "Gas off. Vent the keg by its relief valve until it is quiet, then set the serving "
            "pressure, gas on, beer disconnect back on.",
            set_pa,
        ),
        *pour_step(wanted, ready),
    )
    return Way("burst", f"Burst for {seconds / HOUR_S:g} h, then hold", phases, steps, ready)


def _burst_time(case: KegCase, wanted: Wanted, burst_pa: float, samples: Draws) -> float:
    """The longest burst, in whole half hours, that leaves even a quick keg within its tolerance.

    One keg in ten is quicker than that one; it ends half the tolerance above the target at most,
    as too much gas is slow to get out again. 0 where half an hour is too long already.
    """
    quick = float(np.quantile(rate_samples("still", samples), HIGH))
    course = follow(case, (Phase(LONGEST_BURST_S, burst_pa),), rate_factor=quick)
    seconds = min(
        float(first_reached(course, wanted.target_vol + wanted.tolerance_vol / 2)[0]),
        LONGEST_BURST_S,
    )
    return math.floor(seconds / BURST_STEP_S) * BURST_STEP_S


def _shake(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way | None:
    """At the pressure that keeps the target as cold as it is: no shaking can overshoot."""
    wait = _chill_time(case)
    shake_pa = max(
        serving_gauge(replace(case, place_k=temperature_at(case, wait)), wanted.target_vol), 0.0
    )
    minutes = _shake_minutes(case, wanted, wait, set_pa)
    if minutes is None or shake_pa > wanted.highest_gauge_pa:
        return None
    before = (Phase(wait, set_pa),) if wait > 0.0 else ()
    shaken = wait + 60.0 * minutes
    shaking = Phase(60.0 * minutes, shake_pa, "shaken")
    phases = (*before, shaking, Phase(HORIZON_S - shaken, set_pa))
    ready = ready_seconds(case, wanted, phases, samples, not_before=shaken + SETTLE_S)
    chill = Step(
        clock.after(wanted.start, 0.0),
        "Purge, set the pressure, let it chill with the gas on.",
        set_pa,
    )
    steps = (
        *((chill,) if before else ()),
        Step(
            clock.after(wanted.start, wait),
            f"{'' if before else 'Purge. '}Gas on, keg lying or tilted with its gas post up: rock "
            f"it for {_minutes(minutes)} in all, in bouts as you like.",
            shake_pa,
        ),
        Step(
            clock.after(wanted.start, shaken),
            "Stand it upright, cold, at serving pressure, and let it rest for 6 hours.",
            set_pa,
        ),
        *pour_step(wanted, ready),
    )
    return Way("shake", f"Shake for {_minutes(minutes)}", phases, steps, ready)


def _minutes(count: int) -> str:
    return f"{count} minute{'' if count == 1 else 's'}"


def _shake_minutes(case: KegCase, wanted: Wanted, wait: float, set_pa: float) -> int | None:
    """Minutes of rocking, whole, after `wait` seconds at rest; `None` where it is not worth it."""
    level = case.start_vol
    if wait > 0.0:
        level = float(follow(case, (Phase(wait, set_pa),)).level_vol[-1])
    near = wanted.target_vol - wanted.tolerance_vol / 2
    still = absorption.still_rate(case.beer, temperature_at(case, wait), case.depth_m)
    rate = float(still) * SHAKEN_CONTACT.value
    seconds = absorption.time_to_reach(level, near, wanted.target_vol, rate)
    minutes = math.ceil(float(seconds) / 60.0)
    return minutes if 0 < minutes <= LONGEST_SHAKE_MINUTES else None


def _chill_time(case: KegCase) -> float:
    """Seconds, in whole hours, until the beer is within 2 K of its place."""
    away = abs(case.start_k - case.place_k)
    if away <= SHAKE_READY_K:
        return 0.0
    return math.ceil(case.tau_s * math.log(away / SHAKE_READY_K) / HOUR_S) * HOUR_S
