"""The fold: events in the order of their moments, each bringing the cellar one step on.

`replay` is a pure function of the events and of what is assumed; a cellar already replayed can be
carried on with later events, with the same outcome as replaying them all at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from ullage.cellar import keg_changes
from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import OfCylinder, OfKeg
from ullage.cellar.keg_changes import Change
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Purged,
    Shaken,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    LineCleaned,
    LineReplaced,
    PlaceSet,
)
from ullage.cellar.passing import pass_time
from ullage.cellar.state import (
    Assumed,
    BatchState,
    CellarState,
    CylinderState,
    KegState,
    Residual,
)
from ullage.errors import UnknownName
from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.system import parts

ROOM_K = 293.15
NOMINAL = Assumed()
STAMP = len("2026-01-01 00:00: ")
"""Letters of the moment that leads a warning."""


def replay(
    events: Iterable[Event],
    assumed: Assumed = NOMINAL,
    begun: CellarState | None = None,
    until: datetime | None = None,
) -> CellarState:
    """The cellar after the events, each keg at the moment of its own last event.

    Planned steps are replayed like facts: leave them out to know the present. `begun`: a cellar
    replayed before, to be carried on; the events must not be earlier than its own. `until`:
    events after it are left out. See `at_moment` for all kegs at one time.
    """
    cellar = begun or CellarState()
    for event in in_order(events):
        if until is not None and event.at > until:
            break
        cellar = step(cellar, event, assumed)
    return cellar


def at_moment(cellar: CellarState, at: datetime, assumed: Assumed = NOMINAL) -> CellarState:
    """All kegs carried to one moment, and the cylinders charged with what they drew on the way."""
    for name in cellar.kegs:
        cellar = _passed(cellar, name, at, assumed)
    return replace(cellar, at=at)


def step(cellar: CellarState, event: Event, assumed: Assumed) -> CellarState:
    """The cellar after one more event."""
    moved = replace(cellar, at=event.at)
    if isinstance(event, OfKeg):
        return _keg_step(moved, event, assumed)
    if isinstance(event, OfCylinder):
        return _cylinder_step(moved, event, assumed)
    if isinstance(event, PlaceSet):
        return _place_step(moved, event, assumed)
    return _other_step(moved, event)


def _other_step(cellar: CellarState, event: Event) -> CellarState:
    """What changes no keg and no cylinder."""
    if isinstance(event, BatchDescribed):
        return replace(cellar, batches={**cellar.batches, event.batch: _batch(event)})
    if isinstance(event, LineCleaned):
        return replace(cellar, lines_cleaned={**cellar.lines_cleaned, event.tap: event.at})
    if isinstance(event, LineReplaced):
        return replace(cellar, lines_replaced={**cellar.lines_replaced, event.tap: event.at})
    return cellar


def _keg_step(cellar: CellarState, event: OfKeg, assumed: Assumed) -> CellarState:
    if isinstance(event, KegAcquired):
        return _acquired(cellar, event)
    if event.keg not in cellar.kegs:
        return _warned(cellar, event, f"There is no keg {event.keg} in the cellar yet.")
    cellar = _passed(cellar, event.keg, event.at, assumed)
    before = cellar.kegs[event.keg]
    try:
        change = _changed(cellar, before, event, assumed)
    except UnknownName as wrong:
        return _warned(cellar, event, str(wrong))
    for warning in change.warnings:
        cellar = _warned(cellar, event, warning)
    residuals = tuple(
        Residual(event.at, event.keg, one.quantity, one.read, one.replayed)
        for one in change.readings
    )
    cellar = replace(cellar, residuals=(*cellar.residuals, *residuals))
    return _charged(_with_keg(cellar, change.keg), before, change.keg)


Handler = Callable[[CellarState, KegState, Any, Assumed], Change]

_HANDLERS: dict[type, Handler] = {
    KegCleaned: lambda _, keg, event, __: keg_changes.clean(keg, event),
    KegSanitised: lambda _, keg, event, __: keg_changes.sanitise(keg, event),
    Purged: lambda _, keg, event, assumed: keg_changes.purge(keg, event, assumed),
    Filled: lambda cellar, keg, event, assumed: keg_changes.fill(
        keg, event, cellar.batches.get(event.batch), assumed
    ),
    GasOn: lambda cellar, keg, event, assumed: keg_changes.gas_on(
        keg, event, assumed, only_cylinder(cellar)
    ),
    GasOff: lambda _, keg, event, __: keg_changes.gas_off(keg, event),
    Vented: lambda _, keg, event, assumed: keg_changes.vent(keg, event, assumed),
    ToppedUp: lambda cellar, keg, event, assumed: keg_changes.top_up(
        keg, event, assumed, only_cylinder(cellar)
    ),
    Shaken: lambda _, keg, event, assumed: keg_changes.shake(keg, event, assumed),
    Moved: lambda cellar, keg, event, _: keg_changes.move(
        keg, event, cellar.places_k.get(event.place, ROOM_K)
    ),
    Tapped: lambda _, keg, event, __: keg_changes.tap(keg, event),
    Poured: lambda _, keg, event, assumed: keg_changes.pour(keg, event, assumed),
    KegWeighed: lambda _, keg, event, __: keg_changes.weigh(keg, event),
    Measured: lambda _, keg, event, assumed: keg_changes.measure(keg, event, assumed),
    Kicked: lambda _, keg, event, __: keg_changes.kick(keg, event),
}

NEED_BEER = (Vented, ToppedUp, Shaken, Poured, Measured, KegWeighed, Kicked)
"""Events that mean nothing for a keg without beer; they are noted and change nothing."""


def _changed(cellar: CellarState, keg: KegState, event: OfKeg, assumed: Assumed) -> Change:
    if keg.beer is None and isinstance(event, NEED_BEER):
        return Change(keg, (f"Keg {keg.name} holds no beer then, so this changes nothing.",))
    return _HANDLERS[type(event)](cellar, keg, event, assumed)


def only_cylinder(cellar: CellarState) -> str | None:
    """The cylinder, where there is just one."""
    return next(iter(cellar.cylinders)) if len(cellar.cylinders) == 1 else None


def _acquired(cellar: CellarState, event: KegAcquired) -> CellarState:
    try:
        parts.keg_kind(event.keg_kind)
    except UnknownName as wrong:
        return _warned(cellar, event, str(wrong))
    if event.keg in cellar.kegs:
        return _warned(cellar, event, f"Keg {event.keg} is in the cellar already.")
    place_k = cellar.places_k.get(event.place, ROOM_K)
    keg = KegState(
        name=event.keg,
        keg_kind=event.keg_kind,
        at=event.at,
        place=event.place,
        place_k=place_k,
        temperature_k=place_k,
    )
    return _with_keg(cellar, keg)


def _passed(cellar: CellarState, name: str, at: datetime, assumed: Assumed) -> CellarState:
    before = cellar.kegs[name]
    after = pass_time(before, at, assumed)
    return cellar if after is before else _charged(_with_keg(cellar, after), before, after)


def _charged(cellar: CellarState, before: KegState, after: KegState) -> CellarState:
    """The cylinder that a keg hangs on, charged with what the keg drew in between."""
    anew = before.filled_at != after.filled_at
    earlier = 0.0 if anew else before.ledger.gas_drawn_kg
    drawn = after.ledger.gas_drawn_kg - earlier
    supply = after.supply or before.supply
    name = only_cylinder(cellar) if supply is None else supply.cylinder
    if not np.any(drawn) or name is None or name not in cellar.cylinders:
        return cellar
    cylinder = cellar.cylinders[name]
    lighter = replace(cylinder, drawn_kg=cylinder.drawn_kg + drawn)
    return replace(cellar, cylinders={**cellar.cylinders, name: lighter})


def _cylinder_step(cellar: CellarState, event: OfCylinder, assumed: Assumed) -> CellarState:
    """Kegs are brought to the moment first: what they drew before belongs to the old contents."""
    if not isinstance(event, CylinderConnected | CylinderSwapped | CylinderWeighed):
        return cellar
    for name in cellar.kegs:
        cellar = _passed(cellar, name, event.at, assumed)
    old = cellar.cylinders.get(event.cylinder)
    if isinstance(event, CylinderConnected):
        try:
            rated = parts.cylinder_size(event.size).rated_kg
        except UnknownName as wrong:
            return _warned(cellar, event, str(wrong))
        held = rated if event.contents_kg is None else event.contents_kg
        new = CylinderState(event.cylinder, event.size, held, event.at, connected_at=event.at)
        return _with_cylinder(cellar, new)
    if old is None:
        return _warned(cellar, event, f"There is no cylinder {event.cylinder} connected yet.")
    full = parts.cylinder_size(old.size).rated_kg
    told = event.contents_kg
    known = full if told is None else told
    if isinstance(event, CylinderWeighed):
        residual = Residual(
            event.at, event.cylinder, "contents_kg", known, float(np.mean(old.contents_kg))
        )
        cellar = replace(cellar, residuals=(*cellar.residuals, residual))
    return _with_cylinder(cellar, replace(old, known_kg=known, known_at=event.at, drawn_kg=0.0))


def _place_step(cellar: CellarState, event: PlaceSet, assumed: Assumed) -> CellarState:
    """All kegs that stand there feel it from now on."""
    places = {**cellar.places_k, event.place: event.temperature_k}
    for name, keg in cellar.kegs.items():
        if keg.place == event.place:
            cellar = _passed(cellar, name, event.at, assumed)
            there = replace(cellar.kegs[name], place_k=event.temperature_k)
            cellar = _with_keg(cellar, there)
    return replace(cellar, places_k=places)


def _batch(event: BatchDescribed) -> BatchState:
    return BatchState(
        name=event.batch,
        style=event.style,
        target_vol=event.target_vol,
        tolerance_vol=event.tolerance_vol,
        beer=_composition(event),
        serving_k=event.serving_k,
        brewed=event.brewed,
        packaged=event.packaged,
        ready_by=event.ready_by,
    )


def _composition(event: BatchDescribed) -> Composition:
    if event.og is not None and event.fg is not None and event.fg <= event.og:
        return beer_physics.from_gravities(event.og, event.fg)
    if event.abv is not None:
        return beer_physics.from_abv(100.0 * event.abv)
    return beer_physics.standard_beer()


def _with_keg(cellar: CellarState, keg: KegState) -> CellarState:
    return replace(cellar, kegs={**cellar.kegs, keg.name: keg})


def _with_cylinder(cellar: CellarState, cylinder: CylinderState) -> CellarState:
    return replace(cellar, cylinders={**cellar.cylinders, cylinder.name: cylinder})


def _warned(cellar: CellarState, event: Event | OfKeg | OfCylinder, text: str) -> CellarState:
    told = f"{event.at:%Y-%m-%d %H:%M}: {text}"  # the stamp is as long as STAMP
    return replace(cellar, warnings=(*cellar.warnings, told))
