"""The tables of the store as the newest revision of its form has them.

`at` counts microseconds since the start of 1970 UTC, so that it sorts as time runs; the event's own
text, with its offset, is in `body`. Rows of different cellars (households) share the tables and
never meet.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)

REVISION: Final = "0002"
"""The newest revision in `migrations`: a store that names it needs no migration."""

REVISION_TABLE: Final = "ullage_schema"
"""Where a store names the revision it has."""

METADATA: Final = MetaData()
_BIG: Final = BigInteger().with_variant(Integer(), "sqlite")

EVENT: Final = Table(
    "event",
    METADATA,
    Column("position", _BIG, primary_key=True, autoincrement=True),
    Column("cellar", Text, nullable=False),
    Column("id", Text, nullable=False),
    Column("stream", Text, nullable=False),
    Column("number", _BIG, nullable=False),
    Column("kind", Text, nullable=False),
    Column("at", _BIG, nullable=False),
    Column("planned", Boolean, nullable=False),
    Column("recorded_at", Text, nullable=False),
    Column("body", Text, nullable=False),
    UniqueConstraint("cellar", "id", name="event_id"),
    UniqueConstraint("cellar", "stream", "number", name="event_number"),
    Index("event_order", "cellar", "position"),
    Index(
        "event_planned",
        "cellar",
        "position",
        sqlite_where=text("planned"),
        postgresql_where=text("planned"),
    ),
)
"""The log: rows are added and never changed. `body` is the event as JSON, `position` its order in
the whole log, `number` its order in its stream."""

DOCUMENT: Final = Table(
    "document",
    METADATA,
    Column("position", _BIG, primary_key=True, autoincrement=True),
    Column("cellar", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("version", _BIG, nullable=False),
    Column("recorded_at", Text, nullable=False),
    Column("text", Text, nullable=False),
    UniqueConstraint("cellar", "name", "version", name="document_version"),
)
"""Texts kept beside the log, such as the system file, in every version."""

SNAPSHOT: Final = Table(
    "snapshot",
    METADATA,
    Column("cellar", Text, primary_key=True),
    Column("stream", Text, primary_key=True),
    Column("number", _BIG, nullable=False),
    Column("form", Text, nullable=False),
    Column("body", Text, nullable=False),
)
"""What replaying a stream up to a number came to: may be thrown away at any time."""
