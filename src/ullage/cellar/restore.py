"""A store made of a backup, once the backup is proved: whole, or as it was before."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import BinaryIO, Final

from ullage.cellar import opening
from ullage.cellar.access_copy import access_totals, copy_access
from ullage.cellar.backup import LEFT_OUT
from ullage.cellar.contents import cellars, kept_by_somebody, totals
from ullage.cellar.database_file import (
    beside,
    check_sound,
    files_in_words,
    put,
    read_only,
    sqlite_in_words,
)
from ullage.cellar.moments import now
from ullage.cellar.samples_copy import copy_samples
from ullage.cellar.seal import break_seal, check_seal
from ullage.cellar.store import HOME, Store
from ullage.cellar.transfer import export, import_
from ullage.errors import StoreError

_MAGIC: Final = b"SQLite format 3\0"


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
    with files_in_words(to), beside(to) as temporary:
        _unpacked(file, temporary, cellar)
        with Store.open(str(temporary)) as store, store.reading() as connection:
            events, documents = totals(connection)
            access = access_totals(connection)
        aside = _put_aside(to)
        put(temporary, to)
    return Restored(events, documents, aside, *access)


def _unpacked(file: Path, to: Path, cellar: str) -> Path:
    """Make a store of either kind of backup and read all of it. Raises `StoreError`."""
    try:
        with file.open("rb") as opened:
            is_database = opened.read(len(_MAGIC)) == _MAGIC
            if not is_database:
                _import(opened, to, cellar)
        if is_database:
            check_seal(file)
    except OSError as error:
        raise StoreError(f"{file} cannot be read: {error.strerror or error}") from error
    if is_database:
        _copy(file, to)
    try:
        _read_to_the_end(to)
    except StoreError as error:  # it is not the copy that a person can do something about
        raise StoreError(str(error).replace(str(to), str(file))) from error
    return to


def _import(opened: BinaryIO, to: Path, cellar: str) -> None:
    opened.seek(0)
    with Store.open(str(to), cellar=cellar) as store:
        import_(store, opened)


def _copy(file: Path, to: Path) -> None:
    with (
        closing(read_only(file)) as source,
        closing(sqlite3.connect(to)) as copy,
        sqlite_in_words(file),
    ):
        source.backup(copy)
        break_seal(copy)


def _read_to_the_end(file: Path) -> None:
    """Check a store, bring it up to date, and read every event of it."""
    check_sound(file)
    with Store.open(str(file), keep_old=False) as store, store.writing() as connection:
        names = cellars(connection)
        for left_out in LEFT_OUT:
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
