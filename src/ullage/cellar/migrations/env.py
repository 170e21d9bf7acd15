"""Alembic runs this: it brings the store at the other end of the given connection up to date."""

from __future__ import annotations

from alembic import context

from ullage.cellar.tables import METADATA, REVISION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    version_table=REVISION_TABLE,
)
with context.begin_transaction():
    context.run_migrations()
