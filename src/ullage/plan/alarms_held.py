"""Whether a limit is passed by what a sensor said, and since when: with a delay and a hysteresis.

A limit holds once every sample lay beyond it for as long as it `lasts`, and until all samples of
ten minutes lie within its other end. Nothing is remembered for it: the samples are gone through
anew each time, and as only whole stretches of ten minutes count, the same samples give the same
answer whenever they are asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from ullage.cellar.samples import Bucket
from ullage.plan.alarms_answer import AlarmKind, Level

STRETCH: Final = timedelta(minutes=10)
"""The samples of so long are looked at as one."""
TRUSTED: Final = timedelta(hours=6)
"""Between two readings not further apart than this a thing is taken to be as at both; our choice:
cheap sensors speak each hour or two while nothing changes."""
_START: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit on what a sensor says, in SI.

    `above`: it is passed upwards, else downwards. It begins beyond `beyond`, lasting for `lasts`
    (none: at once, by one sample), and ends within `within`. `judged_from`: what was said before
    that moment does not count.
    """

    kind: AlarmKind
    level: Level
    above: bool
    beyond: float
    within: float
    lasts: timedelta
    judged_from: datetime | None = None

    def is_beyond(self, one: Bucket) -> bool:
        """Whether every sample of a stretch is beyond; any of them, where it holds at once."""
        if not self.lasts:
            return one.high > self.beyond if self.above else one.low < self.beyond
        return one.low > self.beyond if self.above else one.high < self.beyond

    def is_within(self, one: Bucket) -> bool:
        """Whether every sample of a stretch is back."""
        return one.high < self.within if self.above else one.low > self.within


def aligned(at: datetime, width: timedelta = STRETCH) -> datetime:
    """The start of the stretch that a moment lies in, counted from the start of 1970 UTC."""
    return at - (at - _START) % width


def judged(limit: Limit, buckets: Iterable[Bucket], at: datetime) -> list[Bucket]:
    """The stretches that count: since the limit is judged, whole ones, or any where it holds at
    once."""
    first = limit.judged_from
    return [
        one
        for one in buckets
        if (first is None or one.since >= first) and (not limit.lasts or _is_whole(one, at))
    ]


def _is_whole(one: Bucket, at: datetime) -> bool:
    """Whether a stretch is over, so that no sample can come to it."""
    return one.since + STRETCH <= at


def is_settled(limit: Limit, buckets: Iterable[Bucket], at: datetime, start: datetime) -> bool:
    """Whether stretches before `start`, where these begin, could change nothing."""
    if limit.judged_from is not None and start <= limit.judged_from:
        return True
    return any(limit.is_within(one) and _is_whole(one, at) for one in buckets)


def held_since(limit: Limit, buckets: Iterable[Bucket], at: datetime) -> datetime | None:
    """Since when a limit is passed; `None` where it is not (or no longer).

    `buckets`: stretches of `STRETCH` from `aligned` on, in their order.
    """
    held: datetime | None = None
    run: datetime | None = None
    before: datetime | None = None
    for one in judged(limit, buckets, at):
        if held is not None:
            held = None if limit.is_within(one) and _is_whole(one, at) else held
            run = None
        if held is None and limit.is_beyond(one):
            together = run is not None and before is not None and one.since - before <= TRUSTED
            run = run if together else one.since
            assert run is not None
            if not limit.lasts or one.since + STRETCH - run >= limit.lasts:
                held = run
        elif held is None:
            run = None
        before = one.since
    return held
