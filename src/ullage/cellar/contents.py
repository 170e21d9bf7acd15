"""What a database holds, of one cellar or of all: for comparing a copy with its original."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from sqlalchemy import ColumnElement, Connection, Table, func, select, true

from ullage.cellar.tables import ACCOUNT, DOCUMENT, EVENT

_KEPT: Final = (EVENT, DOCUMENT)
_AT_ONCE: Final = 1000


@dataclass(frozen=True, slots=True)
class Contents:
    """How much there is, the last position in each table, and the SHA-256 of every row up to it."""

    events: int
    documents: int
    ends: Mapping[str, int]
    sha256: str


def contents(
    connection: Connection, ends: Mapping[str, int] | None = None, cellar: str | None = None
) -> Contents:
    """Return what is there, or was when the tables ended at `ends`: rows never change.

    `cellar`: of that one alone.
    """
    digest, counts, found = sha256(), {}, {}
    for table in _KEPT:
        newest = select(func.coalesce(func.max(table.c.position), 0)).where(_of(table, cellar))
        end = ends[table.name] if ends else connection.execute(newest).scalar_one()
        counts[table.name], found[table.name] = 0, end
        asked = select(table).where(table.c.position <= end, _of(table, cellar))
        asked = asked.order_by(table.c.position)
        rows = connection.execute(asked, execution_options={"yield_per": _AT_ONCE})
        for some in rows.partitions():
            counts[table.name] += len(some)
            digest.update(json.dumps([tuple(row) for row in some]).encode())
    return Contents(counts[EVENT.name], counts[DOCUMENT.name], found, digest.hexdigest())


def totals(connection: Connection, cellar: str | None = None) -> tuple[int, int]:
    """Return how many events and versions of documents there are, in one cellar or in all."""
    events, documents = (
        connection.execute(
            select(func.count()).select_from(table).where(_of(table, cellar))
        ).scalar_one()
        for table in _KEPT
    )
    return events, documents


def _of(table: Table, cellar: str | None) -> ColumnElement[bool]:
    return true() if cellar is None else table.c.cellar == cellar


def cellars(connection: Connection) -> tuple[str, ...]:
    """Return the names of the cellars that hold anything, in order."""
    named = (connection.execute(select(table.c.cellar).distinct()).scalars() for table in _KEPT)
    return tuple(sorted({name for names in named for name in names}))


def kept_by_somebody(connection: Connection) -> tuple[str, ...]:
    """Return the names of the cellars that somebody has an account in, in order."""
    asked = select(ACCOUNT.c.cellar).distinct().order_by(ACCOUNT.c.cellar)
    return tuple(connection.execute(asked).scalars())
