"""The log of events, and the documents beside it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "event",
        sa.Column("position", _BIG, primary_key=True, autoincrement=True),
        sa.Column("cellar", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("stream", sa.Text, nullable=False),
        sa.Column("number", _BIG, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("at", _BIG, nullable=False),
        sa.Column("planned", sa.Boolean, nullable=False),
        sa.Column("recorded_at", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.UniqueConstraint("cellar", "id", name="event_id"),
        sa.UniqueConstraint("cellar", "stream", "number", name="event_number"),
    )
    op.create_index("event_order", "event", ["cellar", "position"])
    op.create_table(
        "document",
        sa.Column("position", _BIG, primary_key=True, autoincrement=True),
        sa.Column("cellar", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("version", _BIG, nullable=False),
        sa.Column("recorded_at", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.UniqueConstraint("cellar", "name", "version", name="document_version"),
    )
