"""How each sensor stands: its newest reading, its day at a glance, and what it wrote down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar import samples
from ullage.cellar.events import Event
from ullage.cellar.other_events import Undone
from ullage.cellar.samples import Bucket, Sample
from ullage.cellar.store import Store
from ullage.plan.sensed import sensors_of
from ullage.plan.sensed_follow import series_of
from ullage.system.sensor import Measures, Sensor

STRETCHES: Final = 144
"""Into so many stretches a day is cut for a glance: ten minutes each."""


@dataclass(frozen=True, slots=True)
class SensorNow:
    """A sensor, its newest sample, and the facts it wrote that stand, oldest first."""

    sensor: Sensor
    last: Sample | None
    facts: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class Newest:
    """A sensor and its newest reading as data: `value` is in `unit`, which is SI, `age_s` how long
    ago it was; `None` where none came yet. `facts`: how many that it wrote stand."""

    source: str
    of: str
    quantity: Measures
    writes: bool
    unit: str
    value: float | None
    at: datetime | None
    age_s: float | None
    facts: int


def sensors_now(store: Store, log: Iterable[Event]) -> tuple[SensorNow, ...]:
    """Every sensor of the system file, in its order. Raises `SystemFileError`."""
    wrote = _wrote(log)
    found = []
    for one in sensors_of(store).values():
        with store.reading() as connection:
            last = samples.latest(connection, store.cellar, series_of(one.sensor))
        found.append(SensorNow(one.sensor, last, tuple(wrote.get(one.sensor.name, ()))))
    return tuple(found)


def newest(one: SensorNow, now: datetime) -> Newest:
    """A sensor as data, at a moment."""
    sensor, last = one.sensor, one.last
    return Newest(
        source=sensor.name,
        of=sensor.of,
        quantity=sensor.measures,
        writes=sensor.writes,
        unit=samples.UNITS[sensor.measures],
        value=None if last is None else last.value,
        at=None if last is None else last.at,
        age_s=None if last is None else (now - last.at).total_seconds(),
        facts=len(one.facts),
    )


def day_of(store: Store, sensor: Sensor, since: datetime) -> tuple[Bucket, ...]:
    """The extremes of each ten minutes of a sensor since a moment."""
    width = timedelta(days=1) / STRETCHES
    with store.reading() as connection:
        return samples.buckets(connection, store.cellar, series_of(sensor), since, width)


def _wrote(log: Iterable[Event]) -> dict[str, list[Event]]:
    """What sensors wrote that was not taken back, by sensor, in the order it happened."""
    told = list(log)
    gone = {one.event for one in told if isinstance(one, Undone)}
    found: dict[str, list[Event]] = {}
    for one in told:
        if one.source is not None and one.id not in gone:
            found.setdefault(one.source, []).append(one)
    for events in found.values():
        events.sort(key=lambda one: one.at)
    return found
