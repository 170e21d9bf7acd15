"""Events as rows of the log: the one place that adds them, and how they are read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, islice
from typing import Any, Final, NamedTuple, TypeVar

from sqlalchemy import Connection, Row, Select, func, select

from ullage.cellar.batch import COLUMNS, Batch
from ullage.cellar.events import Event, from_json
from ullage.cellar.tables import EVENT
from ullage.errors import Conflict, EventError, StoreError

_T = TypeVar("_T")
_AT_ONCE: Final = 1000  # ids looked for, or rows added, in one statement
_ANY: Final = select(EVENT.c.position).limit(1)


@dataclass(frozen=True, slots=True)
class Stored:
    """An event of the log: its order in the whole log, in its stream, and when it was written."""

    position: int
    number: int
    recorded_at: datetime
    event: Event


@dataclass(frozen=True, slots=True)
class Added:
    """What an addition came to: the ids of the events written, and of those that were known."""

    written: tuple[str, ...] = ()
    known: tuple[str, ...] = ()


class _Known(NamedTuple):
    """What tells an event apart from another of the same id."""

    stream: str
    number: int
    body: str


def stored(row: Row[Any]) -> Stored:
    """Return a row of the log as what it means. Raises `StoreError` where it means nothing."""
    try:
        recorded_at = datetime.fromisoformat(row.recorded_at)
        return Stored(row.position, row.number, recorded_at, from_json(row.body))
    except (EventError, TypeError, ValueError) as wrong:
        raise StoreError(
            f"entry {row.position} of the log cannot be read ({wrong}): a newer Ullage wrote it, "
            "or the store is damaged; install the newest release, or restore the newest backup"
        ) from wrong


def after(connection: Connection, cellar: str, position: int) -> tuple[Stored, ...]:
    """Return the events written after a position, in their order."""
    column = EVENT.c
    wanted = (column.position, column.number, column.recorded_at, column.body)
    asked: Select[Any] = select(*wanted).where(column.cellar == cellar, column.position > position)
    return tuple(map(stored, connection.execute(asked.order_by(column.position)).all()))


def by_ids(connection: Connection, cellar: str, ids: Iterable[str]) -> dict[str, Event]:
    """Return those events of these ids that there are."""
    columns = select(EVENT.c.id, EVENT.c.body)
    found: dict[str, Event] = {}
    for some in portions(sorted(ids), _AT_ONCE):
        asked = columns.where(EVENT.c.cellar == cellar, EVENT.c.id.in_(some))
        found.update((row.id, from_json(row.body)) for row in connection.execute(asked))
    return found


def add_events(
    connection: Connection, cellar: str, batches: Iterable[Batch], expected: Mapping[str, int]
) -> Added:
    """Write events in their order; the caller holds the lock and the transaction.

    An event that is there already, word for word, is left out and named. Raises `EventError` for an
    id that another event has, `Conflict` for a stream that is not as `expected` or a number taken.
    """
    adding = _Adding(connection, cellar, expected)
    for batch in batches:
        adding.add(batch)
    return Added(tuple(adding.written), tuple(adding.repeated))


def last_number(connection: Connection, cellar: str, stream: str) -> int:
    """Return the number of a stream's newest event, 0 if it has none."""
    asked = select(func.max(EVENT.c.number)).where(
        EVENT.c.cellar == cellar, EVENT.c.stream == stream
    )
    return connection.execute(asked).scalar_one() or 0


def check_numbers(found: Mapping[str, int], expected: Mapping[str, int]) -> None:
    """Raise `Conflict` where a stream's newest event has another number than is expected."""
    for stream, wanted in expected.items():
        if found[stream] != wanted:
            raise Conflict(
                f"{stream} is at number {found[stream]}, not {wanted}: "
                "someone else wrote to it meanwhile; read it again and decide anew"
            )


class _Adding:
    """An addition under way: what it has found out about the log and done so far."""

    def __init__(self, connection: Connection, cellar: str, expected: Mapping[str, int]) -> None:
        self.written: dict[str, None] = {}
        self.repeated: list[str] = []
        self._connection, self._cellar, self._expected = connection, cellar, expected
        self._last: dict[str, int] = {}
        any_event = connection.execute(_ANY.where(EVENT.c.cellar == cellar)).first()
        self._was_empty = any_event is None

    def add(self, batch: Batch) -> None:
        """Write those events that are new."""
        fresh = self._fresh(batch)
        new = batch.only(fresh)
        for stream in {*new.streams} - self._last.keys():
            self._last[stream] = self._last_number(stream)
        if fresh and not self.written:
            self._check_expected()
        numbers = _numbers(new, self._last, lambda index: batch.place(fresh[index]))
        _insert(self._connection, list(new.rows(self._cellar, numbers)))
        self.written.update(dict.fromkeys(new.ids))

    def _last_number(self, stream: str) -> int:
        if self._was_empty:  # then it begins with what this addition writes
            return 0
        return last_number(self._connection, self._cellar, stream)

    def _fresh(self, batch: Batch) -> Sequence[int]:
        """Return the indexes of events that are new, and note those that are there already."""
        known = self._known(batch.ids)
        if not known and len({*batch.ids}) == len(batch):
            return range(len(batch))
        fresh: list[int] = []
        for index, name in enumerate(batch.ids):
            here = _Known(batch.streams[index], batch.numbers[index], batch.bodies[index])
            if name in known:
                _check_same(name, here, known[name], batch.place(index))
                self.repeated.append(name)
            else:
                known[name] = here
                fresh.append(index)
        return fresh

    def _known(self, ids: Sequence[str]) -> dict[str, _Known]:
        """Return those events of these ids that the store has."""
        if self._was_empty:  # then it has only what this addition wrote
            ids = [name for name in ids if name in self.written]
        columns = select(EVENT.c.id, EVENT.c.stream, EVENT.c.number, EVENT.c.body)
        found: dict[str, _Known] = {}
        for some in portions(ids, _AT_ONCE):
            asked = columns.where(EVENT.c.cellar == self._cellar, EVENT.c.id.in_(some))
            rows = self._connection.execute(asked)
            found.update((row.id, _Known(*row[1:])) for row in rows)
        return found

    def _check_expected(self) -> None:
        others = {*self._expected} - self._last.keys()
        numbers = {**self._last, **{stream: self._last_number(stream) for stream in others}}
        check_numbers(numbers, self._expected)


def _check_same(name: str, here: _Known, known: _Known, place: str) -> None:
    if here.body != known.body:
        raise EventError(
            f"{place}another event has the id {name} already; "
            "an event is never changed: undo it and write a new one"
        )
    if here.number not in (0, known.number):
        raise Conflict(
            f"{place}event {name} is number {known.number} of {known.stream} already, "
            f"not {here.number}: the two logs went different ways"
        )


def _numbers(new: Batch, last: dict[str, int], place: Callable[[int], str]) -> list[int]:
    """Return each event's number, counting its stream on. Raises `Conflict`, `EventError`."""
    numbers: list[int] = []
    for stream, asked in zip(new.streams, new.numbers, strict=True):
        number = last[stream] + 1
        if asked not in (0, number):
            raise _out_of_turn(stream, asked, number, place(len(numbers)))
        last[stream] = number
        numbers.append(number)
    return numbers


def _out_of_turn(stream: str, asked: int, number: int, place: str) -> EventError | Conflict:
    if asked < number:
        return Conflict(
            f"{place}there is another event that is number {asked} of {stream}: "
            "the two logs went different ways; import into an empty store instead"
        )
    return EventError(
        f"{place}number {asked} of {stream} comes after {number - 1}: "
        "the events between are missing"
    )


def _insert(connection: Connection, rows: Sequence[tuple[object, ...]]) -> None:
    """Add rows to the log, many in a statement: an import takes two thirds of the time."""
    mark = "?" if connection.dialect.paramstyle == "qmark" else "%s"
    one = f"({', '.join([mark] * len(COLUMNS))})"
    begin = f"INSERT INTO {EVENT.name} ({', '.join(COLUMNS)}) VALUES "  # noqa: S608 (our names)
    for some in portions(rows, _AT_ONCE):
        values = tuple(chain.from_iterable(some))
        connection.exec_driver_sql(begin + ", ".join([one] * len(some)), values)


def portions(wanted: Iterable[_T], size: int) -> Iterator[tuple[_T, ...]]:
    """Yield so many at a time, the last time what is left."""
    remaining = iter(wanted)
    while some := tuple(islice(remaining, size)):
        yield some
