"""Texts kept beside the log, such as the system file: every version stays."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, Select, insert, select

from ullage.cellar.batch import check_name
from ullage.cellar.tables import DOCUMENT
from ullage.errors import Conflict, StoreError

LONGEST: Final = 1_000_000
"""A text may have this many characters."""
_UNWRITABLE: Final = re.compile("[\\0\ud800-\udfff]")  # what no database or file can hold


@dataclass(frozen=True, slots=True)
class Document:
    """A text in one of its versions (1, 2 …), and when that was written (UTC)."""

    name: str
    version: int
    recorded_at: str
    text: str


def newest(connection: Connection, cellar: str, name: str) -> Document | None:
    """Return the newest version of a document, if there is one."""
    asked = _documents(cellar).where(DOCUMENT.c.name == name).order_by(DOCUMENT.c.version.desc())
    row = connection.execute(asked.limit(1)).one_or_none()
    return None if row is None else Document(*row)


def every(connection: Connection, cellar: str) -> tuple[Document, ...]:
    """Return every version of every document, in the order they were written."""
    rows = connection.execute(_documents(cellar).order_by(DOCUMENT.c.position))
    return tuple(Document(*row) for row in rows)


def put(connection: Connection, cellar: str, wanted: Document, expected: int | None) -> int:
    """Write a text under the next version, unless the newest is the same; return its version.

    The caller holds the lock. Raises `Conflict` if the newest version is not the `expected` one.
    """
    found = newest(connection, cellar, wanted.name)
    version = found.version if found else 0
    if found and found.text == wanted.text:
        return version
    if expected not in (None, version):
        raise Conflict(
            f"{wanted.name} is at version {version}, not {expected}: "
            "someone else changed it meanwhile; read it again and decide anew"
        )
    _add(connection, cellar, Document(wanted.name, version + 1, wanted.recorded_at, wanted.text))
    return version + 1


def merge(connection: Connection, cellar: str, wanted: Iterable[Document]) -> int:
    """Write those versions that are missing and return how many they were.

    The caller holds the lock. Raises `Conflict` for a version that has another text here, or that
    does not follow the newest.
    """
    here = {(one.name, one.version): one.text for one in every(connection, cellar)}
    added = 0
    for one in wanted:
        text = here.get((one.name, one.version))
        if text == one.text:
            continue
        if text is not None or (one.version > 1 and (one.name, one.version - 1) not in here):
            raise Conflict(
                f"version {one.version} of {one.name} does not fit those that are kept here: "
                "import into an empty store instead"
            )
        _add(connection, cellar, one)
        here[one.name, one.version] = one.text
        added += 1
    return added


def _add(connection: Connection, cellar: str, document: Document) -> None:
    check_name(document.name)
    if len(document.text) > LONGEST or _UNWRITABLE.search(document.text):
        raise StoreError(
            f"{document.name}: a text to keep has at most {LONGEST:,} characters, none of them NUL"
        )
    row = {
        "cellar": cellar,
        "name": document.name,
        "version": document.version,
        "recorded_at": document.recorded_at,
        "text": document.text,
    }
    connection.execute(insert(DOCUMENT), row)


def _documents(cellar: str) -> Select[str, int, str, str]:
    column = DOCUMENT.c
    asked = select(column.name, column.version, column.recorded_at, column.text)
    return asked.where(column.cellar == cellar)
