"""Accounts, who is logged in, and failed tries to be."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add three tables; the log itself stays as it is."""
    op.create_table(
        "account",
        sa.Column("cellar", sa.Text, primary_key=True),
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("password", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "session",
        sa.Column("digest", sa.Text, primary_key=True),
        sa.Column("cellar", sa.Text, nullable=False),
        sa.Column("account", sa.Text, nullable=False),
        sa.Column("made_at", _BIG, nullable=False),
        sa.Column("seen_at", _BIG, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("session_account", "session", ["cellar", "account"])
    op.create_table(
        "attempt",
        sa.Column("position", _BIG, primary_key=True, autoincrement=True),
        sa.Column("cellar", sa.Text, nullable=False),
        sa.Column("account", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("at", _BIG, nullable=False),
    )
    op.create_index("attempt_account", "attempt", ["cellar", "account", "at"])
    op.create_index("attempt_address", "attempt", ["cellar", "address", "at"])
