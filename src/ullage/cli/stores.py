"""The store that a command works on, and what it holds."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ullage.cli.options import Cellar

if TYPE_CHECKING:
    from ullage.cellar.events import Event
    from ullage.cellar.store import Store
    from ullage.system.model import System
    from ullage.units import UnitSystem

IN_MEMORY = "sqlite://"
"""The address of a store that is gone when it is closed."""


_CELLAR: Final[ContextVar[str | None]] = ContextVar("cellar", default=None)
"""The cellar that the running command was told to keep to."""


def in_cellar(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command that has `--store` the option `--cellar` beside it; others stay as they are.

    What `opened` opens while the command runs is that cellar.
    """
    signature = inspect.signature(command, eval_str=True)
    if "store" not in signature.parameters or "cellar" in signature.parameters:
        return command

    @wraps(command)
    def kept_to(*args: Any, cellar: str | None = None, **options: Any) -> Any:
        token = _CELLAR.set(cellar_name(cellar) if cellar else None)
        try:
            return command(*args, **options)
        finally:
            _CELLAR.reset(token)

    asked = inspect.Parameter(
        "cellar", inspect.Parameter.KEYWORD_ONLY, default=None, annotation=Cellar
    )
    told = [
        one.replace(kind=inspect.Parameter.KEYWORD_ONLY) for one in signature.parameters.values()
    ]
    kept_to.__signature__ = signature.replace(parameters=[*told, asked])  # type: ignore[attr-defined]
    kept_to.__annotations__ = {one.name: one.annotation for one in (*told, asked)}
    return kept_to


def cellar_name(told: str) -> str:
    """The name of a cellar, which is part of its pages' address. Raises `StoreError`.

    >>> cellar_name("smith-road-4")
    'smith-road-4'
    """
    from ullage.cellar.naming import is_cellar
    from ullage.errors import StoreError

    if not is_cellar(told):
        raise StoreError(
            f'"{told[:40]}" is no name of a cellar: use small letters, digits and hyphens, 40 at '
            "most, such as smith-road"
        )
    return told


def cellar_asked() -> str | None:
    """The cellar that the running command was told, `None` where it was told none."""
    return _CELLAR.get()


@contextmanager
def opened(address: str | None, *, make: bool = False) -> Iterator[Store]:
    """Open the store at `--store`, `ULLAGE_STORE` or the user's own; `make` one where none is.

    Raises `StoreError`.
    """
    from ullage.cellar.opening import address as address_of
    from ullage.cellar.opening import file_of
    from ullage.cellar.store import HOME, Store
    from ullage.errors import StoreError

    file = file_of(address_of(address or None))
    if not make and file is not None and not file.exists():
        raise StoreError(f"there is no log at {file} yet: begin one with ullage record begin FILE")
    with Store.open(address or None, cellar=cellar_asked() or HOME) as store:
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


def system_file(file: Path | None, address: str | None) -> System:
    """The system of a file; without one that of the file which the log keeps.

    Raises `SystemFileError`, `StoreError`.
    """
    from ullage.errors import StoreError
    from ullage.system.file import load_system

    if file is not None:
        return load_system(file)
    try:
        with opened(address) as store:
            found = system_of(store)
    except StoreError as wrong:
        raise StoreError(f"{wrong}, or name a system file") from None
    if found is None:
        raise StoreError(
            "your log keeps no system file: name one, or take one in with ullage record begin "
            "FILE --again"
        )
    return found


def system_now(address: str | None) -> System:
    """The system of a log as it stands now, with what its household has of its own."""
    from ullage.cellar.standing import standing
    from ullage.plan.present import present_system, told

    with opened(address) as store:
        return present_system(system_of(store), standing(store, now()).now, told(log_of(store)))


def cautions_of(store: Store, events: Sequence[Event]) -> tuple[str, ...]:
    """The cautions beside what was just written, each once. Raises `StoreError`."""
    from ullage.plan.at_hand import caution_of

    said = (caution_of(one, keg_kind=_keg_kind(store, one)) for one in events)
    return tuple(dict.fromkeys(filter(None, said)))


def _keg_kind(store: Store, event: Event) -> str | None:
    """The kind of the keg that an event is about, as it was acquired."""
    found = store.read(event.stream, kinds=("keg_acquired",), planned=False)
    kinds = [one.event.keg_kind for one in found if one.event.kind == "keg_acquired"]
    return kinds[-1] if kinds else None


def pressure_notes(store: Store, events: Sequence[Event]) -> tuple[str, ...]:
    """A word of each pressure just written that is above a rating, or apart from its regulator's.

    Nothing of kegs that no system file describes. Raises `StoreError`.
    """
    from ullage.plan.written_pressures import SETS, above_notes

    described = system_of(store) if any(one.kind in SETS for one in events) else None
    if described is None:
        return ()
    from ullage.cellar.standing import standing
    from ullage.plan.one_regulator import odds_of
    from ullage.plan.present import present_system, told

    words = told(log_of(store))
    cellar = standing(store, now()).now
    system = present_system(described, cellar, words)
    supplies = {name: keg.supply.gauge_pa for name, keg in cellar.kegs.items() if keg.supply}
    kegs = {one.subject for one in events if one.kind == "gas_on" and not one.planned}
    units = words.home.units
    return (*above_notes(system, events, units), *odds_of(system, supplies, kegs, units))


def now() -> datetime:
    """This moment, with the offset of this machine's zone."""
    from ullage.plan.clock import local_now

    return local_now()
