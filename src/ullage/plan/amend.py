"""From a changed system file to the events that tell the log of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from ullage.cellar.events import Event
from ullage.cellar.household import Household, household
from ullage.cellar.keg_events import GasOn, Moved, Tapped
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    HouseholdSet,
    PlaceSet,
)
from ullage.cellar.state import CellarState
from ullage.plan.begin import first_events
from ullage.system.model import Keg, System


@dataclass(frozen=True, slots=True)
class Change:
    """A system file before and after, and the cellar that it is about: its log and its state.

    `before`: a system with a name alone where there was no file.
    """

    before: System
    after: System
    log: Sequence[Event]
    state: CellarState


def amendments(change: Change, at: datetime) -> tuple[Event, ...]:
    """The events of what a changed system file says anew, in the order they are replayed.

    New kegs with what is in them, new cylinders, places and beers; temperatures, pressures,
    weights, beers, places of kegs and kegs of taps that the file now says otherwise than before.
    What a known keg holds is left to the log.
    """
    fresh = first_events(change.after, at, change.log)
    news = [event for event in fresh if _is_news(event, change)]
    return (*news, *_kegs(change, at), *_cylinders(change, at))


def _is_news(event: Event, change: Change) -> bool:
    """Whether one of the events that would begin a log tells this one anything."""
    before, after = change.before, change.after
    if isinstance(event, Tapped):
        return event.keg not in change.state.kegs  # those of known kegs are told below
    if isinstance(event, HouseholdSet):
        return household(change.log) != Household(after.altitude, after.units)
    if isinstance(event, PlaceSet):
        told = next((one.temperature for one in before.places if one.name == event.place), None)
        return event.place not in change.state.places_k or told != event.temperature_k
    if isinstance(event, BatchDescribed):
        told_beer = next((one for one in before.beers if one.name == event.batch), None)
        return told_beer != after.beer(event.batch)
    return True


def _kegs(change: Change, at: datetime) -> Iterator[Event]:
    """Known kegs that the file moves, sets to another pressure, or puts on another tap."""
    for keg in change.after.kegs:
        state = change.state.kegs.get(keg.name)
        if state is None:
            continue
        if _told_place(change, keg) != keg.place != state.place:
            yield Moved(at=at, keg=keg.name, place=keg.place)
        gauge = _told_pressure(change.after, keg)
        if gauge is not None and state.supply is not None and _pressure_changed(change, keg):
            yield GasOn(
                at=at, keg=keg.name, gauge_pressure_pa=gauge, cylinder=state.supply.cylinder
            )
        before = {tap.name for tap in change.before.taps_of(keg.name) if not tap.to_buy}
        for tap in change.after.taps_of(keg.name):
            if not tap.to_buy and tap.name not in before:
                yield Tapped(at=at, keg=keg.name, tap=tap.name)


def _cylinders(change: Change, at: datetime) -> Iterator[Event]:
    """Known cylinders of another size, gas or weight than the file said before."""
    for one in change.after.cylinders:
        state = change.state.cylinders.get(one.name)
        told = change.before.cylinders
        before = next((known for known in told if known.name == one.name), None)
        if state is None or before is None:
            continue
        if (before.size, before.co2) != (one.size, one.co2):
            yield CylinderConnected(
                at=at,
                cylinder=one.name,
                size=one.size,
                contents_kg=one.contents_kg,
                place=one.place,
                co2_share=one.co2,
            )
        elif one.contents_kg is not None and before.contents_kg != one.contents_kg:
            yield CylinderWeighed(at=at, cylinder=one.name, contents_kg=one.contents_kg)


def _before(change: Change, keg: Keg) -> Keg | None:
    return next((one for one in change.before.kegs if one.name == keg.name), None)


def _told_place(change: Change, keg: Keg) -> str | None:
    known = _before(change, keg)
    return None if known is None else known.place


def _pressure_changed(change: Change, keg: Keg) -> bool:
    known = _before(change, keg)
    return known is not None and _told_pressure(change.before, known) != _told_pressure(
        change.after, keg
    )


def _told_pressure(system: System, keg: Keg) -> float | None:
    return None if keg.regulator is None else system.regulator(keg.regulator).pressure
