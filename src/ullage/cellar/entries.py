"""Events as they lie in the store, and the one place that adds them to it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from itertools import islice
from typing import Any, Final

from sqlalchemy import Connection, Row, func, insert, select

from ullage.cellar.events import Event, from_json
from ullage.cellar.moments import moment
from ullage.cellar.tables import EVENT
from ullage.errors import Conflict, EventError

_NAME: Final = re.compile(r"[^\x00-\x1f\x7f]{1,80}")
_AT_ONCE: Final = 500  # ids looked for in one query


@dataclass(frozen=True, slots=True)
class Stored:
    """An event of the log: its order in the whole log, in its stream, and when it was written."""

    position: int
    number: int
    recorded_at: datetime
    event: Event


@dataclass(frozen=True, slots=True)
class Entry:
    """An event to be added: as JSON, with its number if it has one already.

    `line` is the line of a file it was read from, for messages; 0 for none.
    """

    event: Event
    body: str
    recorded_at: str
    number: int | None = None
    line: int = 0


@dataclass(frozen=True, slots=True)
class Added:
    """What an addition came to: the ids of the events written, and of those that were known."""

    written: tuple[str, ...] = ()
    known: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Known:
    """What tells an event apart from another of the same id."""

    stream: str
    number: int
    body: str


def stored(row: Row[Any]) -> Stored:
    """Return a row of the log as what it means."""
    recorded_at = datetime.fromisoformat(row.recorded_at)
    return Stored(row.position, row.number, recorded_at, from_json(row.body))


def add_events(
    connection: Connection, cellar: str, entries: Sequence[Entry], expected: Mapping[str, int]
) -> Added:
    """Write events in their order; the caller holds the lock and the transaction.

    An event that is there already, word for word, is left out and named. Raises `EventError` for an
    id that another event has, `Conflict` for a stream that is not as `expected` or a number taken.
    """
    known = _known(connection, cellar, [entry.event.id for entry in entries])
    last = {stream: last_number(connection, cellar, stream) for stream in _streams(entries)}
    versions = dict(last)
    rows: list[dict[str, Any]] = []
    repeated: list[str] = []
    for entry in entries:
        event = entry.event
        if event.id in known:
            _check_same(entry, known[event.id])
            repeated.append(event.id)
            continue
        row = _row(cellar, entry, last)
        known[event.id] = _Known(row["stream"], row["number"], entry.body)
        rows.append(row)
    if rows:
        _check_expected(connection, cellar, expected, versions)
        connection.execute(insert(EVENT), rows)
    return Added(tuple(row["id"] for row in rows), tuple(repeated))


def last_number(connection: Connection, cellar: str, stream: str) -> int:
    """Return the number of a stream's newest event, 0 if it has none."""
    asked = select(func.max(EVENT.c.number)).where(
        EVENT.c.cellar == cellar, EVENT.c.stream == stream
    )
    return connection.execute(asked).scalar_one() or 0


@lru_cache(maxsize=1024)
def check_name(name: str) -> str:
    """Return a stream's, document's or cellar's name. Raises `EventError` if it cannot be one."""
    if not _NAME.fullmatch(name):
        raise EventError(f"{name[:90]!r} is no name: use 1 to 80 characters on one line")
    return name


def _streams(entries: Iterable[Entry]) -> set[str]:
    return {check_name(entry.event.stream) for entry in entries}


def _known(connection: Connection, cellar: str, ids: Sequence[str]) -> dict[str, _Known]:
    """Return those events of these ids that the store has."""
    columns = select(EVENT.c.id, EVENT.c.stream, EVENT.c.number, EVENT.c.body)
    found: dict[str, _Known] = {}
    for some in _portions(ids):
        asked = columns.where(EVENT.c.cellar == cellar, EVENT.c.id.in_(some))
        found.update((row.id, _Known(*row[1:])) for row in connection.execute(asked))
    return found


def _portions(ids: Sequence[str]) -> Iterator[tuple[str, ...]]:
    remaining = iter(ids)
    while some := tuple(islice(remaining, _AT_ONCE)):
        yield some


def _row(cellar: str, entry: Entry, last: dict[str, int]) -> dict[str, Any]:
    """Return the row of a new event and count its stream on. Raises `Conflict`, `EventError`."""
    event = entry.event
    stream = event.stream
    number = last[stream] + 1
    if entry.number is not None and entry.number != number:
        raise _out_of_turn(entry, number)
    last[stream] = number
    return {
        "cellar": cellar,
        "id": event.id,
        "stream": stream,
        "number": number,
        "kind": event.kind,
        "at": moment(event.at),
        "planned": event.planned,
        "recorded_at": entry.recorded_at,
        "body": entry.body,
    }


def _out_of_turn(entry: Entry, number: int) -> EventError | Conflict:
    where, stream = _where(entry), entry.event.stream
    if (entry.number or 0) < number:
        return Conflict(
            f"{where}the store has another event as number {entry.number} of {stream}: "
            "the two logs went different ways; import into an empty store instead"
        )
    return EventError(
        f"{where}number {entry.number} of {stream} comes after {number - 1}: "
        "the events between are missing"
    )


def _check_same(entry: Entry, known: _Known) -> None:
    if entry.body != known.body:
        raise EventError(
            f"{_where(entry)}another event has the id {entry.event.id} already; "
            "an event is never changed: undo it and write a new one"
        )
    if entry.number not in (None, known.number):
        raise Conflict(
            f"{_where(entry)}event {entry.event.id} is number {known.number} of {known.stream} "
            f"here, not {entry.number}: the two logs went different ways"
        )


def _check_expected(
    connection: Connection, cellar: str, expected: Mapping[str, int], versions: Mapping[str, int]
) -> None:
    for stream, wanted in expected.items():
        found = versions.get(stream)
        if found is None:
            found = last_number(connection, cellar, stream)
        if found != wanted:
            raise Conflict(
                f"{stream} is at number {found}, not {wanted}: "
                "someone else wrote to it meanwhile; read it again and decide anew"
            )


def _where(entry: Entry) -> str:
    return f"line {entry.line}: " if entry.line else ""
