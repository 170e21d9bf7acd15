"""Who is logged in: a secret in the browser's cookie, of which the store keeps a digest.

A session ends when its person logs out, after two weeks in which it was not used, and after three
months in any case; a new password ends all of an account.
"""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, delete, insert, or_, select, update

from ullage.cellar.digest import digest as digest_of
from ullage.cellar.moments import microseconds
from ullage.cellar.store import Store
from ullage.cellar.tables import SESSION

UNUSED: Final = timedelta(days=14)
LONGEST: Final = timedelta(days=90)
SEEN_AGAIN: Final = timedelta(minutes=10)
"""That it is used is noted this often, not with each request: each note is a write."""
_BYTES: Final = 32


def begin(store: Store, account: str, at: datetime) -> str:
    """Open a session of an account and return its secret. Those that have ended are swept out."""
    secret = secrets.token_urlsafe(_BYTES)
    row = {"digest": digest_of(secret), "cellar": store.cellar, "account": account}
    moment = microseconds(at)
    with store.writing() as connection:
        over = or_(
            SESSION.c.seen_at < microseconds(at - UNUSED),
            SESSION.c.made_at < microseconds(at - LONGEST),
        )
        connection.execute(delete(SESSION).where(SESSION.c.cellar == store.cellar, over))
        connection.execute(insert(SESSION), row | {"made_at": moment, "seen_at": moment})
    return secret


def account_of(store: Store, secret: str, at: datetime) -> str | None:
    """The name of the account whose session this is, if it has not ended."""
    digest = digest_of(secret)
    asked = select(SESSION.c.account, SESSION.c.seen_at).where(
        SESSION.c.digest == digest,
        SESSION.c.cellar == store.cellar,
        SESSION.c.seen_at >= microseconds(at - UNUSED),
        SESSION.c.made_at >= microseconds(at - LONGEST),
    )
    with store.reading() as connection:
        row = connection.execute(asked).one_or_none()
    if row is None:
        return None
    if row.seen_at < microseconds(at - SEEN_AGAIN):
        _seen(store, digest, at)
    return str(row.account)


def end(store: Store, secret: str) -> None:
    """End a session; nothing happens where it has ended."""
    with store.writing() as connection:
        ours = (SESSION.c.digest == digest_of(secret), SESSION.c.cellar == store.cellar)
        connection.execute(delete(SESSION).where(*ours))


def end_all(connection: Connection, cellar: str, account: str) -> None:
    """End every session of an account; the caller holds the transaction."""
    ours = (SESSION.c.cellar == cellar, SESSION.c.account == account)
    connection.execute(delete(SESSION).where(*ours))


def _seen(store: Store, digest: str, at: datetime) -> None:
    with store.writing() as connection:
        here = (SESSION.c.digest == digest, SESSION.c.cellar == store.cellar)
        connection.execute(update(SESSION).where(*here).values(seen_at=microseconds(at)))
