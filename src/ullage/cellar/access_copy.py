"""Who may get in, from store to store: accounts and tokens, never who is logged in."""

from __future__ import annotations

from typing import Final

from sqlalchemy import Connection, func, insert, select

from ullage.cellar.store import Store
from ullage.cellar.tables import ACCOUNT, TOKEN

VISITS: Final = ("session", "attempt")
"""Tables that no copy holds: a session that has ended since must not begin again with it."""


def copy_access(source: Store, target: Store) -> None:
    """Give a store the accounts and the tokens of another, each where it has none of its own."""
    for table in (ACCOUNT, TOKEN):
        with source.reading() as connection:
            ours = select(table).where(table.c.cellar == source.cellar)
            rows = [dict(one) for one in connection.execute(ours).mappings()]
        with target.writing() as connection:
            there = select(func.count()).select_from(table).where(table.c.cellar == target.cellar)
            if rows and not connection.execute(there).scalar_one():
                connection.execute(insert(table), rows)


def access_totals(connection: Connection) -> tuple[int, int]:
    """Return how many accounts and how many tokens there are, of all cellars."""
    accounts, tokens = (
        connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in (ACCOUNT, TOKEN)
    )
    return accounts, tokens
