"""Three ways to bring a beer to its level: hold at serving pressure, burst, shake.

Each is a list of phases that `ullage.plan.course` follows; the steps for the hand say the same in
words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from ullage.physics import absorption
from ullage.physics.constants import SHAKEN_CONTACT
from ullage.plan import cautions
from ullage.plan.answers import Band, CoursePoint, Method, Schedule, Step
from ullage.plan.course import (
    DAY_S,
    HOUR_S,
    Contact,
    KegCase,
    Phase,
    first_fallen,
    first_reached,
    follow,
    rate_samples,
    serving_gauge,
)
from ullage.plan.draws import HIGH, LOW, Draws

PSI = 6894.757293168
BURST_GAUGE_PA = 40 * PSI
"""Usual for a burst: 40 psi for about a day (common practice, no source)."""
BURST_WORTH_PA = 5 * PSI
BURST_STEP_S = HOUR_S / 2
LONGEST_BURST_S = 3 * DAY_S
SHAKE_READY_K = 2.0
LONGEST_SHAKE_MINUTES = 180
SETTLE_S = 6 * HOUR_S
"""Rest after shaking before it pours calmly (common practice, no source)."""
HORIZON_S = 28 * DAY_S
FINE_S, FINE_UNTIL_S = 6 * HOUR_S, 3 * DAY_S
OVER_STEP = "Leave the gas off and vent as the remark says; then set the pressure."


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted of a keg: its level, how near, by when, and what its parts allow.

    `highest_gauge_pa` is the lowest rating of everything that sees the pressure.
    """

    beer: str
    keg: str
    place: str
    target_vol: float
    tolerance_vol: float
    start: datetime
    by: datetime | None
    present_gauge_pa: float | None
    highest_gauge_pa: float


def schedules(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> tuple[Schedule, ...]:
    """All ways that this keg allows, the gentlest first; none where the rating forbids."""
    if set_pa > wanted.highest_gauge_pa:
        return ()
    made = [_hold(case, wanted, set_pa, samples)]
    if case.start_vol < wanted.target_vol - wanted.tolerance_vol:
        made += [
            schedule
            for schedule in (
                _burst(case, wanted, set_pa, samples),
                _shake(case, wanted, set_pa, samples),
            )
            if schedule is not None
        ]
    return tuple(made)


def _hold(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Schedule:
    phases = (Phase(HORIZON_S, set_pa),)
    ready = _ready(case, wanted, phases, "still", samples)
    over = case.start_vol > wanted.target_vol + wanted.tolerance_vol
    do = OVER_STEP if over else "Purge the headspace, set the pressure, leave the gas on."
    steps = [Step(wanted.start, do, set_pa), *_pour_step(wanted, ready.value)]
    return _schedule(
        case, wanted, phases, "hold", "Hold at serving pressure", tuple(steps), ready, samples
    )


def _burst(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Schedule | None:
    burst_pa = min(BURST_GAUGE_PA, wanted.highest_gauge_pa)
    if burst_pa < set_pa + BURST_WORTH_PA:
        return None
    seconds = _burst_time(case, wanted, burst_pa, samples)
    phases = (Phase(seconds, burst_pa), Phase(HORIZON_S - seconds, set_pa))
    ready = _not_before(_ready(case, wanted, phases, "still", samples), seconds)
    end = wanted.start + timedelta(seconds=seconds)
    steps = (
        Step(
            wanted.start,
            "Take the beer disconnect off, shut the gas to other kegs, purge, set the burst.",
            burst_pa,
        ),
        Step(
            end,
            "Gas off. Vent the keg by its relief valve until it is quiet, then set the serving "
            "pressure, gas on, beer disconnect back on.",
            set_pa,
        ),
        *_pour_step(wanted, ready.value),
    )
    title = f"Burst for {_hours(seconds)}, then hold"
    return _schedule(case, wanted, phases, "burst", title, steps, ready, samples)


def _burst_time(case: KegCase, wanted: Wanted, burst_pa: float, samples: Draws) -> float:
    """The longest burst that leaves even a quick keg within its tolerance.

    One keg in ten is quicker than that one; it ends half the tolerance above the target at most,
    as too much gas is slow to get out again.
    """
    quick = float(np.quantile(rate_samples("still", samples), HIGH))
    course = follow(case, (Phase(LONGEST_BURST_S, burst_pa),), rate_factor=quick)
    seconds = min(
        float(first_reached(course, wanted.target_vol + wanted.tolerance_vol / 2)[0]),
        LONGEST_BURST_S,
    )
    return max(BURST_STEP_S, math.floor(seconds / BURST_STEP_S) * BURST_STEP_S)


def _shake(case: KegCase, wanted: Wanted, set_pa: float, samples: Draws) -> Schedule | None:
    """At the pressure that keeps the target as cold as it is: no shaking can overshoot."""
    wait = _chill_time(case)
    shake_pa = max(
        serving_gauge(replace(case, place_k=_temperature(case, wait)), wanted.target_vol), 0.0
    )
    minutes = _shake_minutes(case, wanted, wait, set_pa)
    if minutes is None or shake_pa > wanted.highest_gauge_pa:
        return None
    before = (Phase(wait, set_pa),) if wait > 0.0 else ()
    shaking = minutes * 60.0
    rest = HORIZON_S - wait - shaking
    phases = (*before, Phase(shaking, shake_pa, "shaken"), Phase(rest, set_pa))
    ready = _not_before(_ready(case, wanted, phases, "shaken", samples), wait + shaking + SETTLE_S)
    begin = wanted.start + timedelta(seconds=wait)
    first = Step(wanted.start, "Purge, set the pressure, let it chill with the gas on.", set_pa)
    steps = (
        *((first,) if before else ()),
        Step(
            begin,
            f"Gas on, keg lying or tilted with its gas post up: rock it for {minutes} minutes in "
            "all, in bouts as you like.",
            shake_pa,
        ),
        Step(
            begin + timedelta(minutes=minutes),
            "Stand it upright, cold, at serving pressure, and let it rest for 6 hours.",
            set_pa,
        ),
        *_pour_step(wanted, ready.value),
    )
    title = f"Shake for {minutes} minutes"
    return _schedule(case, wanted, phases, "shake", title, steps, ready, samples)


def _shake_minutes(case: KegCase, wanted: Wanted, wait: float, set_pa: float) -> int | None:
    """Minutes of rocking, whole, after `wait` seconds at rest; `None` where it is not worth it."""
    level = case.start_vol
    if wait > 0.0:
        level = float(follow(case, (Phase(wait, set_pa),)).level_vol[-1])
    near = wanted.target_vol - wanted.tolerance_vol / 2
    still = absorption.still_rate(case.beer, _temperature(case, wait), case.depth_m)
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


def _not_before(ready: Band, seconds: float) -> Band:
    return Band(*(max(each, seconds) for each in (ready.value, ready.low, ready.high)))


def _ready(
    case: KegCase, wanted: Wanted, phases: Sequence[Phase], contact: Contact, samples: Draws
) -> Band:
    """Seconds until the level lies within its tolerance, with the band of the rate alone."""
    if case.start_vol > wanted.target_vol + wanted.tolerance_vol:
        seconds = first_fallen(follow(case, phases), wanted.target_vol + wanted.tolerance_vol)
        return Band(seconds, seconds, math.inf)
    near = wanted.target_vol - wanted.tolerance_vol
    speeds = np.quantile(rate_samples(contact, samples), (0.5, HIGH, LOW))
    speeds[0] = 1.0
    course = follow(case, phases, rate_factor=speeds)
    return Band(*(float(seconds) for seconds in first_reached(course, near)))


def _schedule(
    case: KegCase,
    wanted: Wanted,
    phases: Sequence[Phase],
    method: Method,
    title: str,
    steps: tuple[Step, ...],
    ready: Band,
    samples: Draws,
) -> Schedule:
    by = wanted.by
    ready_at = _when(wanted.start, ready.value)
    makes = None if by is None else ready_at is not None and ready_at <= by
    return Schedule(
        method=method,
        title=title,
        steps=steps,
        course=_course(case, wanted, phases, ready, samples),
        ready_at=ready_at,
        ready_early=_when(wanted.start, ready.low),
        ready_late=_when(wanted.start, ready.high),
        makes_date=makes,
        cautions=cautions.for_method(method),
        remark=_remark(wanted, ready),
    )


def _course(
    case: KegCase, wanted: Wanted, phases: Sequence[Phase], ready: Band, samples: Draws
) -> tuple[CoursePoint, ...]:
    """The level each day (each six hours at first), and at each change, with its band."""
    last = max(14 * DAY_S, math.ceil(min(ready.value, HORIZON_S - 2 * DAY_S) / DAY_S + 2) * DAY_S)
    marks = {*np.arange(0.0, FINE_UNTIL_S, FINE_S), *np.arange(0.0, last + 1.0, DAY_S)}
    marks |= {float(end) for end in np.cumsum([phase.seconds for phase in phases]) if end <= last}
    middle = follow(case, phases, sorted(marks))
    sampled = follow(case, phases, sorted(marks), samples)
    low, high = np.quantile(sampled.level_vol, (LOW, HIGH), axis=1)
    points = []
    for mark in sorted(marks):
        i = int(np.searchsorted(middle.time_s, mark))
        held = min(i, len(middle.gauge_pa) - 1)
        level = float(middle.level_vol[i])
        points.append(
            CoursePoint(
                at=wanted.start + timedelta(seconds=mark),
                reached_vol=level,
                reached_low_vol=min(float(low[i]), level),
                reached_high_vol=max(float(high[i]), level),
                gauge_pressure_pa=float(middle.gauge_pa[held]),
                temperature_k=_temperature(case, mark),
            )
        )
    return tuple(points)


def _temperature(case: KegCase, seconds: float) -> float:
    return case.place_k + (case.start_k - case.place_k) * math.exp(-seconds / case.tau_s)


def _when(start: datetime, seconds: float) -> datetime | None:
    """The moment, rounded up to the minute; `None` where it lies beyond what was looked at."""
    if not math.isfinite(seconds) or seconds > HORIZON_S:
        return None
    return start + timedelta(minutes=math.ceil(seconds / 60.0))


def _pour_step(wanted: Wanted, ready_s: float) -> tuple[Step, ...]:
    at = _when(wanted.start, ready_s)
    return () if at is None else (Step(at, "Within its tolerance: pour and enjoy.", None),)


def _hours(seconds: float) -> str:
    return f"{seconds / HOUR_S:g} h"


def _remark(wanted: Wanted, ready: Band) -> str:
    if not math.isfinite(ready.value):
        return "Does not come within the tolerance in four weeks."
    if ready.value == 0.0:
        return "Within its tolerance already."
    at, late = _when(wanted.start, ready.value), _when(wanted.start, ready.high)
    if wanted.by is None or at is None:
        return ""
    if at > wanted.by:
        return "Misses the date."
    return "" if late is not None and late <= wanted.by else "A slow keg would miss the date."
