"""Whether an event can be taken into the log: refused with a sentence, or taken with a warning.

What cannot have happened is refused (an unknown keg, a fact in the future, more beer than a keg
holds). What real life does, though replay thought otherwise, is taken and said (a pour from a keg
thought empty).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import singledispatch
from math import inf

from ullage.cellar import amounts, doubts
from ullage.cellar.aftermath import said_twice, upset_by, upset_by_taking_back
from ullage.cellar.changing import NEED_BEER
from ullage.cellar.cylinder_changes import tells_contents, told_anew
from ullage.cellar.events import Event, in_order
from ullage.cellar.fermenting import ROOM_K, gauge_when_done
from ullage.cellar.filling import prime
from ullage.cellar.happening import Happening, OfKeg
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegWeighed,
    Measured,
    Moved,
    Poured,
    Primed,
    Purged,
    SpundingSet,
    ToppedUp,
)
from ullage.cellar.known_names import (
    check_kind,
    check_place,
    keg_of,
    keg_with_beer,
    size_of_cylinder,
)
from ullage.cellar.naming import part
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
    PlaceSet,
    Undone,
)
from ullage.cellar.replay import NOMINAL, STAMP, replay, step
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.errors import EventError, UnknownName
from ullage.system import parts
from ullage.system.cylinder import WEIGHED_OFF, full_kg, most_kg

CLOCK_SLACK = timedelta(minutes=5)
SCALE_SLACK_KG = 0.5
FILL_SLACK = 1.05
MOST_SUGAR = 150.0
"""Sugar to beer, kg/m³: twenty times what primes it, what a whole beer is brewed from."""


def admit(
    event: Event,
    log: Sequence[Event],
    now: datetime,
    assumed: Assumed = NOMINAL,
    begun: CellarState | None = None,
) -> tuple[str, ...]:
    """Warnings that come with taking `event` into a log. Raises `EventError` where it cannot be.

    `log`: every event so far, in any order; `now`: what counts as the future. `begun`: a cellar
    replayed before, not after `event`, that the events of `log` carry on.
    """
    check_time(event, now)
    if any(one.id == event.id for one in log):
        raise EventError(f"event {event.id[:8]} is in the log already; it is not written twice")
    if isinstance(event, Undone):
        return _check_undone(event, log, assumed, begun)
    facts = [one for one in log if not one.planned or event.planned]
    cellar = replay(facts, assumed, begun, until=event.at)
    _check_known_then(event, cellar, facts)
    warnings = (*_check(event, cellar), *said_twice(event, facts))
    after = step(cellar, event, assumed)
    told = (*warnings, *(text[STAMP:] for text in after.warnings[len(cellar.warnings) :]))
    return (*told, *upset_by(event, facts, (cellar, after), assumed))


def check_time(event: Happening, now: datetime) -> None:
    """Raise `EventError` for a fact that lies ahead of `now` or a planned step that is past."""
    if not event.planned and event.at > now + CLOCK_SLACK:
        raise EventError(f"{event.at:%Y-%m-%d %H:%M} lies ahead; only a planned step can")
    if event.planned and event.at < now - CLOCK_SLACK:
        raise EventError(
            f"{event.at:%Y-%m-%d %H:%M} is past; a planned step must lie ahead, a fact need not"
        )


def _check_known_then(event: Event, cellar: CellarState, facts: Sequence[Event]) -> None:
    """A keg that came only later is told from one that never was."""
    if not isinstance(event, OfKeg) or isinstance(event, KegAcquired) or event.keg in cellar.kegs:
        return
    came = [
        one.at for one in in_order(facts) if isinstance(one, KegAcquired) and one.keg == event.keg
    ]
    if came:
        raise EventError(
            f"{part('keg', event.keg)} came into the cellar on {min(came):%Y-%m-%d %H:%M}, after "
            f"{event.at:%Y-%m-%d %H:%M}"
        )


def _check_undone(
    event: Undone, log: Sequence[Event], assumed: Assumed, begun: CellarState | None
) -> tuple[str, ...]:
    if any(isinstance(one, Undone) and one.event == event.event for one in log):
        raise EventError("that event is taken back already")
    if not any(one.id == event.event and one.stream == event.of for one in log):
        raise EventError(f"there is no event {event.event[:8]} of {event.of} to take back")
    return upset_by_taking_back(event, log, assumed, begun)


@singledispatch
def _check(event: Happening, cellar: CellarState) -> tuple[str, ...]:
    """Anything else is taken as told."""
    del event, cellar
    return ()


@_check.register
def _(event: KegAcquired, cellar: CellarState) -> tuple[str, ...]:
    if event.keg in cellar.kegs:
        raise EventError(f"{part('keg', event.keg)} is in the cellar already; give another name")
    check_kind(event.keg_kind)
    return check_place(event.place, cellar)


@_check.register
def _(event: OfKeg, cellar: CellarState) -> tuple[str, ...]:
    keg = keg_with_beer(event, cellar) if isinstance(event, NEED_BEER) else keg_of(event, cellar)
    if isinstance(event, GasOn | ToppedUp | Purged | SpundingSet):
        return _pressure(event, keg, cellar)
    return ()


@_check.register
def _(event: Filled, cellar: CellarState) -> tuple[str, ...]:
    keg = keg_of(event, cellar)
    volume = event.volume_m3 if event.volume_m3 is not None else (event.net_kg or 0.0) / 1010.0
    if volume > FILL_SLACK * keg.kind.capacity_m3:
        raise EventError(
            f"{amounts.volume(volume)} is more than {part('keg', keg.name)} holds, "
            f"{amounts.volume(keg.kind.capacity_m3)}"
        )
    if event.batch not in cellar.batches:
        return (f"Batch {event.batch} is not described yet; an ordinary beer is assumed.",)
    return ()


@_check.register
def _(event: Primed, cellar: CellarState) -> tuple[str, ...]:
    keg = keg_with_beer(event, cellar)
    if event.sugar_kg > MOST_SUGAR * float(keg.beer_m3):
        raise EventError(
            f"{amounts.mass(event.sugar_kg)} of sugar is no priming for "
            f"{amounts.volume(float(keg.beer_m3))} of beer; from 4 to 10 g a litre (0.5 to 1.3 oz "
            "a gallon) are usual"
        )
    if keg.spunding_pa is not None:
        return ()
    primed = replace(prime(keg, event).keg, supply=None)
    gauge, rating = gauge_when_done(primed, NOMINAL, ROOM_K), keg.kind.max_gauge_pa
    if gauge <= rating:
        return tuple(doubts.of_sugar(event, primed, gauge, cellar))
    comes = "far" if gauge == inf else f"to {amounts.gauge(gauge)},"
    over = (
        f"{amounts.mass(event.sugar_kg)} of {event.sugar} would bring "
        f"{part('keg', keg.name)} {comes} above its rating of {amounts.gauge(rating)}"
    )
    if event.planned:
        raise EventError(f"{over}; plan less sugar, or set a spunding valve first")
    return (f"{over}: put a spunding valve on it or vent it as it ferments.",)


@_check.register
def _(event: Measured, cellar: CellarState) -> tuple[str, ...]:
    return tuple(doubts.of_reading(event, keg_with_beer(event, cellar), NOMINAL))


@_check.register
def _(event: PlaceSet, cellar: CellarState) -> tuple[str, ...]:
    del cellar
    return tuple(doubts.of_place(event))


@_check.register
def _(event: Moved, cellar: CellarState) -> tuple[str, ...]:
    keg_of(event, cellar)
    return check_place(event.place, cellar)


@_check.register
def _(event: Poured, cellar: CellarState) -> tuple[str, ...]:
    keg = keg_with_beer(event, cellar)
    if event.volume_m3 > keg.kind.capacity_m3:
        raise EventError(
            f"{amounts.volume(event.volume_m3)} poured is more than {part('keg', keg.name)} can "
            "ever hold"
        )
    return ()


@_check.register
def _(event: KegWeighed, cellar: CellarState) -> tuple[str, ...]:
    keg = keg_with_beer(event, cellar)
    least = keg.kind.tare_kg - SCALE_SLACK_KG
    most = keg.kind.tare_kg + 1.06 * keg.kind.capacity_m3 * 1000.0 + SCALE_SLACK_KG
    if not least <= event.gross_kg <= most:
        raise EventError(
            f"{amounts.mass(event.gross_kg)} cannot be {part('keg', keg.name)}: such a keg weighs "
            f"from {amounts.mass(keg.kind.tare_kg)} empty to {amounts.mass(most)} full"
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
        parts.cylinder_size(event.size)
    except UnknownName as wrong:
        raise EventError(str(wrong)) from None
    return tuple(_contents(event.contents_kg, event.size, event.co2_share))


@_check.register(CylinderWeighed)
@_check.register(CylinderSwapped)
def _(event: CylinderWeighed | CylinderSwapped, cellar: CellarState) -> tuple[str, ...]:
    size = size_of_cylinder(event.cylinder, cellar)
    share = event.co2_share if isinstance(event, CylinderSwapped) else None
    if share is None:
        share = cellar.cylinders[event.cylinder].co2_share
    return tuple(_contents(event.contents_kg, size, share))


@_check.register
def _(event: LeakTested, cellar: CellarState) -> tuple[str, ...]:
    size_of_cylinder(event.cylinder, cellar)
    return () if event.planned else tuple(doubts.of_leak_test(event))


@_check.register
def _(event: CylinderRead, cellar: CellarState) -> tuple[str, ...]:
    size_of_cylinder(event.cylinder, cellar)
    there = cellar.cylinders[event.cylinder]
    if there.co2_share < 1.0 or not tells_contents(event, there, NOMINAL):
        return ()
    told = told_anew(event, there, NOMINAL).cylinder
    assert told is not None
    return (
        f"So low a gauge means that no liquid is left: it holds {amounts.mass(told.known_kg)} of "
        "CO2. If it was colder than told, weigh it instead.",
    )


def _contents(contents_kg: float | None, size: str, share: float) -> Iterable[str]:
    """A blend may be filled higher than is usual: up to what no filling explains it is taken."""
    full = full_kg(size, share)
    if contents_kg is None or contents_kg <= WEIGHED_OFF * full:
        return
    what, may = ("CO2", "may hold,") if share >= 1.0 else ("blended gas", "usually holds,")
    over = f"{amounts.mass(contents_kg)} is more {what} than that cylinder {may} "
    over = f"{over}{amounts.mass(full)}; was the tare taken off?"
    if contents_kg > most_kg(size, share):
        raise EventError(over)
    yield (
        f"{over} If it was, it is filled higher than 140 bar (2,000 psi): keep it cool, and ask "
        "who filled it whether cylinder and regulator are made for that before you use it."
    )


def _pressure(
    event: GasOn | ToppedUp | Purged | SpundingSet, keg: KegState, cellar: CellarState
) -> tuple[str, ...]:
    rating = keg.kind.max_gauge_pa
    if event.gauge_pressure_pa > rating:
        name = part("keg", keg.name)
        told = amounts.gauge(event.gauge_pressure_pa)
        over = f"{told} is above the rating of {name}, {amounts.gauge(rating)}"
        if event.planned:
            raise EventError(f"{over}; plan less")
        return (f"{over}: vent it now and do not use it unchecked.",)
    if isinstance(event, Purged | SpundingSet) or event.cylinder is None or not cellar.cylinders:
        return ()
    size_of_cylinder(event.cylinder, cellar)
    return ()
