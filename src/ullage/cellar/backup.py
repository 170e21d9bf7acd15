"""A copy of the store that is proved to be one; `restore` is the way back.

From SQLite a backup is a database in one sealed file, taken while others write, with the samples
of sensors and with the accounts: of every cellar, or of one alone. From PostgreSQL it is the
export of one cellar (`pg_dump` copies whole servers better), which holds neither; the outcome says
how many samples were left out. Either kind restores to either.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import Final

from sqlalchemy import NullPool, create_engine

from ullage.cellar import opening
from ullage.cellar.access_copy import VISITS
from ullage.cellar.contents import Contents, contents, totals
from ullage.cellar.database_file import (
    beside,
    check_sound,
    files_in_words,
    put,
    read_only,
    sqlite_in_words,
)
from ullage.cellar.log_file import Exported
from ullage.cellar.samples import count as sample_count
from ullage.cellar.samples_copy import SampleContents, sample_contents
from ullage.cellar.seal import seal
from ullage.cellar.store import Store
from ullage.cellar.store_errors import in_words
from ullage.cellar.tables import METADATA
from ullage.cellar.transfer import export, import_
from ullage.errors import StoreError

LEFT_OUT: Final = tuple(f"DELETE FROM {table}" for table in ("snapshot", *VISITS))  # noqa: S608
"""What a copy does without: snapshots are made anew, of what is proved; nobody stays logged in."""


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A backup that was opened and found to hold what the store holds.

    `samples`: of sensors, in it; `left_out`: those that are not.
    """

    file: Path
    events: int
    documents: int
    sha256: str
    samples: int = 0
    left_out: int = 0


def backup(store: Store, file: Path, *, overwrite: bool = False, alone: bool = False) -> BackedUp:
    """Write a backup, open it, compare it with the store, and only then give it its name.

    `alone`: of the store's own cellar, where its file keeps others too: whoever keeps one of them
    must not get hold of the rest. An existing file is replaced only with `overwrite`. Raises
    `StoreError`: nothing is left then.
    """
    own = opening.file_of(store.url)
    if own is not None and file.resolve() == own.resolve():
        raise StoreError(f"{file} is the store itself: give the backup another name")
    _check_free(file, overwrite)
    is_file = store.url.get_backend_name() == "sqlite"
    with files_in_words(file), beside(file) as temporary:
        found: Contents | Exported
        if is_file:
            found, samples = _copied(store, temporary, store.cellar if alone else None)
        else:
            found, samples = _exported(store, temporary), 0
        if is_file:
            seal(temporary)
        temporary.chmod(0o600)  # it may hold what passwords were made into
        _check_free(file, overwrite)
        put(temporary, file)
    with store.reading() as connection:
        left_out = 0 if is_file else sample_count(connection, store.cellar)
    return BackedUp(file, found.events, found.documents, found.sha256, samples, left_out)


def _check_free(file: Path, overwrite: bool) -> None:
    if file.exists() and not overwrite:
        raise StoreError(f"{file} exists already: give the backup another name, or allow it")


def _copied(store: Store, to: Path, cellar: str | None) -> tuple[Contents, int]:
    """Copy a database as it is at this moment, or one cellar of it, and compare the copy with it.

    Returns what it holds, and how many samples.
    """
    with store.reading() as connection, closing(sqlite3.connect(to)) as copy, sqlite_in_words(to):
        least = totals(connection, cellar)
        samples = sample_contents(connection, cellar)
        connection.connection.driver_connection.backup(copy)  # type: ignore[union-attr]
        copy.execute("PRAGMA journal_mode=DELETE").fetchone()  # one file, nothing beside it
        for left_out in LEFT_OUT:
            copy.execute(left_out)
        _leave_alone(copy, cellar)
        copy.commit()
        copy.execute("VACUUM")  # so that nothing of what was deleted is left in the file either
    check_sound(to)
    found, copied = _contents_of(to)
    with store.reading() as connection:  # it may have grown since, but not changed
        same = contents(connection, found.ends, cellar) == found and copied == samples
    if not same or found.events < least[0] or found.documents < least[1]:
        raise StoreError(f"the copy differs from {store.where}: nothing was kept; try again")
    return found, copied.count


def _leave_alone(copy: sqlite3.Connection, cellar: str | None) -> None:
    """Take every other cellar out of a copy."""
    if cellar is None:
        return
    for table in METADATA.sorted_tables:
        copy.execute(f"DELETE FROM {table.name} WHERE cellar <> ?", (cellar,))  # noqa: S608


def _contents_of(file: Path) -> tuple[Contents, SampleContents]:
    """Return what a database in a file holds, opening it without the right to change it."""
    engine = create_engine("sqlite://", creator=lambda: read_only(file), poolclass=NullPool)
    with in_words(str(file)), engine.connect() as connection:
        return contents(connection), sample_contents(connection)


def _exported(store: Store, to: Path) -> Exported:
    """Export a cellar, import the file into an empty store, and compare what that exports."""
    with to.open("wb") as file:
        written = export(store, file)
    with TemporaryDirectory() as folder, Store.open(str(Path(folder) / "check.db")) as check:
        with to.open("rb") as file:
            import_(check, file)
        with TemporaryFile() as again:
            if export(check, again) != written:
                raise StoreError(f"the export differs from {store.where}: nothing was kept")
    return written
