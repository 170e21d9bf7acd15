"""Snapshots of finished streams, and planned steps found without reading the whole log."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add a table and an index; the log itself stays as it is."""
    op.create_table(
        "snapshot",
        sa.Column("cellar", sa.Text, primary_key=True),
        sa.Column("stream", sa.Text, primary_key=True),
        sa.Column("number", _BIG, nullable=False),
        sa.Column("form", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_index(
        "event_planned",
        "event",
        ["cellar", "position"],
        sqlite_where=sa.text("planned"),
        postgresql_where=sa.text("planned"),
    )
