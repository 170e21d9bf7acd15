"""From the address of a store to a database that is ready: connected, checked, up to date."""

from __future__ import annotations

import logging
import os
import sqlite3
import time
from pathlib import Path
from typing import Any, Final, Protocol

from sqlalchemy import Connection, Engine, QueuePool, create_engine, delete, event, inspect, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from ullage.cellar.migrations import steps
from ullage.cellar.store_errors import in_words
from ullage.cellar.tables import REVISION, REVISION_TABLE, SNAPSHOT
from ullage.errors import StoreError

FILE_NAME: Final = "ullage.db"
_PRAGMAS: Final = ("PRAGMA synchronous=FULL", "PRAGMA foreign_keys=ON")
_SCHEMA_LOCK: Final = 0x756C6C616765  # a number of our own among PostgreSQL's advisory locks
_RETRY_S: Final = 0.01
_LOG: Final = logging.getLogger(__name__)


class _Cursor(Protocol):
    def fetchone(self) -> Any: ...


class _SqliteConnection(Protocol):
    """What a new connection of the driver must offer to be set up."""

    isolation_level: str | None

    def execute(self, sql: str, parameters: tuple[str, ...] = (), /) -> _Cursor: ...


def default_file() -> Path:
    """Return where the store is kept unless told: in the user's data folder."""
    from platformdirs import user_data_path  # noqa: PLC0415 (needed only when no store is named)

    return user_data_path("ullage", appauthor=False) / FILE_NAME


def address(url: str | None) -> URL:
    """Return the address of a store: an SQLite or PostgreSQL URL, a file name, or the default.

    Raises `StoreError` for an address of any other kind.
    """
    if url is None:
        return URL.create("sqlite", database=str(default_file()))
    if "://" not in url:
        return URL.create("sqlite", database=os.path.expanduser(url))
    try:
        found = make_url(url)
    except (ArgumentError, ValueError):
        raise StoreError(f"not the address of a store; {_ADVICE}") from None
    if found.drivername in ("postgresql", "postgres", "postgresql+psycopg"):
        return found.set(drivername="postgresql+psycopg")
    if found.drivername == "sqlite":
        return found
    raise StoreError(f"a store cannot be kept in {found.drivername!r}; {_ADVICE}")


_ADVICE: Final = "give a file name such as cellar.db, or postgresql://user@host/database"


def file_of(url: URL) -> Path | None:
    """Return the file an SQLite address names; none for a server or for memory."""
    if url.get_backend_name() != "sqlite" or url.database in (None, "", ":memory:"):
        return None
    return Path(str(url.database).removeprefix("file:"))


def shown(url: URL) -> str:
    """Return an address for messages: the file, or the URL without its password."""
    file = file_of(url)
    if file is not None:
        return str(file)
    return "the store in memory" if url.get_backend_name() == "sqlite" else url.render_as_string()


def connect(url: URL, patience_s: float, *, keep_old: bool = True) -> Engine:
    """Return the database at an address, made and migrated where needed.

    `patience_s`: how long, in seconds, to wait for another writer. `keep_old`: before a file's form
    changes, keep a copy of it as it was, and say so in the program's log. Raises `StoreError`: a
    store of a newer form, or what is no store, is as it was then.
    """
    if url.get_backend_name() == "sqlite":
        engine = _sqlite(url, patience_s)
    else:
        engine = _postgresql(url, patience_s)
    try:
        with in_words(shown(url)):
            _prepare(engine, shown(url), file_of(url) if keep_old else None)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _sqlite(url: URL, patience_s: float) -> Engine:
    file = file_of(url)
    if file is not None and file == default_file():
        _make_folder(file.parent)
    # In memory, every connection is a database of its own: threads take turns with a single one.
    size = 5 if file else 1
    engine = create_engine(
        url,
        poolclass=QueuePool,
        pool_size=size,
        max_overflow=10 if file else 0,
        connect_args={"timeout": patience_s, "check_same_thread": False},
    )

    @event.listens_for(engine, "connect")
    def set_up(connection: _SqliteConnection, _: object) -> None:
        connection.isolation_level = None  # transactions begin where `begin` below says so
        for pragma in _PRAGMAS:
            connection.execute(pragma)
        _use_wal(connection, patience_s)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        _be_patient(connection, 0.0 if options.get("hurried") else patience_s)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes") else "BEGIN")

    return engine


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"{folder} cannot be made ({error.strerror}): name a store") from error


def _use_wal(connection: _SqliteConnection, patience_s: float) -> None:
    """Keep changes in a log beside the file, so that readers and a writer do not wait.

    SQLite does not itself wait for others when it changes this, so we try until patience ends. A
    file that may only be read stays as it is, and so does one that is not ours to change.
    """
    end = time.monotonic() + patience_s
    while True:
        try:
            if _may_be_changed(connection):
                connection.execute("PRAGMA journal_mode=WAL").fetchone()
        except sqlite3.OperationalError as error:
            code = error.sqlite_errorcode & 0xFF
            if code == sqlite3.SQLITE_READONLY:
                return
            if code != sqlite3.SQLITE_BUSY or time.monotonic() > end:
                raise
            time.sleep(_RETRY_S)
        else:
            return


def _may_be_changed(connection: _SqliteConnection) -> bool:
    """Tell whether a file is empty, or a store of a form that is known."""
    if connection.execute("PRAGMA journal_mode").fetchone() == ("wal",):
        return False  # there is nothing to change
    tables = "SELECT count(*), total(name = ?) FROM sqlite_master WHERE type = 'table'"
    every, ours = connection.execute(tables, (REVISION_TABLE,)).fetchone()
    if not every or not ours:
        return not every
    form = f"SELECT version_num FROM {REVISION_TABLE}"  # noqa: S608 (a constant)
    found = connection.execute(form).fetchone()
    return not found or not steps.is_newer(found[0])


def _postgresql(url: URL, patience_s: float) -> Engine:
    patience = f"-c lock_timeout={max(1, round(patience_s * 1e3))}"
    asked = url.query.get("options", "")
    try:
        return create_engine(
            url,
            pool_pre_ping=True,
            connect_args={
                "connect_timeout": 10,
                "client_encoding": "utf8",
                "options": f"{asked if isinstance(asked, str) else ' '.join(asked)} {patience}",
            },
        )
    except ModuleNotFoundError as error:
        raise StoreError(
            "PostgreSQL needs a driver: install it with pip install 'ullage[postgres]'"
        ) from error


def _prepare(engine: Engine, where: str, file: Path | None) -> None:
    """Bring the database up to date, if it is not; `file`: one to keep a copy of before."""
    with engine.begin() as connection:
        _check_encoding(connection, where)
        found = _revision(connection, where)
    if found != REVISION:
        _upgrade(engine, where, file)


def _check_encoding(connection: Connection, where: str) -> None:
    if connection.dialect.name != "postgresql":
        return
    encoding = connection.execute(text("SHOW server_encoding")).scalar_one()
    if encoding != "UTF8":
        raise StoreError(
            f"{where} is encoded as {encoding}: create a database with ENCODING 'UTF8'"
        )


def _revision(connection: Connection, where: str) -> str | None:
    """Return the revision a store has, none if it is empty.

    Raises `StoreError`: it is no store, or one of a newer form than this program knows.
    """
    tables = inspect(connection).get_table_names()
    if REVISION_TABLE in tables:
        named = text(f"SELECT version_num FROM {REVISION_TABLE}")  # noqa: S608 (a constant)
        found = connection.execute(named).scalar_one_or_none()
        if found is not None and steps.is_newer(found):
            raise StoreError(
                f"{where} was written by a newer Ullage (form {found}, this one knows {REVISION}): "
                "install the newest release, or restore a backup of before"
            )
        return found
    if tables:
        raise StoreError(
            f"{where} is no store: it holds tables of another program; "
            "give Ullage a file or database of its own"
        )
    return None


def _upgrade(engine: Engine, where: str, file: Path | None) -> None:
    """Take every step that is missing in one transaction, one program at a time."""
    from ullage.cellar.migrations import old_form  # noqa: PLC0415 (few openings change a form)

    copy: Path | None = None
    try:
        with engine.execution_options(writes=True).begin() as connection:
            lock(connection, _SCHEMA_LOCK)
            found = _revision(connection, where)  # another program may just have done it
            if file is not None and found not in (None, REVISION):
                copy = old_form.keep(file, str(found))
            steps.upgrade(connection)
            connection.execute(delete(SNAPSHOT))
    except BaseException:
        if copy is not None:
            copy.unlink()  # the store itself is as it was
        raise
    if copy is not None:
        _LOG.warning("%s has form %s now; as it was it is kept in %s", file, REVISION, copy)


def _be_patient(connection: Connection, patience_s: float) -> None:
    """Wait as long for other writers from now on; a connection begins with the store's patience."""
    if patience_s == 0.0 or "hurried" in connection.info:
        connection.exec_driver_sql(f"PRAGMA busy_timeout={round(patience_s * 1e3)}")
        connection.info["hurried"] = True


def hurry(connection: Connection) -> None:
    """Wait for no other transaction in this one (SQLite was told before it began)."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SET LOCAL lock_timeout = '1ms'"))


def lock(connection: Connection, key: int) -> None:
    """Let no other transaction past here until this one ends (SQLite does by itself)."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": key})
