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
    Double,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)

REVISION: Final = "0004"
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

SAMPLE: Final = Table(
    "sample",
    METADATA,
    Column("cellar", Text, primary_key=True),
    Column("source", Text, primary_key=True),
    Column("quantity", Text, primary_key=True),
    Column("at", _BIG, primary_key=True, autoincrement=False),
    Column("subject", Text, nullable=False),
    Column("value", Double, nullable=False),
    sqlite_with_rowid=False,
)
"""What sensors said, beside the log and no part of it: thinned as it ages. The key is the order
that it is read in, so there is no other index; `value` is SI, pressures as a gauge shows them."""

SAMPLE_MARK: Final = Table(
    "sample_mark",
    METADATA,
    Column("cellar", Text, primary_key=True),
    Column("source", Text, primary_key=True),
    Column("quantity", Text, primary_key=True),
    Column("mark", Text, primary_key=True),
    Column("at", _BIG, nullable=False),
    Column("body", Text, nullable=False),
    sqlite_with_rowid=False,
)
"""How far the samples of a sensor were thinned, or turned into facts, and what that knows."""

TOKEN: Final = Table(
    "token",
    METADATA,
    Column("cellar", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("digest", Text, nullable=False),
    Column("scope", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    UniqueConstraint("digest", name="token_digest"),
    sqlite_with_rowid=False,
)
"""Who may write without a page of ours: the SHA-256 of each token, never the token itself."""

ACCOUNT: Final = Table(
    "account",
    METADATA,
    Column("cellar", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("role", Text, nullable=False),
    Column("password", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    sqlite_with_rowid=False,
)
"""People by name; `password` is an Argon2id hash with its salt and its cost."""

SESSION: Final = Table(
    "session",
    METADATA,
    Column("digest", Text, primary_key=True),
    Column("cellar", Text, nullable=False),
    Column("account", Text, nullable=False),
    Column("made_at", _BIG, nullable=False),
    Column("seen_at", _BIG, nullable=False),
    Index("session_account", "cellar", "account"),
    sqlite_with_rowid=False,
)
"""Who is logged in: the SHA-256 of each session's secret, never the secret itself."""

ATTEMPT: Final = Table(
    "attempt",
    METADATA,
    Column("position", _BIG, primary_key=True, autoincrement=True),
    Column("cellar", Text, nullable=False),
    Column("account", Text, nullable=False),
    Column("address", Text, nullable=False),
    Column("at", _BIG, nullable=False),
    Index("attempt_account", "cellar", "account", "at"),
    Index("attempt_address", "cellar", "address", "at"),
)
"""Failed tries to log in, kept for as long as they count."""
