"""Whether an event can be taken into the log: refused with a sentence, or taken with a warning.

What cannot have happened is refused (an unknown keg, a fact in the future, more beer than a keg
holds). What real life does, though replay thought otherwise, is taken and said (a pour from a keg
thought empty).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from difflib import get_close_matches
from functools import singledispatch

from ullage.cellar.events import Event
from ullage.cellar.happening import Happening, OfKeg
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegWeighed,
    Moved,
    Poured,
    Purged,
    ToppedUp,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
    Undone,
)
from ullage.cellar.replay import NEED_BEER, NOMINAL, STAMP, replay, step
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.errors import EventError, UnknownName
from ullage.system import parts

CLOCK_SLACK = timedelta(minutes=5)
SCALE_SLACK_KG = 0.5
FILL_SLACK = 1.05


def admit(
    event: Event, log: Sequence[Event], now: datetime, assumed: Assumed = NOMINAL
) -> tuple[str, ...]:
    """Warnings that come with taking `event` into a log. Raises `EventError` where it cannot be.

    `log`: every event so far, in any order; `now`: what counts as the future.
    """
    _check_time(event, now)
    if isinstance(event, Undone):
        return _check_undone(event, log)
    facts = [one for one in log if not one.planned or event.planned]
    cellar = replay(facts, assumed, until=event.at)
    warnings = _check(event, cellar)
    after = step(cellar, event, assumed)
    return (*warnings, *(text[STAMP:] for text in after.warnings[len(cellar.warnings) :]))


def _check_time(event: Happening, now: datetime) -> None:
    if not event.planned and event.at > now + CLOCK_SLACK:
        raise EventError(f"{event.at:%Y-%m-%d %H:%M} lies ahead; only a planned step can")
    if event.planned and event.at < now - CLOCK_SLACK:
        raise EventError(
            f"{event.at:%Y-%m-%d %H:%M} is past; a planned step must lie ahead, a fact need not"
        )


def _check_undone(event: Undone, log: Sequence[Event]) -> tuple[str, ...]:
    if any(isinstance(one, Undone) and one.event == event.event for one in log):
        raise EventError("that event is taken back already")
    if not any(one.id == event.event and one.stream == event.of for one in log):
        raise EventError(f"there is no event {event.event[:8]} of {event.of} to take back")
    return ()


@singledispatch
def _check(event: Happening, cellar: CellarState) -> tuple[str, ...]:
    """Anything else is taken as told."""
    del event, cellar
    return ()


@_check.register
def _(event: KegAcquired, cellar: CellarState) -> tuple[str, ...]:
    if event.keg in cellar.kegs:
        raise EventError(f"keg {event.keg} is in the cellar already; give another name")
    _known_kind(event.keg_kind)
    return _known_place(event.place, cellar)


@_check.register
def _(event: OfKeg, cellar: CellarState) -> tuple[str, ...]:
    keg = _keg(event, cellar)
    if isinstance(event, NEED_BEER) and keg.beer is None:
        raise EventError(
            f"keg {keg.name} holds no beer at {event.at:%Y-%m-%d %H:%M}; record its filling first"
        )
    if isinstance(event, GasOn | ToppedUp | Purged):
        return _pressure(event, keg, cellar)
    return ()


@_check.register
def _(event: Filled, cellar: CellarState) -> tuple[str, ...]:
    keg = _keg(event, cellar)
    volume = event.volume_m3 if event.volume_m3 is not None else (event.net_kg or 0.0) / 1010.0
    if volume > FILL_SLACK * keg.kind.capacity_m3:
        raise EventError(
            f"{volume * 1e3:.1f} L is more than keg {keg.name} holds "
            f"({keg.kind.capacity_m3 * 1e3:.1f} L)"
        )
    if event.batch not in cellar.batches:
        return (f"Batch {event.batch} is not described yet; an ordinary beer is assumed.",)
    return ()


@_check.register
def _(event: Moved, cellar: CellarState) -> tuple[str, ...]:
    _keg(event, cellar)
    return _known_place(event.place, cellar)


@_check.register
def _(event: Poured, cellar: CellarState) -> tuple[str, ...]:
    keg = _keg(event, cellar)
    if keg.beer is None:
        raise EventError(f"keg {keg.name} holds no beer then; record its filling first")
    if event.volume_m3 > keg.kind.capacity_m3:
        raise EventError(
            f"{event.volume_m3 * 1e3:.1f} L poured is more than keg {keg.name} can ever hold"
        )
    return ()


@_check.register
def _(event: KegWeighed, cellar: CellarState) -> tuple[str, ...]:
    keg = _keg(event, cellar)
    if keg.beer is None:
        raise EventError(f"keg {keg.name} holds no beer then; record its filling first")
    least = keg.kind.tare_kg - SCALE_SLACK_KG
    most = keg.kind.tare_kg + 1.06 * keg.kind.capacity_m3 * 1000.0 + SCALE_SLACK_KG
    if not least <= event.gross_kg <= most:
        raise EventError(
            f"{event.gross_kg:.1f} kg cannot be keg {keg.name}: such a keg weighs from "
            f"{keg.kind.tare_kg:.1f} kg empty to {most:.1f} kg full"
        )
    return ()


@_check.register
def _(event: BatchDescribed, cellar: CellarState) -> tuple[str, ...]:
    del cellar
    if event.og is not None and event.fg is not None and event.fg > event.og:
        raise EventError(f"fg {event.fg:.3f} is above og {event.og:.3f}: have they changed places?")
    return ()


@_check.register
def _(event: CylinderConnected, cellar: CellarState) -> tuple[str, ...]:
    del cellar
    try:
        size = parts.cylinder_size(event.size)
    except UnknownName as wrong:
        raise EventError(str(wrong)) from None
    _contents(event.contents_kg, size.rated_kg)
    return ()


@_check.register(CylinderWeighed)
@_check.register(CylinderSwapped)
def _(event: CylinderWeighed | CylinderSwapped, cellar: CellarState) -> tuple[str, ...]:
    size = parts.cylinder_size(_cylinder(event.cylinder, cellar))
    _contents(event.contents_kg, size.rated_kg)
    return ()


@_check.register(CylinderRead)
@_check.register(LeakTested)
def _(event: CylinderRead | LeakTested, cellar: CellarState) -> tuple[str, ...]:
    _cylinder(event.cylinder, cellar)
    return ()


def _keg(event: OfKeg, cellar: CellarState) -> KegState:
    keg = cellar.kegs.get(event.keg)
    if keg is None:
        raise EventError(_no_such("keg", event.keg, cellar.kegs))
    return keg


def _cylinder(name: str, cellar: CellarState) -> str:
    """The size of a cylinder that is connected."""
    known = cellar.cylinders.get(name)
    if known is None:
        raise EventError(_no_such("cylinder", name, cellar.cylinders))
    return known.size


def _known_kind(kind: str) -> None:
    try:
        parts.keg_kind(kind)
    except UnknownName as wrong:
        raise EventError(str(wrong)) from None


def _known_place(place: str, cellar: CellarState) -> tuple[str, ...]:
    if place not in cellar.places_k:
        raise EventError(_no_such("place", place, cellar.places_k))
    return ()


def _contents(contents_kg: float | None, rated_kg: float) -> None:
    if contents_kg is not None and contents_kg > 1.05 * rated_kg:
        raise EventError(
            f"{contents_kg:.2f} kg is more CO2 than that cylinder may hold ({rated_kg:.2f} kg); "
            "was the tare taken off?"
        )


def _pressure(
    event: GasOn | ToppedUp | Purged, keg: KegState, cellar: CellarState
) -> tuple[str, ...]:
    rating = keg.kind.max_gauge_pa
    if event.gauge_pressure_pa > rating:
        over = f"{event.gauge_pressure_pa / 1e5:.1f} bar is above the rating of keg {keg.name}"
        if event.planned:
            raise EventError(f"{over} ({rating / 1e5:.1f} bar); plan less")
        return (f"{over} ({rating / 1e5:.1f} bar): vent it now and do not use it unchecked.",)
    if isinstance(event, Purged) or event.cylinder is None or not cellar.cylinders:
        return ()
    _cylinder(event.cylinder, cellar)
    return ()


def _no_such(what: str, name: str, known: Iterable[str]) -> str:
    names = sorted(known)
    if not names:
        return f"there is no {what} in the cellar yet; record that first"
    near = get_close_matches(name, names, n=1, cutoff=0.5)
    hint = f"; did you mean {near[0]}?" if near else ""
    return f"no {what} is called {name}{hint} (there are: {', '.join(names)})"
