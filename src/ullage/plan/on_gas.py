"""Ways with the gas on: hold at serving pressure, burst, shake, gas through a stone.

Each is a list of phases that `ullage.cellar.course` follows; the steps for the hand say the same in
words, their acts for the log.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ullage.cellar.course import (
    DAY_S,
    HOUR_S,
    first_reached,
    follow,
    relative_rates,
    serving_gauge,
)
from ullage.cellar.draws import HIGH, Draws
from ullage.cellar.track import KegCase, Phase
from ullage.everyday_units import PSI
from ullage.physics import absorption, headspace
from ullage.physics.constants import SHAKEN_CONTACT, STONE_CONTACT
from ullage.plan import clock
from ullage.plan.acts import Act, Purge, SetGas, Shake, ShutGas, TopUp, Vent
from ullage.plan.answers import Step
from ullage.plan.gas import PURGE_CYCLES, PURGE_GAUGE_PA
from ullage.plan.schedule import (
    HORIZON_S,
    Wanted,
    Way,
    ready_seconds,
    temperature_at,
    too_little,
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
SETTLE_STONE_S = HOUR_S
"""Rest after a stone before it pours calmly (common practice, no source)."""
LONGEST_STONE_S = DAY_S
STONE_STEP_S = HOUR_S / 2
NO_GAS = "a regulator whose gas can stay on this keg"
NO_STONE = "a keg with a carbonation stone"
NOT_DONE = "fermentation to be over first"
FLAT_STEP = "Purge the headspace, set the pressure, leave the gas on."
LEVEL_STEP = "Set the pressure, leave the gas on."


def hold(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way:
    """Set the serving pressure and wait."""
    phases = (Phase(HORIZON_S, set_pa),)
    ready = ready_seconds(case, wanted, phases, samples)
    flat = too_little(case, wanted)
    acts: tuple[Act, ...] = (SetGas(set_pa),)
    if flat:
        acts = (purge(wanted), *acts)
    do = FLAT_STEP if flat else LEVEL_STEP  # a purge would only cost beer at its level its gas
    steps = (Step(clock.after(wanted.start, 0.0), do, set_pa, acts),)
    return Way(
        "hold",
        "Hold at serving pressure",
        steps,
        ready,
        gas_taken(case, wanted, steps),
        phases,
        needs=missing(wanted),
    )


def burst(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way | None:
    """A high pressure for a time, then the serving pressure; `None` where it gains nothing."""
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
            (purge(wanted), SetGas(burst_pa)),
        ),
        Step(
            clock.after(wanted.start, seconds),
            "Gas off. Vent the keg by its relief valve until it is quiet, then set the serving "
            "pressure, gas on, beer disconnect back on.",
            set_pa,
            (ShutGas(), Vent(), SetGas(set_pa)),
        ),
    )
    return Way(
        "burst",
        f"Burst for {seconds / HOUR_S:g} h, then hold",
        steps,
        ready,
        gas_taken(case, wanted, steps),
        phases,
        needs=missing(wanted),
    )


def _burst_time(case: KegCase, wanted: Wanted, burst_pa: float, samples: Draws) -> float:
    """The longest burst, in whole half hours, that leaves even a quick keg within its tolerance.

    One keg in ten is quicker than that one; it ends half the tolerance above the target at most,
    as too much gas is slow to get out again. 0 where half an hour is too long already.
    """
    quick = float(np.quantile(relative_rates(case, "still", samples), HIGH))
    course = follow(case, (Phase(LONGEST_BURST_S, burst_pa),), rate_factor=quick)
    seconds = min(
        float(first_reached(course, wanted.target_vol + wanted.tolerance_vol / 2)[0]),
        LONGEST_BURST_S,
    )
    return math.floor(seconds / BURST_STEP_S) * BURST_STEP_S


def shake(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way | None:
    """At the pressure that keeps the target as cold as it is: no shaking can overshoot.

    `None` where it takes too long, a rating forbids it, or the keg is too heavy to be rocked.
    """
    if not wanted.means.can_be_rocked:
        return None
    wait = chill_time(case)
    rock_pa = _gauge_after(case, wanted, wait)
    seconds = _agitated_seconds(case, wanted, wait, set_pa, SHAKEN_CONTACT.value)
    minutes = math.ceil(seconds / 60.0) if math.isfinite(seconds) else 0
    if not 0 < minutes <= LONGEST_SHAKE_MINUTES or rock_pa > wanted.highest_gauge_pa:
        return None
    end = wait + 60.0 * minutes
    do = (
        f"Gas on, keg lying or tilted with its gas post up: rock it for {_minutes(minutes)} in "
        "all, in bouts as you like."
    )
    acts: tuple[Act, ...] = (SetGas(rock_pa), Shake(60.0 * minutes))
    stand = "Stand it upright in its place, at serving pressure, and let it rest for 6 hours."
    steps = (
        *_cold_first(wanted, wait, set_pa, do, rock_pa, acts),
        Step(clock.after(wanted.start, end), stand, set_pa, (SetGas(set_pa),)),
    )
    phases = _agitated(wait, end, set_pa, Phase(60.0 * minutes, rock_pa, "shaken"))
    ready = ready_seconds(case, wanted, phases, samples, not_before=end + SETTLE_S)
    return Way(
        "shake",
        f"Shake for {_minutes(minutes)}",
        steps,
        ready,
        gas_taken(case, wanted, steps),
        phases,
        needs=missing(wanted),
    )


def stone(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Way | None:
    """Gas in fine bubbles at the pressure that keeps the target as cold as it is."""
    wait = chill_time(case)
    stone_pa = _gauge_after(case, wanted, wait)
    exact = _agitated_seconds(case, wanted, wait, set_pa, STONE_CONTACT.value)
    if not 0.0 < exact <= LONGEST_STONE_S or stone_pa > wanted.highest_gauge_pa:
        return None
    seconds = math.ceil(exact / STONE_STEP_S) * STONE_STEP_S
    end = wait + seconds
    do = (
        "Gas on through the stone: begin low and come up to this in small steps over a quarter of "
        f"an hour, or it foams over. Leave it for {seconds / HOUR_S:g} h."
    )
    off = "Take the gas off the stone and put it on the headspace, at serving pressure."
    steps = (
        *_cold_first(wanted, wait, set_pa, do, stone_pa, (SetGas(stone_pa, "stone"),)),
        Step(clock.after(wanted.start, end), off, set_pa, (SetGas(set_pa),)),
    )
    phases = _agitated(wait, end, set_pa, Phase(seconds, stone_pa, "stone"))
    ready = ready_seconds(case, wanted, phases, samples, not_before=end + SETTLE_STONE_S)
    needs = missing(wanted) if wanted.means.stone else (NO_STONE, *missing(wanted))
    title = f"Gas through a stone for {seconds / HOUR_S:g} h"
    gas_kg = gas_taken(case, wanted, steps)
    return Way("stone", title, steps, ready, gas_kg, phases, needs=needs)


def _cold_first(
    wanted: Wanted, wait: float, set_pa: float, do: str, gauge_pa: float, acts: tuple[Act, ...]
) -> tuple[Step, ...]:
    """What to do to cold beer, after the wait that warm beer needs first."""
    if wait <= 0.0:
        acts = (purge(wanted), *acts)
        return (Step(clock.after(wanted.start, 0.0), f"Purge. {do}", gauge_pa, acts),)
    chill = "Purge, set the pressure, let it cool with the gas on."
    first = (purge(wanted), SetGas(set_pa))
    return (
        Step(clock.after(wanted.start, 0.0), chill, set_pa, first),
        Step(clock.after(wanted.start, wait), do, gauge_pa, acts),
    )


def _agitated(wait: float, end: float, set_pa: float, phase: Phase) -> tuple[Phase, ...]:
    before = (Phase(wait, set_pa),) if wait > 0.0 else ()
    return (*before, phase, Phase(HORIZON_S - end, set_pa))


def _gauge_after(case: KegCase, wanted: Wanted, wait: float) -> float:
    """Gauge pressure (Pa) that keeps the target in the beer as warm as it is by then."""
    then = replace(case, place_k=temperature_at(case, wait))
    return max(serving_gauge(then, wanted.target_vol), 0.0)


def missing(wanted: Wanted) -> tuple[str, ...]:
    """What a way on gas wants of this keg that is not there."""
    found = () if wanted.means.on_gas else (NO_GAS,)
    return (*found, NOT_DONE) if wanted.means.ferments else found


def purge(wanted: Wanted) -> Purge:
    """The usual purge, no harder than the weakest part stands."""
    return Purge(PURGE_CYCLES, min(PURGE_GAUGE_PA, wanted.highest_gauge_pa))


def gas_taken(case: KegCase, wanted: Wanted, steps: Sequence[Step]) -> float:
    """CO2 (kg) from the cylinder: for the steps, and for the beer to reach its target."""
    most = max(wanted.target_vol, case.start_vol)
    beer = headspace.gas_to_carbonate(case.beer_m3, case.start_vol, most)
    return float(beer) + gas_for_head(case, [act for step in steps for act in step.acts])


def gas_for_head(case: KegCase, acts: Sequence[Act]) -> float:
    """CO2 (kg) from the cylinder for purges and for the head as it is set, the beer left out."""
    base, head, warm, taken = case.ambient_pa, case.ambient_pa, case.place_k, 0.0
    for act in acts:
        if isinstance(act, Purge):
            gauge = act.gauge_pressure_pa
            taken += float(headspace.purge_gas_mass(act.cycles, case.head_m3, gauge, warm, base))
        elif isinstance(act, Vent):
            head = min(head, base + act.gauge_pressure_pa)
        elif isinstance(act, SetGas | TopUp):
            full = max(head, base + act.gauge_pressure_pa)
            taken += float(headspace.top_up_mass(case.head_m3, head, full, warm))
            head = full
    return taken


def _minutes(count: int) -> str:
    return f"{count} minute{'' if count == 1 else 's'}"


def _agitated_seconds(
    case: KegCase, wanted: Wanted, wait: float, set_pa: float, contact: float
) -> float:
    """Seconds of agitation, after `wait` at rest, until half the tolerance is left; 0: none."""
    level = case.start_vol
    if wait > 0.0:
        level = float(follow(case, (Phase(wait, set_pa),)).level_vol[-1])
    near = wanted.target_vol - wanted.tolerance_vol / 2
    still = absorption.still_rate(case.beer, temperature_at(case, wait), case.depth_m)
    rate = float(still) * contact
    return float(absorption.time_to_reach(level, near, wanted.target_vol, rate))


def chill_time(case: KegCase) -> float:
    """Seconds, in whole hours, until the beer is within 2 K of its place."""
    away = abs(case.start_k - case.place_k)
    if away <= SHAKE_READY_K:
        return 0.0
    return math.ceil(case.tau_s * math.log(away / SHAKE_READY_K) / HOUR_S) * HOUR_S
