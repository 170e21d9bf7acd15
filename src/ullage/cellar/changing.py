"""Which change belongs to which event of a keg, and what of the cellar it asks for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ullage.cellar import beer_out, filling, keg_changes
from ullage.cellar.happening import OfKeg
from ullage.cellar.keg_changes import Change, Source
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.naming import headed
from ullage.cellar.state import Assumed, CellarState, KegState

ROOM_K = 293.15

Handler = Callable[[CellarState, KegState, Any, Assumed], Change]

_HANDLERS: dict[type, Handler] = {
    KegCleaned: lambda _, keg, event, __: keg_changes.clean(keg, event),
    KegSanitised: lambda cellar, keg, event, assumed: keg_changes.sanitise(
        keg, event, assumed, source_of(cellar, keg)
    ),
    Purged: lambda cellar, keg, event, assumed: keg_changes.purge(
        keg, event, assumed, source_of(cellar, keg)
    ),
    Filled: lambda cellar, keg, event, assumed: filling.fill(
        keg, event, cellar.batches.get(event.batch), assumed
    ),
    Primed: lambda _, keg, event, __: filling.prime(keg, event),
    SpundingSet: lambda _, keg, event, assumed: filling.set_spunding(keg, event, assumed),
    GasOn: lambda cellar, keg, event, assumed: keg_changes.gas_on(
        keg, event, assumed, _named(cellar, event.cylinder)
    ),
    GasOff: lambda _, keg, event, __: keg_changes.gas_off(keg, event),
    Vented: lambda _, keg, event, assumed: keg_changes.vent(keg, event, assumed),
    ToppedUp: lambda cellar, keg, event, assumed: keg_changes.top_up(
        keg, event, assumed, _named(cellar, event.cylinder)
    ),
    Shaken: lambda _, keg, event, assumed: keg_changes.shake(keg, event, assumed),
    Moved: lambda cellar, keg, event, assumed: keg_changes.move(
        keg, event, kelvin_of(event.place, cellar, assumed)
    ),
    Tapped: lambda _, keg, event, __: keg_changes.tap(keg, event),
    Poured: lambda _, keg, event, assumed: beer_out.pour(keg, event, assumed),
    KegWeighed: lambda _, keg, event, assumed: beer_out.weigh(keg, event, assumed),
    Measured: lambda _, keg, event, assumed: beer_out.measure(keg, event, assumed),
    Kicked: lambda _, keg, event, __: beer_out.kick(keg, event),
}

NEED_BEER = (Primed, Vented, ToppedUp, Shaken, Poured, Measured, KegWeighed, Kicked)
"""Events that mean nothing for a keg without beer; they are noted and change nothing."""


def changed(cellar: CellarState, keg: KegState, event: OfKeg, assumed: Assumed) -> Change:
    """The keg after the event, at whose moment it is already."""
    if keg.beer is None and isinstance(event, NEED_BEER):
        named = headed("keg", keg.name)
        return Change(keg, (f"{named} holds no beer then, so this changes nothing.",))
    return _HANDLERS[type(event)](cellar, keg, event, assumed)


def kelvin_of(place: str, cellar: CellarState, assumed: Assumed) -> float:
    """How warm a place is; as a room is where nobody told."""
    told = cellar.places_k.get(place)
    return ROOM_K if told is None else assumed.own.kelvin(place, told)


def only_cylinder(cellar: CellarState) -> str | None:
    """The cylinder, where there is just one."""
    return next(iter(cellar.cylinders)) if len(cellar.cylinders) == 1 else None


def source_of(cellar: CellarState, keg: KegState) -> Source:
    """Where a keg's gas comes from: what hangs on it, else what gave it gas last."""
    if keg.supply is None:
        return _named(cellar, keg.fed_by)
    return Source(keg.supply.cylinder, keg.supply.co2_share)


def _named(cellar: CellarState, cylinder: str | None) -> Source:
    """A cylinder by its name, the only one where none is named."""
    name = cylinder or only_cylinder(cellar)
    known = None if name is None else cellar.cylinders.get(name)
    return Source(name, 1.0 if known is None else known.co2_share)
