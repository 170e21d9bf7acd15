"""The alarms that hold in a store just now, and which of them somebody saw.

Sensors are read back only as far as it takes: three hours where all is well, further where a limit
may have been passed before that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from ullage.cellar import samples
from ullage.cellar.events import Event
from ullage.cellar.samples import Bucket, Sample, Series
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.alarms import alarms, limits_of
from ullage.plan.alarms_answer import Alarm, AlarmsAnswer
from ullage.plan.alarms_gas import HOUR, rushing_since
from ullage.plan.alarms_heard import heard_of
from ullage.plan.alarms_held import STRETCH, aligned, is_settled
from ullage.plan.alarms_leaks import leaks
from ullage.plan.alarms_limits import thresholds
from ullage.plan.alarms_log import KINDS, alarms_log
from ullage.plan.alarms_own import in_force, kept_of, limits_kept, own_limits
from ullage.plan.alarms_scene import Scene, Sensed
from ullage.plan.alarms_telling import standings
from ullage.plan.sensed_follow import series_of
from ullage.plan.status import status_of
from ullage.plan.status_answer import StatusAnswer
from ullage.plan.status_limits import LEAST_NEAR_PA, as_it_stands
from ullage.plan.weakest import weakest_of
from ullage.system.model import System
from ullage.system.sensor import Sensor
from ullage.units import UnitSystem

LOOKED_BACK: Final = (timedelta(hours=3), timedelta(days=1), timedelta(days=8), timedelta(days=64))
"""How far samples are looked through, each where the one before does not tell; then no further."""
FAR: Final = timedelta(days=16)
"""The furthest look begins at a multiple of this, so that it begins at one moment for long."""
FEW: Final = 4
"""From so many samples on, a usual pause can be told."""


def alarms_now(
    store: Store,
    described: System | None,
    at: datetime,
    units: UnitSystem,
    status: StatusAnswer | None = None,
    log: Sequence[Event] | None = None,
) -> tuple[Alarm, ...]:
    """What holds at a moment. `described`: what the system file says, if it is understood.

    `status` and `log`, where they are at hand, need not be worked out and read again. Raises
    `StoreError`.
    """
    stands = standing(store, at)
    present = as_it_stands(store, stands, lambda: described)
    if status is None:
        status = status_of(stands, describe=present)

    def whole() -> Sequence[Event]:
        return [one.event for one in store.read()] if log is None else log

    some = log if log is not None else [one.event for one in store.read(kinds=KINDS)]
    limits = limits_kept(store)
    scene = Scene(
        at=at,
        units=units,
        status=status,
        log=alarms_log(some, at, limits),
        described={} if described is None else dict(_places(described)),
        ratings=dict(_ratings(present(), status)),
        leaks=leaks(store, whole, at, units, limits.sure),
        limits=limits,
    )
    if described is not None:
        found = [_sensed(store, one, scene) for one in described.sensors]
        scene = replace(scene, sensed=tuple(one for one in found if one is not None))
    return alarms(scene)


def file_matters(store: Store, status: StatusAnswer) -> bool:
    """Whether alarms depend on what the system file describes: if not, it need not be read.

    It does where anything was ever sensed, or a keg may be near a rating that the file tells.
    """
    if any(
        one.gauge_pressure_pa.value > LEAST_NEAR_PA or one.sugar is not None for one in status.kegs
    ):
        return True
    with store.reading() as connection:
        return bool(samples.series_of(connection, store.cellar))


def alarms_answer(
    store: Store, found: Sequence[Alarm], status: StatusAnswer, units: UnitSystem
) -> AlarmsAnswer:
    """What holds with what was seen and told of it, and the thresholds. Raises `StoreError`.

    `status`: the cellar at the moment that they were found for.
    """
    heard, kept = heard_of(store), kept_of(store)
    limits = in_force(kept)
    return AlarmsAnswer(
        status.at,
        standings(found, heard, status.at),
        heard.tellings(),
        thresholds(units, limits),
        own_limits(kept),
        status.to_do,
    )


def _places(described: System) -> Iterator[tuple[str, float]]:
    for one in described.places:
        yield one.name, one.temperature


def _ratings(present: System | None, status: StatusAnswer) -> Iterator[tuple[str, float]]:
    """The lowest rating in the chain of each keg as it hangs now, which status tells as well; that
    of its kind where no file describes anything."""
    for one in status.kegs:
        yield one.keg, weakest_of(present, one.keg, one.keg_kind).gauge_pa


def _sensed(store: Store, sensor: Sensor, scene: Scene) -> Sensed | None:
    """A sensor with as much of its past as it takes; `None` where it never spoke."""
    series = series_of(sensor)
    with store.reading() as connection:
        last = samples.latest(connection, store.cellar, series)
    if last is None or last.subject != sensor.of:
        return None
    for back in LOOKED_BACK:
        start = _start(last, back)
        found = Sensed(sensor, last, (some := _buckets(store, series, start)), _pause(some))
        if _tells_all(scene, found, start):
            break
    return found


def _start(last: Sample, back: timedelta) -> datetime:
    """Where a look begins that far before a sample."""
    start = aligned(last.at - back)
    return aligned(start, FAR) if back == LOOKED_BACK[-1] else start


def _tells_all(scene: Scene, found: Sensed, start: datetime) -> bool:
    """Whether samples before `start` could change nothing."""
    if found.pause_s is None and found.last.at - start < LOOKED_BACK[1]:
        return False
    sensor = found.sensor
    if sensor.thing == "cylinder" and sensor.measures != "temperature":
        since = rushing_since(found, scene.at)
        looked = found.last.at - start >= LOOKED_BACK[1]
        return looked and (since is None or since > start + HOUR)
    limits = limits_of(scene, found)
    return all(is_settled(one, found.buckets, scene.at, start) for one in limits)


def _buckets(store: Store, series: Series, start: datetime) -> tuple[Bucket, ...]:
    with store.reading() as connection:
        return samples.buckets(connection, store.cellar, series, start, STRETCH)


def _pause(buckets: Sequence[Bucket]) -> float | None:
    """The usual pause between two samples, s: as there are so many in so many stretches.

    By the longest there was between stretches with any, where it speaks less than once in one.
    """
    count = sum(one.count for one in buckets)
    if count < FEW:
        return None
    moments = [one.since for one in buckets]
    gaps = sorted(later - sooner for sooner, later in pairwise(moments))
    usual = gaps[len(gaps) // 2] if gaps else STRETCH
    if usual > STRETCH:
        return usual.total_seconds()
    return STRETCH.total_seconds() * len(buckets) / count
