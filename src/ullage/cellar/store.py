"""The log of events, kept: append, read, count. SQLite in a file, or PostgreSQL by address."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from types import TracebackType
from typing import Any, Final, Self

from sqlalchemy import Connection, Engine, Select, func, select
from sqlalchemy.engine import URL

from ullage.cellar import documents, entries, opening, snapshots
from ullage.cellar.batch import Batch, check_name, single_batch
from ullage.cellar.documents import Document
from ullage.cellar.entries import Added, Stored
from ullage.cellar.events import Event, to_json
from ullage.cellar.moments import microseconds, now
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.store_errors import in_words
from ullage.cellar.tables import DOCUMENT, EVENT
from ullage.errors import StoreError

HOME: Final = "home"
"""The cellar (household) that a store of one's own keeps."""


@dataclass(frozen=True, slots=True)
class Merged:
    """What an import came to: the events, and how many versions of documents were new."""

    events: Added
    documents: int


class Store:
    """The log of one cellar. Use it in a `with`, or close it; threads may share it.

    Every method raises `StoreError`, in a sentence that says what to do, when the database fails.
    """

    def __init__(self, engine: Engine, url: URL, cellar: str) -> None:
        """Keep to one cellar of a database that `open` made ready."""
        self.url: Final = url
        self.cellar: Final = check_name(cellar)
        self.where: Final = opening.shown(url)
        self._engine = engine
        self._lock = _lock_of(cellar)
        self._writer = engine.execution_options(writes=True)
        self._hurried = engine.execution_options(writes=True, hurried=True)

    @classmethod
    def open(
        cls,
        url: str | None = None,
        *,
        cellar: str = HOME,
        patience_s: float = 10.0,
        keep_old: bool = True,
    ) -> Self:
        """Open a store, making or migrating it where needed.

        `url`: a file name, an SQLite or PostgreSQL URL, or `None` for the user's own.
        `patience_s`: how long to wait for another writer, in seconds. `keep_old`: keep a copy of a
        file beside it before it is migrated.
        """
        where = opening.address(url)
        return cls(opening.connect(where, patience_s, keep_old=keep_old), where, cellar)

    def beside(self, cellar: str) -> Self:
        """Give another cellar of the same database, over the same connections.

        Closing either lets go of them.
        """
        return type(self)(self._engine, self.url, cellar)

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close."""
        self.close()

    def append(self, events: Sequence[Event], expected: Mapping[str, int] | None = None) -> Added:
        """Write events at the end of their streams, all or none.

        `expected` gives the number a stream's newest event had when the caller read it; if one has
        moved on, `Conflict`. Without it the events follow whatever is there. An event written
        before, word for word, is left out and named in the answer. Raises `EventError` for another
        with the same id, or one that cannot be kept.
        """
        batch = single_batch(events, map(to_json, events), now())
        with self.writing() as connection:
            return entries.add_events(connection, self.cellar, [batch], expected or {})

    def read(
        self,
        stream: str | None = None,
        *,
        after: int = 0,
        since: datetime | None = None,
        until: datetime | None = None,
        kinds: Collection[str] = (),
        planned: bool | None = None,
    ) -> tuple[Stored, ...]:
        """Return events in the order they were written: of one stream, or all.

        `after` leaves out what the caller has: up to that number of the stream, or, for all
        streams, up to that position. `since` and `until` bound `at`, both included.
        """
        asked = self._events(stream, after, kinds)
        if since is not None:
            asked = asked.where(EVENT.c.at >= microseconds(since))
        if until is not None:
            asked = asked.where(EVENT.c.at <= microseconds(until))
        if planned is not None:
            asked = asked.where(EVENT.c.planned if planned else ~EVENT.c.planned)
        with self.reading() as connection:
            return tuple(map(entries.stored, connection.execute(asked).all()))

    def chunks(self, size: int = 1000, *, after: int = 0) -> Iterator[tuple[Stored, ...]]:
        """Yield the whole log after a position in portions, as it stood when the first was read."""
        for rows in self.rows(size, after=after):
            yield tuple(map(entries.stored, rows))

    def rows(self, size: int = 1000, *, after: int = 0) -> Iterator[Sequence[Any]]:
        """Yield the log in portions of plain rows, as `chunks` does."""
        top = self.position()
        asked = self._events(None, 0, ()).where(EVENT.c.position <= top).limit(size)
        while after < top:
            with self.reading() as connection:
                rows = connection.execute(asked.where(EVENT.c.position > after)).all()
            yield rows
            after = rows[-1].position

    def versions(self) -> dict[str, int]:
        """Return every stream with the number of its newest event.

        Steps from stream to stream through the index, so that it takes no longer for a longer log.
        """
        event = EVENT.c
        ours = event.cellar == self.cellar
        names = select(func.min(event.stream).label("stream")).where(ours)
        names_so_far = names.cte("names", recursive=True)
        here = names_so_far.c.stream
        following = select(func.min(event.stream)).where(ours, event.stream > here)
        found = names_so_far.union_all(select(following.scalar_subquery()).where(here.is_not(None)))
        newest = select(func.max(event.number)).where(ours, event.stream == found.c.stream)
        number = newest.scalar_subquery().label("number")
        asked = select(found.c.stream, number).where(found.c.stream.is_not(None))
        with self.reading() as connection:
            return {row.stream: row.number for row in connection.execute(asked)}

    def streams(self, prefix: str = "") -> tuple[str, ...]:
        """Return the names of the streams that begin with `prefix`, in order: `keg:`."""
        return tuple(sorted(name for name in self.versions() if name.startswith(prefix)))

    def count(self) -> int:
        """Return how many events there are."""
        asked = select(func.count()).select_from(EVENT).where(EVENT.c.cellar == self.cellar)
        with self.reading() as connection:
            return connection.execute(asked).scalar_one()

    def position(self) -> int:
        """Return the newest event's position, 0 if there is none: it changes when the log does."""
        asked = select(func.max(EVENT.c.position)).where(EVENT.c.cellar == self.cellar)
        with self.reading() as connection:
            return connection.execute(asked).scalar_one() or 0

    def marks(self) -> tuple[int, int]:
        """Return the positions of the newest event and the newest text: either moves when anything
        here does."""
        event, text = EVENT.c, DOCUMENT.c
        newest_event = select(func.max(event.position)).where(event.cellar == self.cellar)
        newest_text = select(func.max(text.position)).where(text.cellar == self.cellar)
        asked = select(newest_event.scalar_subquery(), newest_text.scalar_subquery())
        with self.reading() as connection:
            found = connection.execute(asked).one()
        return found[0] or 0, found[1] or 0

    def put_document(self, name: str, text: str, expected: int | None = None) -> int:
        """Keep a new version of a text and return its number; the same text again adds none.

        `expected`: the version the caller read (0: none yet); if there is a newer, `Conflict`.
        """
        wanted = Document(name, 0, now(), text)
        with self.writing() as connection:
            return documents.put(connection, self.cellar, wanted, expected)

    def get_document(self, name: str) -> Document | None:
        """Return the newest version of a text, `None` if there is none."""
        with self.reading() as connection:
            return documents.newest(connection, self.cellar, name)

    def documents(self) -> tuple[Document, ...]:
        """Return every version of every text, in the order they were written."""
        with self.reading() as connection:
            return documents.every(connection, self.cellar)

    def merge(self, texts: Sequence[Document], batches: Iterable[Batch]) -> Merged:
        """Write what is missing of another log, all or nothing: also if `batches` raises.

        Raises `EventError` or `Conflict` where the logs do not fit together.
        """
        with self.writing() as connection:
            added = documents.merge(connection, self.cellar, texts)
            return Merged(entries.add_events(connection, self.cellar, batches, {}), added)

    def offer_snapshots(self, *wanted: Snapshot) -> bool:
        """Keep snapshots in place of older ones of their streams, if that can be done at once.

        Returns whether it was. Never waits for another writer and never fails: the caller did
        without and still can. They may vanish at any time.
        """
        try:
            with in_words(self.where), self._hurried.begin() as connection:
                opening.hurry(connection)
                opening.lock(connection, self._lock)
                snapshots.save(connection, self.cellar, wanted)
        except StoreError:
            return False
        return True

    def load_snapshot(self, stream: str, form: str) -> Snapshot | None:
        """Return a stream's snapshot, `None` if there is none of this form."""
        with self.reading() as connection:
            return snapshots.load(connection, self.cellar, form, stream)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a transaction that sees the store as it is now."""
        with in_words(self.where), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a transaction that no other writer of this cellar runs beside: all or nothing."""
        with in_words(self.where), self._writer.begin() as connection:
            opening.lock(connection, self._lock)
            yield connection

    def _events(self, stream: str | None, after: int, kinds: Collection[str]) -> Select[Any]:
        column = EVENT.c
        asked = select(column.position, column.number, column.recorded_at, column.body)
        asked = asked.where(column.cellar == self.cellar)
        if kinds:
            asked = asked.where(column.kind.in_(sorted(kinds)))
        if stream is None:
            return asked.where(column.position > after).order_by(column.position)
        return asked.where(column.stream == stream, column.number > after).order_by(column.number)


def _lock_of(cellar: str) -> int:
    """Return the number that writers of a cellar lock: any 64 bits that no other cellar has."""
    return int.from_bytes(sha256(b"ullage " + cellar.encode()).digest()[:8], "big", signed=True)
