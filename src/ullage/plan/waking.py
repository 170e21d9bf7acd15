"""Hours in which a hand may be asked to do something: nobody vents a keg at three in the morning.

Local time, as `ullage.plan.clock` tells it; seconds are counted from the start of a way.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from itertools import count
from typing import Final

from ullage.plan import clock

WAKES: Final = time(8)
SLEEPS: Final = time(22)
"""Hours in which most people are about; our own choice."""
LEAST_APART_S: Final = 6 * 3600.0
"""Between the first of a row of daily visits and the next; our own choice."""
EVEN_HOURS: Final = (time(8), time(20))


def awake(start: datetime, seconds: float) -> float:
    """Seconds from `start` to the first waking moment that is no earlier than `seconds`.

    >>> from zoneinfo import ZoneInfo
    >>> awake(datetime(2026, 6, 11, 22, tzinfo=ZoneInfo("America/Chicago")), 3600.0) / 3600.0
    10.0
    """
    there = clock.after(start, seconds)
    if is_waking(there.time()):
        return seconds
    day = there.date() + timedelta(days=1 if there.time() > SLEEPS else 0)
    return seconds + (clock.at_time(day, WAKES, start) - there).total_seconds()


def is_waking(hour: time) -> bool:
    """Whether a hand may be asked then."""
    return WAKES <= hour <= SLEEPS


def daily(start: datetime, often: int) -> Iterator[float]:
    """Seconds from `start` to each visit of a row without end, once or twice a day.

    The first as soon as somebody is awake; then at the same hours by the clock each day.
    """
    first = awake(start, 0.0)
    begun = clock.after(start, first)
    yield first
    for days in count():
        for hour in _hours(begun.time(), often):
            moment = clock.at_time(begun.date() + timedelta(days=days), hour, start)
            apart = (moment - begun).total_seconds()
            if apart >= LEAST_APART_S:
                yield first + apart


def _hours(first: time, often: int) -> tuple[time, ...]:
    """Hours of a day, the first visit's own and half a day from it where both are waking."""
    if often == 1:
        return (first,)
    other = first.replace(hour=(first.hour + 12) % 24)
    return tuple(sorted((first, other))) if is_waking(other) else EVEN_HOURS
