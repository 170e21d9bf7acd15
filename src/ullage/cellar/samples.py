"""What sensors said, kept beside the log: a sample is a number at a moment, never an event.

Sensors speak often; the log of events must not swell with it. A sample is kept once: its source,
what it measures and its moment tell it from all others. Values are SI: weights in kg, temperatures
in K, pressures in Pa as a gauge shows them, flow as a running total in m³.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import chain
from typing import Any, Final, Literal, NamedTuple, TypeAlias

from sqlalchemy import ColumnElement, Connection, Row, Select, func, select

from ullage.cellar.entries import portions
from ullage.cellar.moments import microseconds
from ullage.cellar.tables import SAMPLE

Quantity: TypeAlias = Literal["weight", "temperature", "pressure", "flow"]
"""What a sensor measures."""

UNITS: Final[dict[Quantity, str]] = {
    "weight": "kg",
    "temperature": "K",
    "pressure": "Pa",
    "flow": "m3",
}
"""The unit of a sample's value."""

COLUMNS: Final = ("cellar", "source", "quantity", "at", "subject", "value")
"""The columns of the table, in its order."""
_AT_ONCE: Final = 4000  # rows in a statement: 24,000 variables, which both databases take
LONG_AGO: Final = -(2**62)
"""A moment before all (µs since 1970)."""
_START: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Sample:
    """One number of one sensor: `subject` is what it was of, such as `keg:K1`; `value` is SI."""

    source: str
    quantity: Quantity
    subject: str
    at: datetime
    value: float


@dataclass(frozen=True, slots=True)
class Kept:
    """What keeping samples came to: the new ones, how many were here already, and those for whose
    moment another value is kept."""

    new: tuple[Sample, ...] = ()
    known: int = 0
    clashing: tuple[Sample, ...] = ()


@dataclass(frozen=True, slots=True)
class Bucket:
    """A stretch of samples at a glance: where it begins, its extremes, and how many there are."""

    since: datetime
    low: float
    high: float
    count: int


class Series(NamedTuple):
    """One sensor's samples of one quantity."""

    source: str
    quantity: Quantity


def keep(connection: Connection, cellar: str, samples: Iterable[Sample]) -> Kept:
    """Write samples; the caller holds the lock and the transaction (`Store.writing`).

    A known one is left out. Of two values for one moment the first stands, and the other comes
    back as clashing.
    """
    by_series: dict[tuple[str, Quantity], list[Sample]] = {}
    for one in samples:
        by_series.setdefault((one.source, one.quantity), []).append(one)
    kept = Kept()
    for name, told in by_series.items():
        done = _keep_series(connection, cellar, Series(*name), told)
        kept = Kept(
            (*kept.new, *done.new), kept.known + done.known, (*kept.clashing, *done.clashing)
        )
    return kept


def _keep_series(
    connection: Connection, cellar: str, series: Series, told: Sequence[Sample]
) -> Kept:
    moments = [microseconds(one.at) for one in told]
    here = _here(connection, cellar, series, moments)
    if not here and len({*moments}) == len(moments):
        _insert(connection, cellar, series, told, moments)
        return Kept(tuple(told))
    new, at_new, clashing, known = [], [], [], 0
    for one, at in zip(told, moments, strict=True):
        if at not in here:
            here[at] = one.value
            new.append(one)
            at_new.append(at)
        elif here[at] == one.value:
            known += 1
        else:
            clashing.append(one)
    _insert(connection, cellar, series, new, at_new)
    return Kept(tuple(new), known, tuple(clashing))


def _here(
    connection: Connection, cellar: str, series: Series, moments: Sequence[int]
) -> dict[int, float]:
    """The values that are kept for these moments."""
    newest = connection.execute(_newest(cellar, series)).scalar_one()
    asked = [at for at in moments if newest is not None and at <= newest]
    found: dict[int, float] = {}
    for some in portions(asked, _AT_ONCE):
        rows = select(SAMPLE.c.at, SAMPLE.c.value).where(
            *of_series(cellar, series), SAMPLE.c.at.in_(some)
        )
        found.update((row.at, row.value) for row in connection.execute(rows))
    return found


def _insert(
    connection: Connection,
    cellar: str,
    series: Series,
    told: Sequence[Sample],
    moments: Sequence[int],
) -> None:
    mark = "?" if connection.dialect.paramstyle == "qmark" else "%s"
    one = f"({', '.join([mark] * len(COLUMNS))})"
    begin = f"INSERT INTO {SAMPLE.name} ({', '.join(COLUMNS)}) VALUES "  # noqa: S608 (our names)
    rows = (
        (cellar, *series, at, each.subject, each.value)
        for each, at in zip(told, moments, strict=True)
    )
    for some in portions(rows, _AT_ONCE):
        values = tuple(chain.from_iterable(some))
        connection.exec_driver_sql(begin + ", ".join([one] * len(some)), values)


def series_of(connection: Connection, cellar: str) -> tuple[Series, ...]:
    """Every series there is, in order, stepping from one to the next through the key."""
    column = SAMPLE.c
    found: list[Series] = []
    wanted = select(column.source, column.quantity).where(column.cellar == cellar)
    ordered = wanted.order_by(column.source, column.quantity).limit(1)
    row = connection.execute(ordered).one_or_none()
    while row is not None:
        found.append(Series(row.source, row.quantity))
        same = ordered.where(column.source == row.source, column.quantity > row.quantity)
        further = ordered.where(column.source > row.source)
        row = connection.execute(same).one_or_none() or connection.execute(further).one_or_none()
    return tuple(found)


def latest(connection: Connection, cellar: str, series: Series) -> Sample | None:
    """The newest sample of a series, by one step through the key."""
    asked = _samples(cellar, series).order_by(SAMPLE.c.at.desc()).limit(1)
    row = connection.execute(asked).one_or_none()
    return None if row is None else _sample(row)


def between(
    connection: Connection, cellar: str, series: Series, since: datetime, until: datetime
) -> tuple[Sample, ...]:
    """The samples of a series from `since` on and up to `until`, both included, in their order."""
    span = SAMPLE.c.at.between(microseconds(since), microseconds(until))
    asked = _samples(cellar, series).where(span)
    return tuple(_sample(row) for row in connection.execute(asked.order_by(SAMPLE.c.at)))


def after(
    connection: Connection, cellar: str, series: Series, at: int, most: int
) -> tuple[Sample, ...]:
    """The samples of a series after a moment (µs since 1970), in their order, so many at most."""
    asked = _samples(cellar, series).where(SAMPLE.c.at > at).order_by(SAMPLE.c.at).limit(most)
    return tuple(_sample(row) for row in connection.execute(asked))


def buckets(
    connection: Connection, cellar: str, series: Series, since: datetime, width: timedelta
) -> tuple[Bucket, ...]:
    """The extremes of each stretch of that width since a moment; stretches with none are left out.

    The database counts, so a day of samples each second costs a page little.
    """
    begin, wide = microseconds(since), width // timedelta(microseconds=1)
    number = ((SAMPLE.c.at - begin) // wide).label("number")
    value = SAMPLE.c.value
    low, high = func.min(value).label("low"), func.max(value).label("high")
    asked = select(number, low, high, func.count().label("n")).where(*of_series(cellar, series))
    rows = connection.execute(asked.where(SAMPLE.c.at >= begin).group_by("number"))
    found = [(int(row.number), row.low, row.high, row.n) for row in rows]
    return tuple(Bucket(since + width * at, *rest) for at, *rest in sorted(found))


def count(connection: Connection, cellar: str) -> int:
    """How many samples a cellar keeps."""
    asked = select(func.count()).select_from(SAMPLE).where(SAMPLE.c.cellar == cellar)
    return connection.execute(asked).scalar_one()


def moment(at: int) -> datetime:
    """The moment that is so many microseconds after the start of 1970 UTC."""
    return _START + timedelta(microseconds=at)


def of_series(cellar: str, series: Series) -> tuple[ColumnElement[bool], ...]:
    """What tells a series' rows from all others."""
    column = SAMPLE.c
    return (
        column.cellar == cellar,
        column.source == series.source,
        column.quantity == series.quantity,
    )


def _newest(cellar: str, series: Series) -> Select[Any]:
    return select(func.max(SAMPLE.c.at)).where(*of_series(cellar, series))


def _samples(cellar: str, series: Series) -> Select[Any]:
    column = SAMPLE.c
    wanted = (column.source, column.quantity, column.subject, column.at, column.value)
    return select(*wanted).where(*of_series(cellar, series))


def _sample(row: Row[Any]) -> Sample:
    return Sample(row.source, row.quantity, row.subject, moment(row.at), row.value)
