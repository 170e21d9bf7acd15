"""What the log tells that alarms are judged by: settings, what a person read, when more was left.

Only what a person wrote is a setting or a reading here: what a sensor wrote follows the very number
that is to be judged.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Primed,
    SpundingSet,
)
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
    PlaceSet,
)
from ullage.plan.alarms_limits import MORE_THAN_LOW, USUAL, Limits
from ullage.plan.cases import scale_density
from ullage.system import parts
from ullage.system.cylinder import full_kg

_OF: Final[frozenset[type[Happening]]] = frozenset(
    (
        *(Filled, GasOff, GasOn, KegAcquired, KegWeighed, Kicked, Measured, Moved, Primed),
        SpundingSet,
        *(ConstantsKept, CylinderConnected, CylinderSwapped, CylinderWeighed, LeakTested),
        PlaceSet,
    )
)
KINDS: Final = frozenset({*(one.model_fields["kind"].default for one in _OF), "undone"})
"""The kinds of events that matter here: not one for each glass that was poured."""


@dataclass(frozen=True, slots=True)
class Read:
    """A gauge as a person read it, Pa, and when."""

    gauge_pa: float
    at: datetime


@dataclass(slots=True)
class KegLog:
    """Of a keg: its kind, when its gas was set, when it was filled or moved, what was read of it.

    `cylinder`: whose gas it was last put on, `None` where that was not said. `sugar_at`: when it
    was last primed since it was filled.

    `full_at`: the last moment at which it was known to hold more than little; `was_low`: whether a
    weighing since then found little.
    """

    kind: str = ""
    set_at: datetime | None = None
    settled_at: datetime | None = None
    read: Read | None = None
    full_at: datetime | None = None
    was_low: bool = False
    cylinder: str | None = None
    sugar_at: datetime | None = None


@dataclass(slots=True)
class CylinderLog:
    """Of a cylinder: its size, when it was known to hold more than little, whether a reading since
    then found little, CO2 in its gas, and the last test of what it feeds."""

    size: str = ""
    full_at: datetime | None = None
    was_low: bool = False
    co2_share: float = 1.0
    tested: LeakTested | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """How warm a place is kept by what a person said, and since when."""

    kelvin: float
    since: datetime | None


@dataclass(frozen=True, slots=True)
class AlarmsLog:
    """All of it, by name. `gauges`: what those on cylinders show too little (Pa), as kept last."""

    kegs: dict[str, KegLog] = field(default_factory=dict)
    cylinders: dict[str, CylinderLog] = field(default_factory=dict)
    places: dict[str, Kept] = field(default_factory=dict)
    gauges: dict[str, float] = field(default_factory=dict)


def alarms_log(log: Iterable[Event], at: datetime, limits: Limits = USUAL) -> AlarmsLog:
    """Go through a log, or its events of `KINDS`, up to a moment."""
    found = AlarmsLog()
    for event in in_order(log):
        if type(event) not in _OF or event.planned or event.at > at:
            continue
        if isinstance(event, PlaceSet):
            if event.source is None:
                found.places[event.place] = Kept(event.temperature_k, event.at)
        elif isinstance(event, ConstantsKept):
            found.gauges.clear()
            found.gauges.update(
                {
                    one.about: one.value
                    for one in event.kept
                    if one.constant == "gauge" and one.about
                }
            )
        elif event.subject_kind == "keg":
            _keg(found.kegs.setdefault(event.subject, KegLog()), event, limits.beer_share)
        elif event.subject_kind == "cylinder":
            told = found.cylinders.setdefault(event.subject, CylinderLog())
            _cylinder(told, event, limits.gas_share)
    return found


def _gauges(event: ConstantsKept) -> dict[str, float]:
    """What each gauge shows too little (Pa), by its cylinder."""
    return {
        one.about: one.value
        for one in event.kept
        if one.constant == "gauge" and one.about is not None
    }


def _keg(keg: KegLog, event: Event, low: float) -> None:
    if isinstance(event, KegAcquired):
        keg.kind = event.keg_kind
    if isinstance(event, Filled | GasOn | GasOff | SpundingSet | Kicked):
        keg.set_at, keg.read = event.at, None
    if isinstance(event, GasOn):
        keg.cylinder = event.cylinder
    if isinstance(event, Filled | Moved | KegAcquired):
        keg.settled_at = event.at
    if isinstance(event, Filled):
        keg.full_at, keg.was_low, keg.sugar_at = event.at, False, None
    elif isinstance(event, Primed):
        keg.sugar_at = event.at
    elif isinstance(event, KegWeighed):
        _weighed(keg, event, low)
    elif isinstance(event, Measured) and event.source is None:
        gauge = event.gauge_pressure_pa
        keg.read = keg.read if gauge is None else Read(gauge, event.at)


def _weighed(keg: KegLog, event: KegWeighed, low: float) -> None:
    kind = parts.keg_kinds().get(keg.kind)
    if kind is None:
        return
    share = (event.gross_kg - kind.tare_kg) / scale_density() / kind.usual_fill_m3
    if share >= low + MORE_THAN_LOW:
        keg.full_at, keg.was_low = event.at, False
    elif share < low:
        keg.was_low = True


def _cylinder(cylinder: CylinderLog, event: Event, low: float) -> None:
    if isinstance(event, LeakTested):
        cylinder.tested = event
    if isinstance(event, CylinderConnected):
        cylinder.size, cylinder.co2_share = event.size, event.co2_share
    elif isinstance(event, CylinderSwapped) and event.co2_share is not None:
        cylinder.co2_share = event.co2_share
    size = parts.cylinder_sizes().get(cylinder.size)
    if size is None:
        return
    if isinstance(event, CylinderConnected | CylinderSwapped | CylinderWeighed):
        full = full_kg(size.name, cylinder.co2_share)
        held = full if event.contents_kg is None else event.contents_kg
        if held >= (low + MORE_THAN_LOW) * full:
            cylinder.full_at, cylinder.was_low = event.at, False
        elif held < low * full:
            cylinder.was_low = True
