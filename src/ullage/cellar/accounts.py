"""Accounts of a cellar: who may get in and what for. At least one keeper is always left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias, get_args

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from ullage.cellar import attempts, passwords, sessions
from ullage.cellar.batch import check_name
from ullage.cellar.moments import now
from ullage.cellar.store import Store
from ullage.cellar.tables import ACCOUNT
from ullage.errors import AccessError, Conflict, UnknownName

Role: TypeAlias = Literal["keeper", "helper", "guest"]
"""A keeper may do everything, a helper look and write down what happened, a guest look."""
ROLES: Final[tuple[Role, ...]] = get_args(Role)


@dataclass(frozen=True, slots=True)
class Account:
    """A person who may log in, since when (UTC)."""

    name: str
    role: Role
    made_at: str


def make(store: Store, name: str, password: str, role: Role) -> Account:
    """Make an account. Raises `Conflict` where the name is taken, `AccessError` for a password
    that will not do, `EventError` for no name."""
    wanted = Account(_name(name), role, now())
    kept = passwords.hashed(passwords.check(password, name))
    with store.writing() as connection:
        if _row(connection, store.cellar, wanted.name) is not None:
            raise Conflict(f"an account is called {wanted.name} already: choose another name")
        _insert(connection, store.cellar, wanted, kept)
    return wanted


def make_first(store: Store, name: str, password: str) -> Account:
    """Make the first account, a keeper's. Raises `Conflict` where there is one already."""
    wanted = Account(_name(name), "keeper", now())
    kept = passwords.hashed(passwords.check(password, name))
    with store.writing() as connection:
        if _count(connection, store.cellar) > 0:
            raise Conflict("there is an account already: log in with it")
        _insert(connection, store.cellar, wanted, kept)
    return wanted


def every(store: Store) -> tuple[Account, ...]:
    """Every account, by name."""
    asked = select(ACCOUNT).where(ACCOUNT.c.cellar == store.cellar).order_by(ACCOUNT.c.name)
    with store.reading() as connection:
        return tuple(
            Account(row.name, row.role, row.made_at) for row in connection.execute(asked).all()
        )


def named(store: Store, name: str) -> Account | None:
    """The account of that name, if there is one."""
    with store.reading() as connection:
        row = _row(connection, store.cellar, name)
    return None if row is None else Account(row.name, row.role, row.made_at)


def get(store: Store, name: str) -> Account:
    """The account of that name. Raises `UnknownName` with the names there are."""
    with store.reading() as connection:
        row = _known(connection, store, name)
    return Account(row.name, row.role, row.made_at)


def checked(store: Store, name: str, password: str) -> Account | None:
    """The account of that name if that is its password; takes as long where there is none."""
    nobody = passwords.of_nobody()
    with store.reading() as connection:
        row = _row(connection, store.cellar, name)
    if not passwords.is_right(password, nobody if row is None else row.password) or row is None:
        return None
    return Account(row.name, row.role, row.made_at)


def set_password(store: Store, name: str, password: str) -> None:
    """Give an account another password, end its sessions and forget the failed tries at it.

    Raises as `make`, and `UnknownName`.
    """
    kept = passwords.hashed(passwords.check(password, name))
    with store.writing() as connection:
        _known(connection, store, name)
        _change(connection, store, name, password=kept)
        sessions.end_all(connection, store.cellar, name)
        attempts.forgive_all(connection, store.cellar, name)


def set_role(store: Store, name: str, role: Role) -> None:
    """Let an account do more or less. Raises `UnknownName`; `AccessError` for the last keeper."""
    with store.writing() as connection:
        _known(connection, store, name)
        if role != "keeper":
            _keep_a_keeper(connection, store, name)
        _change(connection, store, name, role=role)


def remove(store: Store, name: str) -> None:
    """Remove an account and end its sessions. Raises `UnknownName`; `AccessError` for the last
    keeper."""
    with store.writing() as connection:
        _known(connection, store, name)
        _keep_a_keeper(connection, store, name)
        ours = (ACCOUNT.c.cellar == store.cellar, ACCOUNT.c.name == name)
        connection.execute(delete(ACCOUNT).where(*ours))
        sessions.end_all(connection, store.cellar, name)


def role_of(text: str) -> Role:
    """Read a role. Raises `AccessError` with the roles there are."""
    for role in ROLES:
        if text == role:
            return role
    raise AccessError(f'"{text[:40]}" is no role; write one of {", ".join(ROLES)}')


def _name(name: str) -> str:
    return check_name(name.strip())


def _row(connection: Connection, cellar: str, name: str) -> Row[Any] | None:
    asked = select(ACCOUNT).where(ACCOUNT.c.cellar == cellar, ACCOUNT.c.name == name)
    return connection.execute(asked).one_or_none()


def _count(connection: Connection, cellar: str) -> int:
    asked = select(func.count()).select_from(ACCOUNT).where(ACCOUNT.c.cellar == cellar)
    return connection.execute(asked).scalar_one()


def _insert(connection: Connection, cellar: str, wanted: Account, kept: str) -> None:
    row = {
        "cellar": cellar,
        "name": wanted.name,
        "role": wanted.role,
        "password": kept,
        "made_at": wanted.made_at,
    }
    connection.execute(insert(ACCOUNT), row)


def _known(connection: Connection, store: Store, name: str) -> Row[Any]:
    row = _row(connection, store.cellar, name)
    if row is None:
        names = select(ACCOUNT.c.name).where(ACCOUNT.c.cellar == store.cellar)
        there = ", ".join(sorted(connection.execute(names).scalars()))
        raise UnknownName(f"no account is called {name[:80]}; there are: {there or 'none yet'}")
    return row


def _keep_a_keeper(connection: Connection, store: Store, name: str) -> None:
    """Refuse what would leave nobody who may change the accounts."""
    others = select(func.count()).select_from(ACCOUNT)
    others = others.where(ACCOUNT.c.cellar == store.cellar, ACCOUNT.c.name != name)
    if connection.execute(others.where(ACCOUNT.c.role == "keeper")).scalar_one() == 0:
        raise AccessError(f"{name} is the last keeper: make another one a keeper first")


def _change(connection: Connection, store: Store, name: str, **columns: str) -> None:
    ours = (ACCOUNT.c.cellar == store.cellar, ACCOUNT.c.name == name)
    connection.execute(update(ACCOUNT).where(*ours).values(columns))
