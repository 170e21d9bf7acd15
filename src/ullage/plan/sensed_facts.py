"""From what a sensor was found to tell to facts of the log, each under an id of its own.

The id follows from the sensor, the kind of fact and its moment, so that a fact found again is the
one that is there already, and one that was taken back stays so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import singledispatch
from hashlib import sha256
from typing import TypeAlias, TypedDict

from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import KegWeighed, Measured, Poured, Tapped
from ullage.cellar.moments import microseconds
from ullage.cellar.other_events import CylinderWeighed, PlaceSet
from ullage.cellar.store import Store
from ullage.plan.cases import scale_density
from ullage.plan.cylinder_stamps import Stamps, stamps_of
from ullage.plan.sensed_change import Changed
from ullage.plan.sensed_flow import Flowed
from ullage.plan.sensed_weight import Fell, Stood
from ullage.plan.spoken import part
from ullage.system.model import System
from ullage.system.sensor import Sensor, keg_of

Found: TypeAlias = Fell | Stood | Changed | Flowed


@dataclass(frozen=True, slots=True)
class Watched:
    """A sensor, the system it stands in, and the log that tells which keg a tap draws on."""

    sensor: Sensor
    system: System
    store: Store


class _Common(TypedDict):
    id: str
    at: datetime
    source: str


def fact_of(found: Found, watched: Watched) -> Event | None:
    """The fact that a finding is; `None` where it is of nothing (`why_nothing`)."""
    return _fact(found, watched)


@singledispatch
def _fact(found: Found, watched: Watched) -> Event | None:
    raise TypeError(f"{found} of {watched.sensor.name}")


@_fact.register
def _(found: Fell, watched: Watched) -> Event:
    common = _common(watched.sensor, "poured", found.at)
    return Poured(keg=watched.sensor.thing_name, volume_m3=found.kg / scale_density(), **common)


@_fact.register
def _(found: Stood, watched: Watched) -> Event | None:
    sensor = watched.sensor
    if sensor.thing == "keg":
        common = _common(sensor, "keg_weighed", found.at)
        return KegWeighed(keg=sensor.thing_name, gross_kg=found.kg, **common)
    tare = _tare_at(watched, found.at)
    if tare is None:
        return None
    common = _common(sensor, "cylinder_weighed", found.at)
    held = max(found.kg - tare, 0.0)
    return CylinderWeighed(cylinder=sensor.thing_name, contents_kg=held, **common)


@_fact.register
def _(found: Changed, watched: Watched) -> Event:
    sensor = watched.sensor
    if sensor.thing == "place":
        common = _common(sensor, "place_set", found.at)
        return PlaceSet(place=sensor.thing_name, temperature_k=found.value, **common)
    common = _common(sensor, "measured", found.at)
    if sensor.measures == "temperature":
        return Measured(keg=sensor.thing_name, temperature_k=found.value, **common)
    return Measured(keg=sensor.thing_name, gauge_pressure_pa=max(found.value, 0.0), **common)


@_fact.register
def _(found: Flowed, watched: Watched) -> Event | None:
    keg = _keg_at(watched, found.at)
    if keg is None:
        return None
    return Poured(keg=keg, volume_m3=found.m3, **_common(watched.sensor, "poured", found.at))


def why_nothing(sensor: Sensor) -> str:
    """Why a finding of such a sensor is no fact, and what to do about it."""
    if sensor.thing == "cylinder":
        name = part("cylinder", sensor.thing_name)
        return (
            f"what {name} weighs empty is not known since it was swapped: weigh it once with "
            "ullage record cylinder-weighed and its --tare, stamped on it (TW)"
        )
    return f"no keg is on {sensor.of}; say which with ullage record tapped"


def _tare_at(watched: Watched, at: datetime) -> float | None:
    """What the cylinder that stood there at a moment weighs empty, kg; `None`: not known.

    As told when it was swapped or weighed by hand, else as the system file has it.
    """
    sensor = watched.sensor
    told = watched.store.read(
        sensor.of, kinds=("cylinder_swapped", "cylinder_weighed", "undone"), planned=False
    )
    by_then = [one.event for one in told if one.event.kind == "undone" or one.event.at <= at]
    stamped = stamps_of(by_then).get(sensor.thing_name, Stamps())
    if stamped.tells_tare:
        return stamped.tare_kg
    return watched.system.cylinder(sensor.thing_name).tare or 0.0


def _common(sensor: Sensor, kind: str, at: datetime) -> _Common:
    told = f"{sensor.name}\n{kind}\n{microseconds(at)}"
    return {"id": sha256(told.encode()).hexdigest()[:32], "at": at, "source": sensor.name}


def _keg_at(watched: Watched, at: datetime) -> str | None:
    """The keg that was on a tap at a moment by the log, else by the system file."""
    sensor = watched.sensor
    if sensor.thing == "tap":
        told = watched.store.read(kinds=("tapped", "undone"), planned=False)
        for one in reversed(in_order(each.event for each in told)):
            if isinstance(one, Tapped) and one.tap == sensor.thing_name and one.at <= at:
                return one.keg
    return keg_of(sensor, watched.system)
