"""What an event names, looked up in the cellar: found, or refused with the names there are."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from ullage.cellar.happening import OfKeg
from ullage.cellar.naming import part
from ullage.cellar.state import CellarState, KegState
from ullage.errors import EventError, UnknownName
from ullage.system import parts


def keg_of(event: OfKeg, cellar: CellarState) -> KegState:
    """The keg of an event. Raises `EventError`: there is none of that name."""
    keg = cellar.kegs.get(event.keg)
    if keg is None:
        raise EventError(no_such("keg", event.keg, cellar.kegs))
    return keg


def keg_with_beer(event: OfKeg, cellar: CellarState) -> KegState:
    """The same, which must hold beer. Raises `EventError`."""
    keg = keg_of(event, cellar)
    if keg.beer is None:
        raise EventError(
            f"{part('keg', keg.name)} holds no beer at {event.at:%Y-%m-%d %H:%M}; "
            "record its filling first"
        )
    return keg


def size_of_cylinder(name: str, cellar: CellarState) -> str:
    """The size of a cylinder that is connected. Raises `EventError`: there is none such."""
    known = cellar.cylinders.get(name)
    if known is None:
        raise EventError(no_such("cylinder", name, cellar.cylinders))
    return known.size


def check_kind(kind: str) -> None:
    """Raise `EventError` for a kind of keg that the catalogue does not have."""
    try:
        parts.keg_kind(kind)
    except UnknownName as wrong:
        raise EventError(str(wrong)) from None


def check_place(place: str, cellar: CellarState) -> tuple[str, ...]:
    """Raise `EventError` for a place that nobody told of; there is nothing to warn of."""
    if place not in cellar.places_k:
        raise EventError(no_such("place", place, cellar.places_k))
    return ()


def no_such(what: str, name: str, known: Iterable[str]) -> str:
    """Say that nothing bears a name, with the names there are."""
    names = sorted(known)
    if not names:
        return f"there is no {what} in the cellar yet; record that first"
    near = [one for one in names if one.casefold() == name.casefold()]
    near = near or get_close_matches(name, names, n=1, cutoff=0.5)
    hint = f"; did you mean {near[0]}?" if near else ""
    return f"no {what} is called {name}{hint} (there are: {', '.join(names)})"
