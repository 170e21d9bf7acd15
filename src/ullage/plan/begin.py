"""From a system file to the first events of a log: what is owned, and how full and gassy it is."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Iterator
from datetime import datetime
from typing import Any, Final

from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired, Tapped
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    HouseholdSet,
    PlaceSet,
)
from ullage.cellar.recording import Recorded, record
from ullage.cellar.store import Store
from ullage.cellar.track import FERMENTED_K
from ullage.plan.cases import beer_volume
from ullage.system.file import parse_system
from ullage.system.model import Beer, Keg, System

SYSTEM_DOCUMENT: Final = "system"
"""The name under which a store keeps the system file, as it was written."""
SOURCE: Final = "the system file"
"""What errors call it."""


def described(store: Store) -> System | None:
    """The system that a store's file describes; `None` where it keeps none.

    Raises `SystemFileError` where the file is not understood.
    """
    kept = store.get_document(SYSTEM_DOCUMENT)
    return parse_system(kept.text, SOURCE) if kept and kept.text else None


def tables_of(store: Store, kind: str) -> tuple[dict[str, Any], ...]:
    """The `[[kind]]` tables with a name of a store's file, as written: units are not read, so it
    takes no time; none of a file that is no TOML.
    """
    kept = store.get_document(SYSTEM_DOCUMENT)
    try:
        found = tomllib.loads(kept.text).get(kind, []) if kept else []
    except tomllib.TOMLDecodeError:
        return ()
    tables = found if isinstance(found, list) else ()
    return tuple(one for one in tables if isinstance(one, dict) and "name" in one)


def begin(store: Store, system: System, text: str, at: datetime, now: datetime) -> Recorded:
    """Put a system into a store: its first events, and the text of its file.

    `now`: what counts as the future. Raises `EventError`: then nothing is written.
    """
    log = [one.event for one in store.read()]
    done = record(store, first_events(system, at, log), now)
    store.put_document(SYSTEM_DOCUMENT, text)
    return done


def first_events(system: System, at: datetime, log: Iterable[Event] = ()) -> tuple[Event, ...]:
    """The events that put a system into a log at one moment, in the order they are replayed.

    `log`: what was written before. Kegs and cylinders that it has, with what is in them, are left
    as they are, but for a tap that it says nothing of yet; the household, places and batches are
    set anew.
    """
    known = {
        (one.subject_kind, one.subject)
        for one in in_order(log)
        if isinstance(one, KegAcquired | CylinderConnected)
    }
    seen = {one.tap for one in in_order(log) if isinstance(one, Tapped)}
    return tuple(
        event
        for event in _events(system, at)
        if (event.subject_kind, event.subject) not in known or _is_new_tap(event, seen)
    )


def _is_new_tap(event: Event, seen: Collection[str]) -> bool:
    """Whether it puts a keg on a tap that the log says nothing of yet."""
    return isinstance(event, Tapped) and event.tap not in seen


def _events(system: System, at: datetime) -> Iterator[Event]:
    yield HouseholdSet(at=at, altitude_m=system.altitude, units=system.units)
    for place in system.places:
        yield PlaceSet(at=at, place=place.name, temperature_k=place.temperature)
    for cylinder in system.cylinders:
        yield CylinderConnected(
            at=at,
            cylinder=cylinder.name,
            size=cylinder.size,
            contents_kg=cylinder.contents_kg,
            place=cylinder.place,
            co2_share=cylinder.co2,
        )
    for beer in system.beers:
        yield _batch(beer, at)
    for keg in system.kegs:
        if keg.to_buy and keg.beer is None:
            continue  # it is acquired when it has been bought
        yield KegAcquired(at=at, keg=keg.name, keg_kind=keg.kind, place=keg.place)
        if keg.beer is not None:
            yield _filled(system, keg, system.beer(keg.beer), at)
            yield from _on_gas(system, keg, at)
        yield from _tapped(system, keg, at)


def _batch(beer: Beer, at: datetime) -> BatchDescribed:
    return BatchDescribed(
        at=at,
        batch=beer.name,
        style=beer.style or "",
        target_vol=beer.volumes,
        tolerance_vol=beer.tolerance,
        og=beer.og,
        fg=beer.fg,
        abv=beer.abv,
        ready_by=beer.ready_by,
    )


def _filled(system: System, keg: Keg, beer: Beer, at: datetime) -> Filled:
    flat = keg.carbonation is None
    return Filled(
        at=at,
        keg=keg.name,
        batch=beer.name,
        volume_m3=beer_volume(keg),
        temperature_k=keg.temperature or system.place(keg.place).temperature,
        start_vol=keg.carbonation,
        fermentation_k=(beer.fermentation_temperature or FERMENTED_K) if flat else None,
        gravity=beer.gravity,
        air_purged=True,
    )


def _on_gas(system: System, keg: Keg, at: datetime) -> Iterator[Event]:
    regulator = None if keg.regulator is None else system.regulator(keg.regulator)
    if regulator is not None and regulator.pressure is not None:
        yield GasOn(
            at=at,
            keg=keg.name,
            gauge_pressure_pa=regulator.pressure,
            cylinder=regulator.cylinder,
        )


def _tapped(system: System, keg: Keg, at: datetime) -> Iterator[Event]:
    """The taps that are there and hang on it, also while it is empty: it is filled on its line."""
    for tap in system.taps_of(keg.name):
        if not tap.to_buy:
            yield Tapped(at=at, keg=keg.name, tap=tap.name)
