"""Tokens: what programs may do without a page of ours. Only the SHA-256 of one is kept.

A token is 256 bits of chance, which nobody guesses however quickly a digest is worked out; what
slows down guessing a password would gain nothing here. It is shown once, when it is made.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from sqlalchemy import delete, insert, select

from ullage.cellar.batch import check_name
from ullage.cellar.digest import digest as digest_of
from ullage.cellar.moments import now
from ullage.cellar.store import Store
from ullage.cellar.tables import TOKEN
from ullage.errors import AccessError, Conflict, UnknownName

Scope: TypeAlias = Literal["samples", "read", "record"]
"""What a token allows: `samples`, to send readings of sensors; `read`, to ask for what a guest may
see; `record`, to ask for that and to write down what happened, as a helper."""
SCOPES: Final[tuple[Scope, ...]] = get_args(Scope)
BEGINS: Final = "ullage_"
"""How every token begins, so that one that got into a text is known for what it is."""
_BYTES: Final = 32


@dataclass(frozen=True, slots=True)
class Token:
    """A token that is good: what it is called, what it allows, when it was made (UTC)."""

    name: str
    scope: Scope
    made_at: str


def make(store: Store, name: str, scope: Scope = "samples") -> str:
    """Make a token and return it; it cannot be told again.

    Raises `Conflict` where one of that name is good already, `EventError` for no name.
    """
    check_name(name)
    secret = BEGINS + secrets.token_urlsafe(_BYTES)
    row = {"cellar": store.cellar, "name": name, "scope": scope, "made_at": now()}
    with store.writing() as connection:
        here = select(TOKEN.c.name).where(TOKEN.c.cellar == store.cellar, TOKEN.c.name == name)
        if connection.execute(here).first() is not None:
            raise Conflict(
                f"a token called {name} is good already: revoke it first, or call this "
                "one otherwise"
            )
        connection.execute(insert(TOKEN), row | {"digest": digest_of(secret)})
    return secret


def every(store: Store) -> tuple[Token, ...]:
    """Every token that is good, by name."""
    column = TOKEN.c
    asked = select(column.name, column.scope, column.made_at).where(column.cellar == store.cellar)
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(column.name)).all()
    return tuple(Token(row.name, row.scope, row.made_at) for row in rows)


def revoke(store: Store, name: str) -> None:
    """Let a token be good no more. Raises `UnknownName` with the names there are."""
    gone = delete(TOKEN).where(TOKEN.c.cellar == store.cellar, TOKEN.c.name == name)
    with store.writing() as connection:
        done = connection.execute(gone).rowcount
    if not done:
        names = ", ".join(one.name for one in every(store))
        raise UnknownName(f"no token is called {name}; there are: {names or 'none yet'}")


def known(store: Store, secret: str) -> Token | None:
    """The token that this is, if it is good."""
    column = TOKEN.c
    asked = select(column.name, column.scope, column.made_at).where(
        column.cellar == store.cellar, column.digest == digest_of(secret)
    )
    with store.reading() as connection:
        row = connection.execute(asked).one_or_none()
    return None if row is None else Token(row.name, row.scope, row.made_at)


def bearer(store: Store, secret: str, scope: Scope = "samples") -> Token | None:
    """The token that this is, if it is good and of that scope."""
    found = known(store, secret)
    return found if found is not None and found.scope == scope else None


def scope_of(text: str) -> Scope:
    """Read a scope. Raises `AccessError` with the scopes there are."""
    for scope in SCOPES:
        if text == scope:
            return scope
    raise AccessError(f'"{text[:40]}" is no scope of a token; write one of {", ".join(SCOPES)}')
