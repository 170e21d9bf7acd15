"""From phases to a schedule: when it is ready, what it reaches each day, and the bands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from ullage.cellar.course import (
    DAY_S,
    HOUR_S,
    first_fallen,
    first_reached,
    follow,
    relative_rates,
)
from ullage.cellar.draws import HIGH, LOW, Draws
from ullage.cellar.track import FERMENTED_K, Contact, KegCase, Phase
from ullage.plan import cautions, clock
from ullage.plan.acts import Shake
from ullage.plan.answers import Band, CoursePoint, Method, Schedule, Step
from ullage.plan.bands import ends
from ullage.plan.lifting import can_be_rocked

HORIZON_S = 28 * DAY_S
FINE_S, FINE_UNTIL_S = 6 * HOUR_S, 3 * DAY_S


BOUT_S = 900.0
"""Rocking is hard work: a quarter of an hour of it counts as one visit; our own measure."""


@dataclass(frozen=True, slots=True)
class Means:
    """What there is to do it with, and where yeast would work: gauge Pa and K.

    `on_gas`: a regulator's gas can stay on the keg. `keg_gauge_pa`: rating of the keg alone, where
    it stands with nothing connected; `None`: the lowest of all. `warm_place`: one for yeast,
    `None`: none told of. `gravity` and `final_gravity`: of beer that still ferments.
    `valve_gauge_pa`: that of the spunding valve that is on the keg now. `co2_share`: CO2 in the gas
    it is served with, the rest nitrogen. `weight_kg`: the keg with its beer, `None`: not known.
    """

    on_gas: bool = True
    stone: bool = False
    spunding_valve: bool = False
    keg_gauge_pa: float | None = None
    warm_k: float = FERMENTED_K
    warm_place: str | None = None
    gravity: float | None = None
    final_gravity: float | None = None
    valve_gauge_pa: float | None = None
    co2_share: float = 1.0
    weight_kg: float | None = None

    @property
    def can_be_rocked(self) -> bool:
        """Whether two hands rock it on the floor; where its weight is not known, it can be."""
        return self.weight_kg is None or can_be_rocked(self.weight_kg)

    @property
    def ferments(self) -> bool:
        """Whether the beer still ferments, by its gravity."""
        known = self.gravity is not None and self.final_gravity is not None
        return known and (self.gravity or 0.0) > (self.final_gravity or 0.0)


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
    means: Means = field(default_factory=Means)

    @property
    def keg_gauge_pa(self) -> float:
        """The rating of the keg with nothing connected, gauge Pa."""
        known = self.means.keg_gauge_pa
        return self.highest_gauge_pa if known is None else known


@dataclass(frozen=True, slots=True)
class Way:
    """One way to a level: the steps for the hand, and seconds until it is ready.

    Its course comes from `phases` on gas, or is given where the gas is off. `needs`: what it wants
    that is not there; `remark`: what else to say of it.
    """

    method: Method
    title: str
    steps: tuple[Step, ...]
    ready: Band
    gas_kg: float
    phases: tuple[Phase, ...] = ()
    course: tuple[CoursePoint, ...] = ()
    needs: tuple[str, ...] = ()
    remark: str = ""


def ready_seconds(
    case: KegCase,
    wanted: Wanted,
    phases: Sequence[Phase],
    samples: Draws,
    not_before: float = 0.0,
) -> Band:
    """Seconds until the level lies within its tolerance; the band counts all that is uncertain.

    How quickly it absorbs, and what beer, gauge and thermometer make it come to: where they keep
    one sample in ten below its tolerance for good, the band has no late end (infinite).
    """
    if too_much(case, wanted):
        marks = np.arange(0.0, HORIZON_S, FINE_S).tolist()
        most = wanted.target_vol + wanted.tolerance_vol
        seconds = first_fallen(follow(case, phases, marks), most)
        return Band(seconds, seconds, math.inf)
    near = wanted.target_vol - wanted.tolerance_vol
    usual = float(first_reached(follow(case, phases), near)[0])
    reached = first_reached(follow(case, phases, draws=samples), near)
    low, high = ends(np.maximum(reached, not_before), not_before)
    usual = max(usual, not_before)
    return Band(usual, min(low, usual), max(high, usual))


def _slow_seconds(case: KegCase, wanted: Wanted, way: Way, samples: Draws) -> float:
    """Seconds until a keg is ready that absorbs slowly, one in ten slower, set as it should be.

    Where a way is not on gas, the late end of its band.
    """
    if not way.phases or too_much(case, wanted):
        return way.ready.high
    slow = [[_slow(case, phase.contact, samples)] for phase in way.phases]
    near = wanted.target_vol - wanted.tolerance_vol
    reached = first_reached(follow(case, way.phases, rate_factor=np.array(slow)), near)
    return max(float(reached[0]), way.ready.value)


def _slow(case: KegCase, contact: Contact, samples: Draws) -> float:
    return float(np.quantile(relative_rates(case, contact, samples), LOW))


def too_much(case: KegCase, wanted: Wanted) -> bool:
    """Whether the beer holds more than it should, its tolerance counted."""
    return case.start_vol > wanted.target_vol + wanted.tolerance_vol


def too_little(case: KegCase, wanted: Wanted) -> bool:
    """Whether the beer holds less than it should, its tolerance counted."""
    return case.start_vol < wanted.target_vol - wanted.tolerance_vol


def schedule_of(case: KegCase, wanted: Wanted, way: Way, samples: Draws) -> Schedule:
    """The way as a schedule with its course."""
    by, ready_at = wanted.by, moment(wanted, way.ready.value)
    slow = _slow_seconds(case, wanted, way, samples)
    return Schedule(
        method=way.method,
        title=way.title,
        steps=_in_order((*way.steps, *_pour_step(wanted, way.ready))),
        course=way.course or _course(case, wanted, way, samples),
        ready_at=ready_at,
        ready_early=moment(wanted, way.ready.low),
        ready_late=moment(wanted, way.ready.high),
        makes_date=None if by is None else ready_at is not None and ready_at <= by,
        cautions=cautions.for_method(way.method, wanted.highest_gauge_pa, wanted.means.weight_kg),
        remark=" ".join(said for said in (_remark(wanted, way.ready, slow), way.remark) if said),
        gas_kg=way.gas_kg,
        visits=_visits(way.steps),
        needs=way.needs,
        ready_slow=moment(wanted, slow),
    )


def _in_order(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    return tuple(sorted(steps, key=lambda step: step.at))


def _visits(steps: Sequence[Step]) -> int:
    """How often a hand must do something, long rocking counted by its bouts."""
    rocked = [act.duration_s for step in steps for act in step.acts if isinstance(act, Shake)]
    return len(steps) + sum(math.ceil(seconds / BOUT_S) - 1 for seconds in rocked)


def moment(wanted: Wanted, seconds: float) -> datetime | None:
    """The moment, rounded up to the minute; `None` where it lies beyond what was looked at."""
    if not math.isfinite(seconds) or seconds > HORIZON_S:
        return None
    return clock.after(wanted.start, 60.0 * math.ceil(seconds / 60.0))


def _pour_step(wanted: Wanted, ready: Band) -> tuple[Step, ...]:
    """The last step of a way, where it comes to an end."""
    at = moment(wanted, ready.value)
    return () if at is None else (Step(at, "Within its tolerance: pour and enjoy.", None),)


def temperature_at(case: KegCase, seconds: float) -> float:
    """Temperature of the beer (K) so long after the start (Newton)."""
    return case.place_k + (case.start_k - case.place_k) * math.exp(-seconds / case.tau_s)


def _course(case: KegCase, wanted: Wanted, way: Way, samples: Draws) -> tuple[CoursePoint, ...]:
    """The level each day (each six hours at first), and at each change, with its band."""
    marks = _marks(way)
    middle = follow(case, way.phases, marks)
    sampled = follow(case, way.phases, marks, samples)
    low, high = np.quantile(sampled.level_vol, (LOW, HIGH), axis=1)
    points = []
    for mark in marks:
        i = int(np.searchsorted(middle.time_s, mark))
        held = min(i, len(middle.gauge_pa) - 1)
        level = float(middle.level_vol[i])
        points.append(
            CoursePoint(
                at=clock.after(wanted.start, mark),
                reached_vol=level,
                reached_low_vol=min(float(low[i]), level),
                reached_high_vol=max(float(high[i]), level),
                gauge_pressure_pa=float(middle.gauge_pa[held]),
                temperature_k=temperature_at(case, mark),
            )
        )
    return tuple(points)


def _marks(way: Way) -> list[float]:
    """Seconds at which the course is told: two weeks, or two days beyond ready."""
    ready = min(way.ready.value, HORIZON_S - 2 * DAY_S)
    last = max(14 * DAY_S, math.ceil(ready / DAY_S + 2) * DAY_S)
    marks = {*np.arange(0.0, FINE_UNTIL_S, FINE_S), *np.arange(0.0, last + 1.0, DAY_S)}
    ends = np.cumsum([phase.seconds for phase in way.phases])
    return sorted({float(mark) for mark in (*marks, *ends) if mark <= last})


def _remark(wanted: Wanted, ready: Band, slow: float) -> str:
    if not math.isfinite(ready.value):
        return "Does not come within the tolerance in four weeks."
    if ready.value == 0.0:
        return "Within its tolerance already."
    at, late = moment(wanted, ready.value), moment(wanted, slow)
    if wanted.by is None or at is None:
        return ""
    if at > wanted.by:
        return "Misses the date."
    return "" if late is not None and late <= wanted.by else "A slow keg would miss the date."
