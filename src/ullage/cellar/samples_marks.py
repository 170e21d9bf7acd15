"""How far a series of samples was followed, and what whoever follows it has to remember.

A mark is a name of its owner's choosing (`facts`, `thin 5 min`), the moment (µs since 1970 UTC) up
to which the work is done, and a text of its owner's own form.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, delete, insert, select, update

from ullage.cellar.samples import Series
from ullage.cellar.tables import SAMPLE_MARK


@dataclass(frozen=True, slots=True)
class Mark:
    """Where the work of a name stands: done up to `at`, with what it remembers."""

    name: str
    at: int
    body: str = ""


def marks_of(connection: Connection, cellar: str, series: Series) -> dict[str, Mark]:
    """The marks of a series by their names."""
    column = SAMPLE_MARK.c
    asked = select(column.mark, column.at, column.body).where(*_of(cellar, series))
    return {row.mark: Mark(row.mark, row.at, row.body) for row in connection.execute(asked)}


def set_mark(connection: Connection, cellar: str, series: Series, mark: Mark) -> None:
    """Put a mark in place of the one of its name; the caller holds the lock."""
    remove_mark(connection, cellar, series, mark.name)
    row = {"cellar": cellar, **series._asdict(), "mark": mark.name, "at": mark.at}
    connection.execute(insert(SAMPLE_MARK), row | {"body": mark.body})


def remove_mark(connection: Connection, cellar: str, series: Series, name: str) -> None:
    """Forget how far the work of a name was; the caller holds the lock."""
    connection.execute(delete(SAMPLE_MARK).where(*_of(cellar, series), SAMPLE_MARK.c.mark == name))


def set_back(
    connection: Connection, cellar: str, series: Series, at: int, names: tuple[str, ...]
) -> None:
    """Let the work of these names begin again at a moment, where it was further already."""
    late = (SAMPLE_MARK.c.at > at, SAMPLE_MARK.c.mark.in_(names))
    connection.execute(update(SAMPLE_MARK).where(*_of(cellar, series), *late).values(at=at))


def _of(cellar: str, series: Series) -> tuple[ColumnElement[bool], ...]:
    column = SAMPLE_MARK.c
    return (
        column.cellar == cellar,
        column.source == series.source,
        column.quantity == series.quantity,
    )
