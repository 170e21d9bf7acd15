"""Failed tries to log in, counted: after a few, that account or address has to wait.

Five in a quarter of an hour for one account from one address, thirty for an account from anywhere
(so that a stranger cannot shut its owner out with five), thirty from one address for any account.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import ColumnElement, Connection, delete, insert, select

from ullage.cellar.moments import microseconds
from ullage.cellar.store import Store
from ullage.cellar.tables import ATTEMPT

WINDOW: Final = timedelta(minutes=15)
MOST_HERE: Final = 5
MOST_ANYWHERE: Final = 30
LETTERS: Final = 100
"""Of a name that is tried so many are kept; no account's is longer."""


def begin(store: Store, account: str, address: str, at: datetime) -> timedelta | None:
    """Note a try and return `None`; or how long to wait, where there were too many before it.

    Both in one transaction, so that of many at once no more get through than of one by one; a try
    that succeeds is forgiven. Those that no longer count are swept out.
    """
    account, address = account[:LETTERS], address[:LETTERS]
    with store.writing() as connection:
        waits = _wait(connection, store.cellar, account, address, at)
        if waits is None:
            old = (ATTEMPT.c.cellar == store.cellar, ATTEMPT.c.at < microseconds(at - WINDOW))
            connection.execute(delete(ATTEMPT).where(*old))
            row = {"cellar": store.cellar, "account": account, "address": address}
            connection.execute(insert(ATTEMPT), row | {"at": microseconds(at)})
    return waits


def forgive(store: Store, account: str, address: str) -> None:
    """Forget the tries of an account from an address, once it has logged in there."""
    with store.writing() as connection:
        connection.execute(
            delete(ATTEMPT).where(
                ATTEMPT.c.cellar == store.cellar,
                ATTEMPT.c.account == account[:LETTERS],
                ATTEMPT.c.address == address[:LETTERS],
            )
        )


def forgive_all(connection: Connection, cellar: str, account: str) -> None:
    """Forget the tries of an account from anywhere; the caller holds the transaction."""
    ours = (ATTEMPT.c.cellar == cellar, ATTEMPT.c.account == account[:LETTERS])
    connection.execute(delete(ATTEMPT).where(*ours))


def _wait(
    connection: Connection, cellar: str, account: str, address: str, at: datetime
) -> timedelta | None:
    of_account, from_there = ATTEMPT.c.account == account, ATTEMPT.c.address == address
    limits: tuple[tuple[ColumnElement[bool], int], ...] = (
        (of_account & from_there, MOST_HERE),
        (of_account, MOST_ANYWHERE),
        (from_there, MOST_ANYWHERE),
    )
    waits = [
        _until(connection, (ATTEMPT.c.cellar == cellar) & which, most, at) for which, most in limits
    ]
    return max((one for one in waits if one is not None), default=None)


def _until(
    connection: Connection, which: ColumnElement[bool], most: int, at: datetime
) -> timedelta | None:
    """Until the oldest of the newest `most` tries no longer counts, if there are so many.

    Tries from much later than now are of a clock that was set back, and count no more.
    """
    since, latest = microseconds(at - WINDOW), microseconds(at + WINDOW)
    asked = select(ATTEMPT.c.at).where(which, ATTEMPT.c.at > since, ATTEMPT.c.at <= latest)
    newest = connection.execute(asked.order_by(ATTEMPT.c.at.desc()).limit(most)).scalars().all()
    if len(newest) < most:
        return None
    return timedelta(microseconds=newest[-1] - since)
