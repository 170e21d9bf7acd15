"""A copy of the store that is proved to be one, and back again.

From SQLite a backup is a database in one sealed file, taken while others write, with the samples
of sensors and with the accounts: of every cellar, or of one alone. From PostgreSQL it is the
export of one cellar (`pg_dump` copies whole servers better), which holds neither; the outcome says
how many samples were left out. Either kind restores to either.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import Final
from urllib.parse import quote

from sqlalchemy import NullPool, create_engine

from ullage.cellar import opening
from ullage.cellar.access_copy import VISITS, access_totals, copy_access
from ullage.cellar.contents import Contents, cellars, contents, kept_by_somebody, totals
from ullage.cellar.log_file import Exported
from ullage.cellar.moments import now
from ullage.cellar.samples import count as sample_count
from ullage.cellar.samples_copy import SampleContents, copy_samples, sample_contents
from ullage.cellar.seal import break_seal, check_seal, seal
from ullage.cellar.store import HOME, Store
from ullage.cellar.store_errors import in_words, sentence
from ullage.cellar.tables import METADATA
from ullage.cellar.transfer import export, import_
from ullage.errors import StoreError

_MAGIC: Final = b"SQLite format 3\0"
_LEFT_OUT: Final = tuple(f"DELETE FROM {table}" for table in ("snapshot", *VISITS))  # noqa: S608
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


@dataclass(frozen=True, slots=True)
class Restored:
    """What a store holds now, and where the file it had before was put, if there was one.

    `accounts`, `tokens`: who may get in, as it was when the backup was made.
    """

    events: int
    documents: int
    aside: Path | None
    accounts: int = 0
    tokens: int = 0


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
    with _files_in_words(file), _beside(file) as temporary:
        found: Contents | Exported
        if is_file:
            found, samples = _copied(store, temporary, store.cellar if alone else None)
        else:
            found, samples = _exported(store, temporary), 0
        if is_file:
            seal(temporary)
        temporary.chmod(0o600)  # it may hold what passwords were made into
        _check_free(file, overwrite)
        _move(temporary, file)
    with store.reading() as connection:
        left_out = 0 if is_file else sample_count(connection, store.cellar)
    return BackedUp(file, found.events, found.documents, found.sha256, samples, left_out)


def restore(
    file: Path, url: str | None = None, *, replace: bool = False, cellar: str = HOME
) -> Restored:
    """Make a store of a backup, after proving that the backup can be read to its end.

    `cellar`: which one an export is of; a database names its own.
    A store that holds something is replaced only with `replace`, and its file is kept beside it; a
    database on a server must be empty. Raises `StoreError`, `EventError`: the store is as it was.
    """
    to = opening.file_of(opening.address(url))
    if to is None:
        with TemporaryDirectory() as folder:
            return _to_server(_unpacked(file, Path(folder) / "store.db", cellar), url)
    if to.exists() and file.resolve() == to.resolve():
        raise StoreError(f"{file} is the store itself: restore from another file")
    _check_empty(to, replace)
    with _files_in_words(to), _beside(to) as temporary:
        _unpacked(file, temporary, cellar)
        with Store.open(str(temporary)) as store, store.reading() as connection:
            events, documents = totals(connection)
            access = access_totals(connection)
        aside = _put_aside(to)
        _move(temporary, to)
    return Restored(events, documents, aside, *access)


def _check_free(file: Path, overwrite: bool) -> None:
    if file.exists() and not overwrite:
        raise StoreError(f"{file} exists already: give the backup another name, or allow it")


@contextmanager
def _files_in_words(file: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise StoreError(f"{file} cannot be written: {error.strerror or error}") from error


@contextmanager
def _beside(file: Path) -> Iterator[Path]:
    """Give a name on the same disk, in a folder of its own that is gone afterwards."""
    with TemporaryDirectory(dir=file.absolute().parent, prefix=f".{file.name}-") as folder:
        yield Path(folder) / "new"


def _move(temporary: Path, to: Path) -> None:
    """Give a finished file its name, once the disk has it."""
    with temporary.open("rb+") as file:
        os.fsync(file.fileno())
    temporary.replace(to)


def _copied(store: Store, to: Path, cellar: str | None) -> tuple[Contents, int]:
    """Copy a database as it is at this moment, or one cellar of it, and compare the copy with it.

    Returns what it holds, and how many samples.
    """
    with store.reading() as connection, closing(sqlite3.connect(to)) as copy, _in_words(to):
        least = totals(connection, cellar)
        samples = sample_contents(connection, cellar)
        connection.connection.driver_connection.backup(copy)  # type: ignore[union-attr]
        copy.execute("PRAGMA journal_mode=DELETE").fetchone()  # one file, nothing beside it
        for left_out in _LEFT_OUT:
            copy.execute(left_out)
        _leave_alone(copy, cellar)
        copy.commit()
        copy.execute("VACUUM")  # so that nothing of what was deleted is left in the file either
    _check_sound(to)
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
    engine = create_engine("sqlite://", creator=lambda: _open_read_only(file), poolclass=NullPool)
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


def _unpacked(file: Path, to: Path, cellar: str) -> Path:
    """Make a store of either kind of backup and read all of it. Raises `StoreError`."""
    try:
        with file.open("rb") as opened:
            is_database = opened.read(len(_MAGIC)) == _MAGIC
            if not is_database:
                opened.seek(0)
                with Store.open(str(to), cellar=cellar) as store:
                    import_(store, opened)
        if is_database:
            check_seal(file)
    except OSError as error:
        raise StoreError(f"{file} cannot be read: {error.strerror or error}") from error
    if is_database:
        with (
            closing(_open_read_only(file)) as source,
            closing(sqlite3.connect(to)) as copy,
            _in_words(file),
        ):
            source.backup(copy)
            break_seal(copy)
    try:
        _read_to_the_end(to)
    except StoreError as error:  # it is not the copy that a person can do something about
        raise StoreError(str(error).replace(str(to), str(file))) from error
    return to


def _read_to_the_end(file: Path) -> None:
    """Check a store, bring it up to date, and read every event of it."""
    _check_sound(file)
    with Store.open(str(file), keep_old=False) as store, store.writing() as connection:
        names = cellars(connection)
        for left_out in _LEFT_OUT:
            connection.exec_driver_sql(left_out)
    for name in names:
        with Store.open(str(file), cellar=name) as store:
            for _ in store.chunks():
                pass


def _to_server(file: Path, url: str | None) -> Restored:
    """Write every cellar of a store in a file to an empty database on a server."""
    with Store.open(url) as target, target.reading() as connection:
        if any(totals(connection)):
            raise StoreError(f"{target.where} is not empty: restore into a new database")
    with Store.open(str(file)) as store, store.reading() as connection:
        names = sorted({*cellars(connection), *kept_by_somebody(connection)})
        events, documents = totals(connection)
    for name in names:
        with (
            Store.open(str(file), cellar=name) as source,
            Store.open(url, cellar=name) as target,
            TemporaryFile() as between,
        ):
            export(source, between)
            between.seek(0)
            import_(target, between)
            copy_samples(source, target)
            copy_access(source, target)
    with Store.open(url) as target, target.reading() as connection:
        return Restored(events, documents, None, *access_totals(connection))


def _check_empty(to: Path, replace: bool) -> None:
    if replace or not to.exists() or to.stat().st_size == 0:
        return
    with Store.open(str(to)) as store, store.reading() as connection:
        events, documents = totals(connection)
    if events or documents:
        raise StoreError(
            f"{to} holds {events} events: restore to another name, or allow it to be replaced "
            "(its file is then kept beside it)"
        )


def _put_aside(file: Path) -> Path | None:
    """Rename a store that nobody uses; return its new name, none if there was no file."""
    if not file.exists():
        return None
    with closing(sqlite3.connect(file, timeout=0)) as connection:
        try:  # refused while another has it open; else the file is whole without its log
            connection.execute("PRAGMA journal_mode=DELETE").fetchone()
            break_seal(connection)
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
                raise StoreError(
                    f"{file} is in use: stop the programs that have it open, then restore"
                ) from error
        except sqlite3.DatabaseError:
            pass  # it is damaged, and put aside as it is
    stamp = "".join(letter for letter in now() if letter.isalnum())
    aside = file.with_name(f"{file.stem}-before-{stamp}{file.suffix}")
    for tail in ("", "-wal", "-shm"):
        part = Path(f"{file}{tail}")
        if part.exists():
            part.rename(f"{aside}{tail}")
    return aside


def _open_read_only(file: Path) -> sqlite3.Connection:
    with _in_words(file):
        return sqlite3.connect(f"file:{quote(str(file))}?mode=ro", uri=True)


def _check_sound(file: Path) -> None:
    with closing(_open_read_only(file)) as connection, _in_words(file):
        found = connection.execute("PRAGMA integrity_check").fetchone()
        if found != ("ok",):
            raise StoreError(f"{file} is damaged: {found[0]}")


@contextmanager
def _in_words(file: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        raise StoreError(sentence(error, str(file))) from error
