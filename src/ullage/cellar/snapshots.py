"""What replaying a stream came to, kept so that a finished keg need not be replayed again.

Snapshots may vanish at any time: an upgrade of the store drops them, and one of another form than
asked for is not given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, delete, insert, select

from ullage.cellar.tables import SNAPSHOT


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A stream's state after its event of this number, as JSON of a form that the caller names."""

    stream: str
    number: int
    form: str
    body: str


def save(connection: Connection, cellar: str, snapshots: Sequence[Snapshot]) -> None:
    """Keep snapshots in place of older ones of their streams."""
    rows = [{"cellar": cellar, **asdict(one)} for one in {s.stream: s for s in snapshots}.values()]
    for row in rows:
        connection.execute(
            delete(SNAPSHOT).where(SNAPSHOT.c.cellar == cellar, SNAPSHOT.c.stream == row["stream"])
        )
    if rows:
        connection.execute(insert(SNAPSHOT), rows)


def load(connection: Connection, cellar: str, form: str, stream: str) -> Snapshot | None:
    """Return the snapshot of a stream, `None` if there is none of this form."""
    column = SNAPSHOT.c
    asked = select(column.stream, column.number, column.form, column.body).where(
        column.cellar == cellar, column.form == form, column.stream == stream
    )
    found = connection.execute(asked).one_or_none()
    return None if found is None else Snapshot(*found)
