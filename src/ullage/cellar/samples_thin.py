"""Thinning samples as they age: of every stretch its first, last, lowest and highest are kept.

What is kept are samples as they came, at their own moments, so that no extreme is ever lost and a
chart of thinned samples shows what one of all of them would. Stretches are counted from the start
of 1970 UTC; an hour is twelve of five minutes, so thinning step by step leaves what thinning at
once would. Each pass begins where the last one ended; done again, it changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, TypeAlias

from sqlalchemy import ColumnElement, Connection, delete, func, select

from ullage.cellar.moments import microseconds
from ullage.cellar.samples import LONG_AGO, Series, of_series
from ullage.cellar.samples_marks import Mark, marks_of, set_back, set_mark
from ullage.cellar.tables import SAMPLE

_STEP: Final = timedelta(microseconds=1)
_NEVER: Final = 2**62
_GONE_AT_ONCE: Final = 4000
AT_ONCE: Final = 100_000
"""Samples that one pass takes in."""


@dataclass(frozen=True, slots=True)
class Grain:
    """Samples older than `age` are thinned to stretches of `width`."""

    name: str
    age: timedelta
    width: timedelta


GRAINS: Final = (
    Grain("thin 5 min", timedelta(days=3), timedelta(minutes=5)),
    Grain("thin 1 h", timedelta(days=28), timedelta(hours=1)),
)
"""All samples of three days, four for each five minutes of four weeks, then four for each hour."""
PAUSE: Final = timedelta(hours=1)
"""A pass that would take in less than this is left for later."""


def due(connection: Connection, cellar: str, series: Series, now: datetime) -> bool:
    """Whether there is enough to thin for a pass."""
    return bool(_spans(connection, cellar, series, now))


def thin(connection: Connection, cellar: str, series: Series, now: datetime) -> int:
    """Thin a series and return how many samples went; the caller holds the lock.

    Begins where the last pass ended and does nothing while there is little to do. One pass takes
    in so many samples at most that other writers wait a second or two; the next goes on from there.
    """
    ours, gone = of_series(cellar, series), 0
    for grain, begin, wanted in _spans(connection, cellar, series, now):
        width = grain.width // _STEP
        end = min(wanted, _reach(connection, ours, begin, width))
        gone += _thin(connection, ours, (begin, end), width)
        set_mark(connection, cellar, series, Mark(grain.name, end))
    return gone


def _spans(
    connection: Connection, cellar: str, series: Series, now: datetime
) -> list[tuple[Grain, int, int]]:
    """Which stretches want thinning, and from when to when (µs since 1970)."""
    marks = marks_of(connection, cellar, series)
    found = []
    for grain in GRAINS:
        width = grain.width // _STEP
        end = microseconds(now - grain.age) // width * width
        begin = marks[grain.name].at // width * width if grain.name in marks else LONG_AGO
        if end - begin >= PAUSE // _STEP:
            found.append((grain, begin, end))
    return found


def came_late(connection: Connection, cellar: str, series: Series, first: datetime) -> None:
    """Let thinning begin again at samples that came after it had passed their moments."""
    names = tuple(grain.name for grain in GRAINS)
    set_back(connection, cellar, series, microseconds(first), names)


_Where: TypeAlias = Sequence[ColumnElement[bool]]


def _reach(connection: Connection, ours: _Where, begin: int, width: int) -> int:
    """The end of the stretch that the last sample of one pass lies in."""
    at = SAMPLE.c.at
    asked = select(at).where(*ours, at >= begin).order_by(at).offset(AT_ONCE - 1).limit(1)
    last = connection.execute(asked).scalar_one_or_none()
    return _NEVER if last is None else (last // width + 1) * width


def _thin(connection: Connection, ours: _Where, span: tuple[int, int], width: int) -> int:
    """Take out what is neither first, last, lowest nor highest of its stretch within a span."""
    at, value = SAMPLE.c.at, SAMPLE.c.value
    orders = {
        "first": (at,),
        "last": (at.desc(),),
        "lowest": (value, at),
        "highest": (value.desc(), at),
    }
    ranks = [
        func.row_number().over(partition_by=at // width, order_by=order).label(name)
        for name, order in orders.items()
    ]
    ranked = select(at, *ranks).where(*ours, at >= span[0], at < span[1]).subquery()
    dull = select(ranked.c.at).where(*(ranked.c[name] > 1 for name in orders))
    gone = connection.execute(dull).scalars().all()  # as one statement PostgreSQL plans it badly
    for start in range(0, len(gone), _GONE_AT_ONCE):
        some = gone[start : start + _GONE_AT_ONCE]
        connection.execute(delete(SAMPLE).where(*ours, at.in_(some)))
    return len(gone)
