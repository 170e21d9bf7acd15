"""Whether all that a store keeps can still be read: page by page, entry by entry.

A file is opened with the right to read only and past everything that would refuse a damaged one, so
that what is left of it can be told, and taken out (`ullage.cellar.rescue`).
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final, NamedTuple

from ullage.cellar import opening
from ullage.cellar.contents import cellars, totals
from ullage.cellar.database_file import read_only
from ullage.cellar.events import Event, from_json
from ullage.cellar.store import Store
from ullage.cellar.store_errors import sentence
from ullage.cellar.tables import REVISION, REVISION_TABLE
from ullage.errors import EventError, StoreError

MOST_TOLD: Final = 20
"""So many complaints of the database are told; one is enough to restore a backup."""
SLACK: Final = timedelta(minutes=5)
"""How far clocks may differ."""
_AT_ONCE: Final = 500
_EVENT: Final = ("position", "cellar", "id", "stream", "number", "recorded_at", "body")
_DOCUMENT: Final = ("position", "cellar", "name", "version", "recorded_at", "text")


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found: how much can be read, of which cellars, and what is wrong.

    `lost`: entries of the log that were there and cannot be read. `ahead`: entries of what happened
    later than this machine's clock says it is, as where that was set back. `form`: that of its
    tables, `None` where it cannot be read.
    """

    where: str
    events: int
    documents: int
    cellars: tuple[str, ...]
    lost: int = 0
    complaints: tuple[str, ...] = ()
    ahead: int = 0
    form: str | None = None

    @property
    def sound(self) -> bool:
        """Whether everything is as it was written, as far as can be told."""
        return not self.lost and not self.complaints


class EntryRow(NamedTuple):
    """A row of the log in a file."""

    position: int
    cellar: str
    id: str
    stream: str
    number: int
    recorded_at: str
    body: str


class DocumentRow(NamedTuple):
    """A row of the texts in a file."""

    position: int
    cellar: str
    name: str
    version: int
    recorded_at: str
    text: str


@dataclass(slots=True)
class Salvage:
    """Reads what can be read of a file; `unread` gathers the positions of what cannot."""

    connection: sqlite3.Connection
    unread: list[int] = field(default_factory=list)

    def entries(self) -> Iterator[tuple[EntryRow, Event]]:
        """Every entry of the log that means something, in its order."""
        for row in map(EntryRow._make, self._rows("event", _EVENT)):
            try:
                event = from_json(row.body)
            except (EventError, TypeError):
                event = None
            if event is None or (event.id, event.stream) != (row.id, row.stream):
                self.unread.append(row.position)
            else:
                yield row, event

    def documents(self) -> Iterator[DocumentRow]:
        """Every text that can be read, in the order they were written."""
        return map(DocumentRow._make, self._rows("document", _DOCUMENT))

    def _rows(self, table: str, columns: Sequence[str]) -> Iterator[tuple[Any, ...]]:
        """The rows in portions, and one by one where a portion cannot be read."""
        begin = f"SELECT {', '.join(columns)} FROM {table} NOT INDEXED WHERE position"  # noqa: S608
        after, top = 0, self._top(table)
        while after < top:
            end = min(after + _AT_ONCE, top)
            try:
                asked = f"{begin} > ? AND position <= ? ORDER BY position"
                yield from self.connection.execute(asked, (after, end)).fetchall()
            except sqlite3.DatabaseError:
                yield from self._one_by_one(f"{begin} = ?", range(after + 1, end + 1))
            after = end

    def _one_by_one(self, asked: str, positions: range) -> Iterator[tuple[Any, ...]]:
        for position in positions:
            try:
                yield from self.connection.execute(asked, (position,)).fetchall()
            except sqlite3.DatabaseError:
                self.unread.append(position)

    def _top(self, table: str) -> int:
        """The highest position: by the table, else by what SQLite notes beside it."""
        highest = f"SELECT max(position) FROM {table}"  # noqa: S608
        for asked in (highest, f"SELECT seq FROM sqlite_sequence WHERE name = '{table}'"):  # noqa: S608
            try:
                found = self.connection.execute(asked).fetchone()
            except sqlite3.DatabaseError:
                continue
            return int(found[0] or 0) if found else 0
        return 0


def check(url: str | None = None) -> Checked:
    """Read a store to its end. Raises `StoreError` where there is none, or it is none of ours."""
    address = opening.address(url)
    file = opening.file_of(address)
    if file is None:
        return _of_server(url)
    if not file.is_file():
        raise StoreError(f"there is no store at {file}")
    with closing(read_only(file)) as connection:
        return _of_file(file, connection)


def _of_file(file: Path, connection: sqlite3.Connection) -> Checked:
    complaints = _complaints(file, connection)
    salvage = Salvage(connection)
    counted: Counter[tuple[str, str]] = Counter()
    highest: dict[tuple[str, str], int] = {}
    names: set[str] = set()
    ahead = 0
    for row, event in salvage.entries():
        stream = (row.cellar, row.stream)
        counted[stream] += 1
        highest[stream] = max(highest.get(stream, 0), row.number)
        names.add(row.cellar)
        ahead += _is_ahead(event)
    documents = [row.cellar for row in salvage.documents()]
    missing = sum(highest[stream] - count for stream, count in counted.items())
    return Checked(
        where=str(file),
        events=counted.total(),
        documents=len(documents),
        cellars=tuple(sorted(names | {*documents})),
        lost=max(missing, len(salvage.unread)),
        complaints=complaints,
        ahead=ahead,
        form=_form(connection),
    )


def _form(connection: sqlite3.Connection) -> str | None:
    try:
        found = connection.execute(f"SELECT version_num FROM {REVISION_TABLE}").fetchone()  # noqa: S608
    except sqlite3.DatabaseError:
        return None
    return found[0] if found else None


def _is_ahead(event: Event) -> bool:
    return not event.planned and event.at > datetime.now(UTC) + SLACK


def _complaints(file: Path, connection: sqlite3.Connection) -> tuple[str, ...]:
    """What SQLite finds wrong with its file. Raises `StoreError` for a file of another kind."""
    try:
        found = connection.execute(f"PRAGMA integrity_check({MOST_TOLD})").fetchall()
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_CORRUPT:
            raise StoreError(sentence(error, str(file))) from error
        return (str(error),)
    if found == [("ok",)]:
        _check_ours(file, connection)
        return ()
    return tuple(line for (text,) in found for line in str(text).splitlines())[:MOST_TOLD]


def _check_ours(file: Path, connection: sqlite3.Connection) -> None:
    asked = "SELECT count(*) FROM sqlite_master WHERE name IN ('event', 'document')"
    if connection.execute(asked).fetchone()[0] != 2:
        raise StoreError(f"{file} is no store: it holds no log")


def _of_server(url: str | None) -> Checked:
    """Read every cellar of a database on a server, which looks after its own pages."""
    with Store.open(url) as store:
        with store.reading() as connection:
            names, (events, documents) = cellars(connection), totals(connection)
        read, ahead, complaints = 0, 0, []
        for name in names:
            try:
                for some in store.beside(name).chunks():
                    read += len(some)
                    ahead += sum(_is_ahead(one.event) for one in some)
            except StoreError as wrong:
                complaints.append(str(wrong))
        lost = 0 if not complaints else events - read
        lost = max(lost, 0)
        told = tuple(complaints)
        return Checked(store.where, read, documents, names, lost, told, ahead, REVISION)
