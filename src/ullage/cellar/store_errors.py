"""What a database complains of, as one sentence that says what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as NoneFree

from ullage.errors import Conflict, StoreError

_BUSY: Final = (
    "{where} is busy: another program keeps writing to it; try again, or stop the other one first"
)
_FULL: Final = "the disk that holds {where} is full: make room and try again; nothing was written"
_READ_ONLY: Final = (
    "{where} may only be read: give yourself the right to write to the file and its folder, "
    "or choose another store"
)
_DAMAGED: Final = (
    "{where} is damaged: put the file aside and restore the newest backup; ullage check tells what "
    "of it can still be read"
)

_SQLITE: Final = {
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: _READ_ONLY,
    sqlite3.SQLITE_PERM: _READ_ONLY,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: (
        "{where} is no store: it is a file of another kind; choose another name, "
        "or restore a backup if it should be one"
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "{where} cannot be opened: its folder must exist and you need the right to write there"
    ),
    sqlite3.SQLITE_IOERR: "the disk failed while {where} was used: check it, and your backups",
}
_POSTGRESQL: Final = {
    "28": "{where} does not let you in: check the user and the password in its address",
    "3D": "{where} does not exist: create the database first, with the encoding UTF8",
    "42501": "{where} does not let you do that: its user needs the right to create and write",
    "25006": _READ_ONLY,
    "53100": _FULL,
    "55P03": _BUSY,
    "40": _BUSY,
}


@contextmanager
def in_words(where: str) -> Iterator[None]:
    """Turn the database's errors into ours. Raises `StoreError`, or `Conflict` for a key taken."""
    try:
        yield
    except IntegrityError as error:
        raise Conflict(f"{where} was written to meanwhile: read it again and retry") from error
    except NoneFree as error:
        raise StoreError(_BUSY.format(where=where)) from error
    except DBAPIError as error:
        raise StoreError(sentence(error.orig, where)) from error


def sentence(error: BaseException | None, where: str) -> str:
    """Return what to tell the person about a driver's error with the store at `where`."""
    known = _sqlite(error) if isinstance(error, sqlite3.Error) else _postgresql(error)
    if known:
        return known.format(where=where)
    first = (str(error).strip().splitlines() or ["no reason given"])[0]
    return f"{where} failed: {first}"


def _sqlite(error: sqlite3.Error) -> str | None:
    code: int = getattr(error, "sqlite_errorcode", 0)
    return _SQLITE.get(code & 0xFF)  # the low byte is the kind, the rest a detail of it


def _postgresql(error: BaseException | None) -> str | None:
    state: str | None = getattr(error, "sqlstate", None)
    if state is None:
        return "{where} cannot be reached: is the server running, and its address right?"
    return _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
