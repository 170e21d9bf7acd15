"""Gas that the log tells of and that no keg's account charges a cylinder with.

Sanitiser that was pushed out of a keg, an empty keg that was purged, and the gas that pushed beer
out which nobody wrote down, but a weighing of the keg, or its kick, found gone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Purged,
    ToppedUp,
)
from ullage.cellar.replay import only_cylinder
from ullage.cellar.state import CellarState
from ullage.everyday_units import PSI
from ullage.physics import headspace
from ullage.plan.drinking import KNOWN_AGAIN_S

PUSH_GAUGE_PA: Final = 10 * PSI
"""Sanitiser is pushed out with about so much; common practice, no source."""
PUSHED_AT_K: Final = 293.15

What = Literal["sanitiser pushed out", "empty keg purged", "beer not written down"]


@dataclass(frozen=True, slots=True)
class Unbooked:
    """Gas that went from a cylinder (`None`: nobody knows which) beside its account, in kg."""

    at: datetime
    what: What
    cylinder: str | None
    gas_kg: float


@dataclass(slots=True)
class _Kegs:
    """The kegs' gas and beer as the log goes on."""

    gauge_pa: dict[str, float] = field(default_factory=dict)
    fed: dict[str, str | None] = field(default_factory=dict)
    full: set[str] = field(default_factory=set)
    filled: dict[str, datetime] = field(default_factory=dict)


def unbooked(facts: Sequence[Event], now: CellarState, ambient_pa: float) -> list[Unbooked]:
    """All such gas, by its moment. `facts` in order; `now`: replayed from them with residuals."""
    unwritten = {
        (one.keg, one.at): one.replayed - one.read
        for one in now.residuals
        if one.quantity == "beer_m3"
    }
    kegs, lone = _Kegs(), only_cylinder(now)
    found = []
    for event in facts:
        for what, gas in _of(event, kegs, now, unwritten, ambient_pa):
            found.append(Unbooked(event.at, what, kegs.fed.get(event.subject) or lone, gas))
        _follow(event, kegs)
    return found


def each_fill_kg(mine: Sequence[Unbooked], facts: Sequence[Event], cylinder: str) -> float:
    """What making a keg ready takes besides the purging of its headspace, in the mean (kg).

    `mine`: what was not booked of this cylinder.
    """
    ready = sum(one.gas_kg for one in mine if one.what != "beer not written down")
    fed = {
        event.keg
        for event in facts
        if isinstance(event, GasOn) and event.cylinder in (cylinder, None)
    }
    fills = sum(isinstance(event, Filled) and event.keg in fed for event in facts)
    return ready / fills if fills else 0.0


def _of(
    event: Event,
    kegs: _Kegs,
    now: CellarState,
    unwritten: dict[tuple[str, datetime], float],
    ambient_pa: float,
) -> Iterator[tuple[What, float]]:
    keg = now.kegs.get(event.subject)
    if keg is None:
        return
    if isinstance(event, KegSanitised) and event.pushed:
        pressed = ambient_pa + PUSH_GAUGE_PA
        yield "sanitiser pushed out", _push(keg.kind.capacity_m3, pressed, PUSHED_AT_K)
    elif isinstance(event, Purged) and event.keg not in kegs.full:
        gauge, room = event.gauge_pressure_pa, keg.kind.capacity_m3
        purged = headspace.purge_gas_mass(event.cycles, room, gauge, PUSHED_AT_K, ambient_pa)
        yield "empty keg purged", float(purged)
    elif isinstance(event, KegWeighed | Kicked) and event.keg in kegs.gauge_pa:
        filled = kegs.filled.get(event.keg)
        if filled is None or (event.at - filled).total_seconds() < KNOWN_AGAIN_S:
            return
        beer = unwritten.get((event.keg, event.at), 0.0)
        pressed = ambient_pa + kegs.gauge_pa[event.keg]
        gone = _push(abs(beer), pressed, keg.place_k)
        yield "beer not written down", gone if beer > 0.0 else -gone


def _push(volume_m3: float, pressed_pa: float, kelvin: float) -> float:
    return float(headspace.push_gas_mass(volume_m3, pressed_pa, kelvin))


def _follow(event: Event, kegs: _Kegs) -> None:
    """Carry the kegs on past an event."""
    name = event.subject
    if isinstance(event, GasOn | ToppedUp):
        kegs.fed[name] = event.cylinder
        if isinstance(event, GasOn):
            kegs.gauge_pa[name] = event.gauge_pressure_pa
    elif isinstance(event, GasOff):
        kegs.gauge_pa.pop(name, None)
    elif isinstance(event, Filled):
        kegs.full.add(name)
        kegs.filled[name] = event.at
    elif isinstance(event, Kicked):
        kegs.full.discard(name)
    elif isinstance(event, KegCleaned | KegSanitised):
        kegs.full.discard(name)
        kegs.gauge_pa.pop(name, None)
