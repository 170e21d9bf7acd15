"""Gas that made kegs ready: its cylinder is charged with it, and no keg's own account.

Sanitiser that was pushed out of a keg, and an empty keg that was purged, as replay counts them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegCleaned,
    KegSanitised,
    Kicked,
    Purged,
    ToppedUp,
)
from ullage.cellar.readying import purging_kg, pushing_kg
from ullage.cellar.replay import only_cylinder
from ullage.cellar.state import CellarState
from ullage.physics.blend import kg_per_straight

What = Literal["sanitiser pushed out", "empty keg purged"]


@dataclass(frozen=True, slots=True)
class Unbooked:
    """Gas that went from a cylinder (`None`: nobody knows which) for no filling's beer, in kg."""

    at: datetime
    what: What
    cylinder: str | None
    gas_kg: float


@dataclass(slots=True)
class _Kegs:
    """What fed each keg last, and which hold beer, as the log goes on."""

    fed: dict[str, str | None] = field(default_factory=dict)
    full: set[str] = field(default_factory=set)


def unbooked(facts: Sequence[Event], now: CellarState, ambient_pa: float) -> list[Unbooked]:
    """All such gas, by its moment. `facts` in order; `now`: replayed from them."""
    kegs, lone = _Kegs(), only_cylinder(now)
    found = []
    for event in facts:
        for what, gas in _of(event, kegs, now, ambient_pa):
            name = kegs.fed.get(event.subject) or lone
            found.append(Unbooked(event.at, what, name, gas * _weighs(now, name)))
        _follow(event, kegs)
    return found


def usual_fill_kg(now: CellarState, cylinder: str, ambient_pa: float) -> float:
    """What making a keg ready usually takes besides (kg): a full keg of sanitiser pushed out.

    The mean of the kegs that hang on the cylinder, as `gas` counts it, too; ambient: Pa. Nothing of
    a blend: kegs are made ready with straight CO2.
    """
    known = now.cylinders.get(cylinder)
    if known is not None and known.co2_share < 1.0:
        return 0.0
    lone = only_cylinder(now)
    kinds = [
        keg.kind
        for keg in now.kegs.values()
        if (keg.fed_by if keg.supply is None else keg.supply.cylinder or lone) in (cylinder, None)
    ]
    if not kinds:
        return 0.0
    return sum(pushing_kg(kind, ambient_pa) for kind in kinds) / len(kinds)


def each_fill_kg(
    mine: Sequence[Unbooked], facts: Sequence[Event], cylinder: str, usual_kg: float = 0.0
) -> float:
    """What making a keg ready takes besides the purging of its headspace, in the mean (kg).

    `mine`: what was not booked of this cylinder. `usual_kg`: what it is taken to be where no keg
    was filled since the log began.
    """
    begun = facts[0].at if facts else None
    if not any(isinstance(event, Filled) and event.at != begun for event in facts):
        return usual_kg
    ready = sum(one.gas_kg for one in mine)
    fed = {
        event.keg
        for event in facts
        if isinstance(event, GasOn) and event.cylinder in (cylinder, None)
    }
    fills = sum(isinstance(event, Filled) and event.keg in fed for event in facts)
    return ready / fills if fills else 0.0


def _of(
    event: Event, kegs: _Kegs, now: CellarState, ambient_pa: float
) -> Iterator[tuple[What, float]]:
    keg = now.kegs.get(event.subject)
    if keg is None:
        return
    if isinstance(event, KegSanitised) and event.pushed:
        yield "sanitiser pushed out", pushing_kg(keg.kind, ambient_pa)
    elif isinstance(event, Purged) and event.keg not in kegs.full:
        yield "empty keg purged", purging_kg(event, keg.kind, ambient_pa)


def _weighs(now: CellarState, cylinder: str | None) -> float:
    """What a cylinder's gas weighs over straight CO2."""
    known = now.cylinders.get(cylinder or "")
    share = 1.0 if known is None else known.co2_share
    return 1.0 if share == 1.0 else float(kg_per_straight(share))


def _follow(event: Event, kegs: _Kegs) -> None:
    """Carry the kegs on past an event."""
    name = event.subject
    if isinstance(event, GasOn | ToppedUp):
        kegs.fed[name] = event.cylinder
    elif isinstance(event, Filled):
        kegs.full.add(name)
    elif isinstance(event, Kicked | KegCleaned | KegSanitised):
        kegs.full.discard(name)
