"""Samples of sensors beside the log, how far they were followed, and tokens to send them with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

_BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add three tables; the log itself stays as it is."""
    op.create_table(
        "sample",
        sa.Column("cellar", sa.Text, primary_key=True),
        sa.Column("source", sa.Text, primary_key=True),
        sa.Column("quantity", sa.Text, primary_key=True),
        sa.Column("at", _BIG, primary_key=True, autoincrement=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("value", sa.Double, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "sample_mark",
        sa.Column("cellar", sa.Text, primary_key=True),
        sa.Column("source", sa.Text, primary_key=True),
        sa.Column("quantity", sa.Text, primary_key=True),
        sa.Column("mark", sa.Text, primary_key=True),
        sa.Column("at", _BIG, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "token",
        sa.Column("cellar", sa.Text, primary_key=True),
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("scope", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.UniqueConstraint("digest", name="token_digest"),
        sqlite_with_rowid=False,
    )
