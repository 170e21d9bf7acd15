"""What a thermometer or a gauge tells: that a place or a pressure has changed for good.

A door that is opened, and a compressor that comes and goes, change nothing for good. So the mean of
each hour is looked at, not each reading: only where four hours running lie off what was told last,
all on one side and by more than a margin, and agree with each other, is their mean told, from the
first of them on. The next change must then be as large again: that keeps it from flapping.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Final

from ullage.cellar.samples import Sample

HOURS: Final = 4
"""So many hours must agree; common practice, no source."""
STALE: Final = timedelta(hours=24)
"""Hours further back no longer count beside new ones: the sensor was silent between."""
_HOUR: Final = timedelta(hours=1)
_START: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Hour:
    """The readings of an hour (UTC): when it began, their sum and how many they are, in SI."""

    since: datetime
    total: float
    count: int

    @property
    def mean(self) -> float:
        """Their mean."""
        return self.total / self.count


@dataclass(frozen=True, slots=True)
class ChangeState:
    """Where the following stands: what was told last (SI), whole hours since, and this one."""

    told: float | None = None
    hours: tuple[Hour, ...] = ()
    now: Hour | None = None


@dataclass(frozen=True, slots=True)
class Changed:
    """It has changed for good: from this moment on, to this value (SI)."""

    at: datetime
    value: float


def follow_change(
    state: ChangeState, samples: Iterable[Sample], margin: float
) -> tuple[ChangeState, list[Changed]]:
    """Follow a quantity through samples in their order: where it stands then, and what changed.

    `margin`: the least change worth telling, in SI.
    """
    found: list[Changed] = []
    for one in samples:
        hour = _START + (one.at - _START) // _HOUR * _HOUR
        now = state.now
        if now is None or now.since != hour:
            state, now = _closed(state, margin, found), Hour(hour, 0.0, 0)
        state = replace(state, now=Hour(now.since, now.total + one.value, now.count + 1))
    return state, found


def _closed(state: ChangeState, margin: float, found: list[Changed]) -> ChangeState:
    """The state with its hour at an end, and what that tells."""
    if state.now is None:
        return state
    fresh = [one for one in state.hours if state.now.since - one.since < STALE]
    hours = (*fresh, state.now)[-HOURS:]
    if len(hours) < HOURS or not _is_told(state.told, [one.mean for one in hours], margin):
        return ChangeState(state.told, hours)
    mean = sum(one.mean for one in hours) / HOURS
    found.append(Changed(hours[0].since, mean))
    return ChangeState(mean)


def _is_told(told: float | None, means: list[float], margin: float) -> bool:
    if max(means) - min(means) > margin:
        return False
    return told is None or min(means) > told + margin or max(means) < told - margin
