"""What the strips of a carbonation chart share: how much time and which levels they show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, floor
from typing import Final

from ullage.plan.answers import CarbonationAnswer, CoursePoint

SHORTEST_DAYS: Final = 2.0
"""Show at least this much time, even of a beer that is ready now."""
SMALLEST_STEP_VOL: Final = 0.006
"""A bend smaller than this is not seen at the size we draw."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What all strips of one chart share: the time and the level they span."""

    start: datetime
    days: float
    low_vol: float
    high_vol: float
    target_vol: float
    tolerance_vol: float
    wanted: float | None
    now: float | None

    def day(self, when: datetime) -> float:
        """Days from the start, held within the frame."""
        return min(max((when - self.start) / timedelta(days=1), 0.0), self.days)

    @property
    def floor_vol(self) -> float:
        """Give the level at which the ready mark's dimension line lies."""
        return self.low_vol + 0.13 * (self.high_vol - self.low_vol)


def frame_of(answer: CarbonationAnswer, now: datetime | None = None) -> Frame:
    """Choose the time and the levels to show: to a little after the last thing that matters."""
    courses = [point for one in answer.schedules for point in one.course]
    start = min(point.at for point in courses)
    end = max(point.at for point in courses)
    marks = [one.ready_late or one.ready_at or end for one in answer.schedules]
    marks += [answer.wanted_by] if answer.wanted_by else []
    longest = (end - start) / timedelta(days=1)
    days = min(longest, 1.12 * ((max(marks) - start) / timedelta(days=1)))
    lows = [point.reached_low_vol for point in courses]
    highs = [point.reached_high_vol for point in courses]
    low = min(*lows, answer.target_vol - answer.tolerance_vol)
    high = max(*highs, answer.target_vol + answer.tolerance_vol)
    frame = Frame(
        start,
        min(longest, max(days, SHORTEST_DAYS)),
        floor((low - 0.3 * (high - low)) * 4) / 4,
        ceil(high * 4 + 0.2) / 4,
        answer.target_vol,
        answer.tolerance_vol,
        None,
        None,
    )
    return _with_marks(frame, answer.wanted_by, now)


def _with_marks(frame: Frame, wanted: datetime | None, now: datetime | None) -> Frame:
    within = [
        (when - frame.start) / timedelta(days=1) if when is not None else None
        for when in (wanted, now)
    ]
    shown = [day if day is not None and 0 <= day <= frame.days else None for day in within]
    return replace(frame, wanted=shown[0], now=shown[1])


def thinned(course: Sequence[CoursePoint]) -> list[CoursePoint]:
    """Keep the points that the eye needs: no straight piece strays by `SMALLEST_STEP_VOL`."""
    if len(course) < 3:
        return [*course]
    strays = [_stray(course[0], course[-1], point) for point in course[1:-1]]
    worst = max(strays)
    if worst < SMALLEST_STEP_VOL:
        return [course[0], course[-1]]
    cut = strays.index(worst) + 1
    return thinned(course[: cut + 1])[:-1] + thinned(course[cut:])


def _stray(first: CoursePoint, last: CoursePoint, point: CoursePoint) -> float:
    span = (last.at - first.at) / (point.at - first.at) if last.at > first.at else 1.0
    share = 1 / span if span else 0.0
    triples = (
        (first.reached_vol, last.reached_vol, point.reached_vol),
        (first.reached_low_vol, last.reached_low_vol, point.reached_low_vol),
        (first.reached_high_vol, last.reached_high_vol, point.reached_high_vol),
    )
    return max(abs(a + share * (b - a) - here) for a, b, here in triples)
