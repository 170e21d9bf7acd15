"""The fold: events in the order of their moments, each bringing the cellar one step on.

`replay` is a pure function of the events and of what is assumed; a cellar already replayed can be
carried on with later events, with the same outcome as replaying them all at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

import numpy as np

from ullage.cellar.changing import changed, kelvin_of, only_cylinder
from ullage.cellar.cylinder_changes import held_at_least, tells_contents, told_anew
from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import OfCylinder, OfKeg
from ullage.cellar.keg_changes import Change
from ullage.cellar.keg_events import GasOn, KegAcquired, Poured, Tapped
from ullage.cellar.naming import headed, part
from ullage.cellar.on_gas import on_gas
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderRead,
    LineCleaned,
    LineReplaced,
    PlaceSet,
)
from ullage.cellar.passing import pass_time
from ullage.cellar.state import (
    NO_OFFSETS,
    Assumed,
    BatchState,
    CellarState,
    CylinderState,
    KegState,
    Residual,
    counted,
)
from ullage.errors import OutOfRange, UnknownName
from ullage.physics import beer as beer_physics
from ullage.physics import blend
from ullage.physics.beer import Composition
from ullage.system import parts

__all__ = ["NOMINAL", "STAMP", "at_moment", "only_cylinder", "replay", "step"]

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
    told = in_order(events)
    if until is not None:
        told = [event for event in told if event.at <= until]
    done = 0
    while done < len(told):
        cellar, taken = _on_gas_run(cellar, told, done, assumed)
        if not taken:
            cellar, taken = step(cellar, told[done], assumed), 1
        done += taken
    return cellar


def _on_gas_run(
    cellar: CellarState, told: list[Event], begin: int, assumed: Assumed
) -> tuple[CellarState, int]:
    """Events of a keg that only absorbs from its regulator, many in one go, and how many.

    The outcome is the same, to the last bit, as that of one at a time.
    """
    first = told[begin]
    if not (type(first) is Poured or type(first) is GasOn) or first.keg not in cellar.kegs:
        return cellar, 0
    before, lone = cellar.kegs[first.keg], only_cylinder(cellar)
    live = on_gas(before, assumed)
    if live is None:
        return cellar, 0
    taken = live.take(told, begin, lone)
    if not taken:
        return cellar, 0
    return _kept(cellar, told[begin + taken - 1].at, before, live.done()), taken


def at_moment(cellar: CellarState, at: datetime, assumed: Assumed = NOMINAL) -> CellarState:
    """All kegs carried to one moment, and the cylinders charged with what they drew on the way."""
    for name in cellar.kegs:
        cellar = _passed(cellar, name, at, assumed)
    cellar = cellar if cellar.at == at else _timed(cellar, at)
    return cellar if assumed.own is NO_OFFSETS else _with_losses(cellar, at, assumed)


def _with_losses(cellar: CellarState, at: datetime, assumed: Assumed) -> CellarState:
    """What each cylinder lost up to a moment besides what kegs drew, where that was learnt."""
    lost = {
        name: replace(one, lost_kg=assumed.own.lost_kg(one, at))
        for name, one in cellar.cylinders.items()
    }
    return replace(cellar, cylinders=lost)


def step(cellar: CellarState, event: Event, assumed: Assumed) -> CellarState:
    """The cellar after one more event."""
    moved = _timed(cellar, event.at)
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
        return _acquired(cellar, event, assumed)
    if event.keg not in cellar.kegs:
        return _warned(cellar, event, f"There is no {part('keg', event.keg)} in the cellar yet.")
    cellar = _passed(cellar, event.keg, event.at, assumed)
    before = cellar.kegs[event.keg]
    try:
        change = changed(cellar, before, event, assumed)
    except (UnknownName, OutOfRange) as wrong:
        return _warned(cellar, event, str(wrong))
    for warning in change.warnings:
        cellar = _warned(cellar, event, warning)
    residuals = tuple(
        Residual(event.at, event.keg, one.quantity, one.read, one.replayed)
        for one in change.readings
    )
    cellar = replace(cellar, residuals=(*cellar.residuals, *residuals))
    if isinstance(event, Tapped):
        cellar = _freed(cellar, event)
    return _kept(cellar, event.at, before, change.keg, change)


def _freed(cellar: CellarState, event: Tapped) -> CellarState:
    """The other kegs taken off a tap that one is put on: its line hangs on one keg."""
    for name, keg in cellar.kegs.items():
        if name != event.keg and event.tap in (keg.tap, keg.tap_before):
            other = None if keg.tap == event.tap else keg.tap
            cellar = _with_keg(cellar, replace(keg, tap=other, tap_before=None))
    return cellar


def _acquired(cellar: CellarState, event: KegAcquired, assumed: Assumed) -> CellarState:
    try:
        parts.keg_kind(event.keg_kind)
    except UnknownName as wrong:
        return _warned(cellar, event, str(wrong))
    if event.keg in cellar.kegs:
        return _warned(cellar, event, f"{headed('keg', event.keg)} is in the cellar already.")
    place_k = kelvin_of(event.place, cellar, assumed)
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
    try:
        after = pass_time(before, at, assumed)
    except OutOfRange as beyond:
        named = headed("keg", name)
        said = f"{named} cannot be followed to then ({beyond}); it is taken as it was."
        return _with_keg(_said(cellar, at, said), replace(before, at=at))
    return cellar if after is before else _kept(cellar, at, before, after)


def _timed(cellar: CellarState, at: datetime) -> CellarState:
    """The cellar as of another moment; written out, for it is made for every event."""
    return CellarState(
        at,
        cellar.kegs,
        cellar.cylinders,
        cellar.batches,
        cellar.places_k,
        cellar.lines_cleaned,
        cellar.lines_replaced,
        cellar.residuals,
        cellar.warnings,
    )


def _kept(
    cellar: CellarState,
    at: datetime | None,
    before: KegState,
    after: KegState,
    change: Change | None = None,
) -> CellarState:
    """The cellar with the keg as it is now, and what it drew charged to its cylinder.

    `change`: what made it so, where that was more than time.
    """
    return CellarState(
        at,
        {**cellar.kegs, after.name: after},
        _charged(cellar, before, after, change),
        cellar.batches,
        cellar.places_k,
        cellar.lines_cleaned,
        cellar.lines_replaced,
        cellar.residuals,
        cellar.warnings,
    )


def _charged(
    cellar: CellarState, before: KegState, after: KegState, change: Change | None
) -> dict[str, CylinderState]:
    """The cylinders, that of the keg lighter by what it drew in between."""
    anew = before.filled_at != after.filled_at
    earlier = 0.0 if anew else before.ledger.gas_drawn_kg
    drawn = after.ledger.gas_drawn_kg - earlier
    supply = after.supply or before.supply
    name = only_cylinder(cellar) if supply is None else supply.cylinder
    if change is not None and change.source is not None:
        name, drawn = change.source.cylinder, drawn + counted(change.given_kg)
    old = None if name is None else cellar.cylinders.get(name)
    if old is None or (drawn == 0.0 if isinstance(drawn, float) else not np.any(drawn)):
        return cellar.cylinders
    if old.co2_share < 1.0:
        gas = drawn * blend.kg_per_co2(old.co2_share)
        return {**cellar.cylinders, old.name: replace(old, drawn_kg=old.drawn_kg + gas)}
    taken = old.drawn_kg + drawn
    lighter = CylinderState(old.name, old.size, old.known_kg, old.known_at, taken, old.connected_at)
    return {**cellar.cylinders, old.name: lighter}


def _cylinder_step(cellar: CellarState, event: OfCylinder, assumed: Assumed) -> CellarState:
    """Kegs are brought to the moment first: what they drew before belongs to the old contents."""
    told = tells_contents(event, cellar.cylinders.get(event.cylinder), assumed)
    if not told and not isinstance(event, CylinderRead):
        return cellar
    before = cellar
    for name in cellar.kegs:
        cellar = _passed(cellar, name, event.at, assumed)
    old = cellar.cylinders.get(event.cylinder)
    change = (told_anew if told else held_at_least)(event, old, assumed)
    if change is None:
        return before
    for warning in change.warnings:
        cellar = _warned(cellar, event, warning)
    if change.residual is not None:
        cellar = replace(cellar, residuals=(*cellar.residuals, change.residual))
    new = change.cylinder
    return cellar if new is None else _with_cylinder(_refed(cellar, new), new)


def _refed(cellar: CellarState, new: CylinderState) -> CellarState:
    """Kegs that hang on a cylinder which now gives another gas."""
    for keg in cellar.kegs.values():
        supply = keg.supply
        if supply is None or supply.cylinder != new.name or supply.co2_share == new.co2_share:
            continue
        other = replace(supply, co2_share=new.co2_share)
        cellar = _with_keg(cellar, replace(keg, supply=other))
    return cellar


def _place_step(cellar: CellarState, event: PlaceSet, assumed: Assumed) -> CellarState:
    """All kegs that stand there feel it from now on."""
    places = {**cellar.places_k, event.place: event.temperature_k}
    place_k = assumed.own.kelvin(event.place, event.temperature_k)
    for name, keg in cellar.kegs.items():
        if keg.place == event.place:
            cellar = _passed(cellar, name, event.at, assumed)
            there = replace(cellar.kegs[name], place_k=place_k)
            cellar = _with_keg(cellar, there)
    return replace(cellar, places_k=places)


def _batch(event: BatchDescribed) -> BatchState:
    return BatchState(
        name=event.batch,
        style=event.style,
        target_vol=event.target_vol,
        tolerance_vol=event.tolerance_vol,
        beer=_composition(event),
        fg=event.fg,
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
    return _said(cellar, event.at, text)


def _said(cellar: CellarState, at: datetime, text: str) -> CellarState:
    told = f"{at:%Y-%m-%d %H:%M}: {text}"  # the stamp is as long as STAMP
    return replace(cellar, warnings=(*cellar.warnings, told))
