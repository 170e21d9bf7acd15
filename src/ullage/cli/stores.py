"""The store that a command works on, and what it holds."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ullage.cellar.events import Event
    from ullage.cellar.store import Store
    from ullage.system.model import System
    from ullage.units import UnitSystem

IN_MEMORY = "sqlite://"
"""The address of a store that is gone when it is closed."""


@contextmanager
def opened(address: str | None, *, make: bool = False) -> Iterator[Store]:
    """Open the store at `--store`, `ULLAGE_STORE` or the user's own; `make` one where none is.

    Raises `StoreError`.
    """
    from ullage.cellar.opening import address as address_of
    from ullage.cellar.opening import file_of
    from ullage.cellar.store import Store
    from ullage.errors import StoreError

    file = file_of(address_of(address or None))
    if not make and file is not None and not file.exists():
        raise StoreError(f"there is no log at {file} yet: begin one with ullage record begin FILE")
    with Store.open(address or None) as store:
        yield store


def log_of(store: Store, kinds: Collection[str] = ()) -> list[Event]:
    """Every event, or those of some kinds, as written."""
    return [one.event for one in store.read(kinds=kinds)]


def units_of(store: Store) -> UnitSystem:
    """The units that the household reads."""
    from ullage.cellar.household import household

    return household(log_of(store, ("household_set", "undone"))).units


def system_of(store: Store) -> System | None:
    """The system that the store's file describes, if it keeps one."""
    from ullage.plan.begin import described

    return described(store)


def now() -> datetime:
    """This moment, with the offset of this machine's zone."""
    return datetime.now(UTC).astimezone()
