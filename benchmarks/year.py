"""A year of a cellar with four taps, invented: about three thousand events, as a log would have it.

Two people and their guests drink some two and a half litres a day. Each keg is cleaned, sanitised,
filled, carbonated with a few days of high pressure, put on a tap, poured from, weighed now and
then and kicked; lines are cleaned every two weeks, the cylinder is weighed and swapped.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Purged,
    Tapped,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    HouseholdSet,
    LineCleaned,
    PlaceSet,
)
from ullage.system import parts

PSI = 6894.757293168361
FIRST_DAY = datetime(2026, 1, 1, 8, tzinfo=UTC)
KIND = "ball-lock-5gal"
TAPS = ("left", "inner left", "inner right", "right")
KEGS = tuple(f"K{number}" for number in range(1, 7))
FILL_M3, COLD_K, WARM_K = 0.0185, 277.0, 293.0
BEST_BEFORE_EMPTY_M3 = 0.0006


@dataclass(slots=True)
class _Cellar:
    """What the invention keeps in mind while days go by."""

    chance: random.Random
    batches: int = 0
    left_m3: dict[str, float] = field(default_factory=dict)
    on_tap: dict[str, str] = field(default_factory=dict)
    carbonated: dict[str, datetime] = field(default_factory=dict)


def year(days: int = 365, until: datetime | None = None, seed: int = 4) -> list[Event]:
    """The events of some days up to a moment (one year's from the first day unless told)."""
    begin = FIRST_DAY if until is None else until - timedelta(days=days)
    cellar = _Cellar(random.Random(seed))
    log = [*_begun(begin)]
    for day in range(days):
        log += _day(cellar, begin + timedelta(days=day), day)
    return log


def _begun(at: datetime) -> Iterator[Event]:
    yield HouseholdSet(at=at, altitude_m=120.0)
    yield PlaceSet(at=at, place="keezer", temperature_k=COLD_K)
    yield PlaceSet(at=at, place="room", temperature_k=WARM_K)
    yield CylinderConnected(at=at, cylinder="main", size="10 lb")
    for keg in KEGS:
        yield KegAcquired(at=at, keg=keg, keg_kind=KIND, place="room")


def _day(cellar: _Cellar, morning: datetime, day: int) -> Iterator[Event]:
    for tap in TAPS:
        if tap not in cellar.on_tap:
            yield from _put_on_tap(cellar, tap, morning)
    if day % 4 == 0:
        yield from _fill_one(cellar, morning + timedelta(hours=2))
    if day % 14 == 7:
        for tap in TAPS:
            yield LineCleaned(at=morning + timedelta(hours=3), tap=tap)
    if day % 7 == 6:
        yield from _looked_after(cellar, morning + timedelta(hours=4), day)
    yield from _evening(cellar, morning + timedelta(hours=10))


def _fill_one(cellar: _Cellar, at: datetime) -> Iterator[Event]:
    """A batch into an empty keg, if there is one, and a burst of gas onto it."""
    keg = next((one for one in KEGS if one not in cellar.left_m3), None)
    if keg is None:
        return
    cellar.batches += 1
    batch = f"Batch {cellar.batches}"
    cellar.left_m3[keg], cellar.carbonated[keg] = FILL_M3, at + timedelta(days=1)
    og = 1.044 + 0.002 * (cellar.batches % 8)
    yield BatchDescribed(at=at, batch=batch, target_vol=2.4, og=og, fg=1.011)
    yield KegCleaned(at=at, keg=keg, stripped=cellar.batches % 5 == 0)
    yield KegSanitised(at=at, keg=keg, pushed=True)
    yield Filled(at=at, keg=keg, batch=batch, volume_m3=FILL_M3, temperature_k=WARM_K)
    yield Purged(at=at, keg=keg, cycles=4, gauge_pressure_pa=20 * PSI)
    yield Moved(at=at, keg=keg, place="keezer")
    yield GasOn(at=at, keg=keg, gauge_pressure_pa=30 * PSI, cylinder="main")
    yield GasOn(at=at + timedelta(days=1), keg=keg, gauge_pressure_pa=11 * PSI, cylinder="main")


def _put_on_tap(cellar: _Cellar, tap: str, at: datetime) -> Iterator[Event]:
    for keg, ready in cellar.carbonated.items():
        if ready + timedelta(hours=1) < at and keg not in cellar.on_tap.values():
            cellar.on_tap[tap] = keg
            yield Tapped(at=at, keg=keg, tap=tap)
            return


def _evening(cellar: _Cellar, at: datetime) -> Iterator[Event]:
    """Some glasses, each a little later than the one before."""
    guests = cellar.chance.random() < 0.15
    for glass in range(cellar.chance.randint(10, 16) if guests else cellar.chance.randint(4, 8)):
        if not cellar.on_tap:
            return
        tap = cellar.chance.choice(sorted(cellar.on_tap))
        moment = at + timedelta(minutes=11 * glass + cellar.chance.randint(0, 9))
        yield from _glass(cellar, tap, moment)


def _glass(cellar: _Cellar, tap: str, at: datetime) -> Iterator[Event]:
    keg = cellar.on_tap[tap]
    poured = cellar.chance.choice((0.00025, 0.0003, 0.0004, 0.000473))
    yield Poured(at=at, keg=keg, volume_m3=poured)
    cellar.left_m3[keg] -= poured
    if cellar.left_m3[keg] > BEST_BEFORE_EMPTY_M3:
        return
    del cellar.left_m3[keg], cellar.on_tap[tap], cellar.carbonated[keg]
    yield Kicked(at=at + timedelta(seconds=30), keg=keg)
    yield GasOff(at=at + timedelta(seconds=60), keg=keg)
    yield Moved(at=at + timedelta(seconds=90), keg=keg, place="room")


def _looked_after(cellar: _Cellar, at: datetime, day: int) -> Iterator[Event]:
    """A keg on the scale, a thermometer read, the cylinder weighed once a month and swapped."""
    tare = parts.keg_kind(KIND).tare_kg
    for keg in sorted(cellar.on_tap.values()):
        gross = tare + cellar.left_m3[keg] * 1010.0 + cellar.chance.uniform(-0.05, 0.05)
        yield KegWeighed(at=at, keg=keg, gross_kg=gross)
        yield Measured(at=at, keg=keg, temperature_k=COLD_K + cellar.chance.uniform(-0.5, 0.5))
    if day % 28 == 27:
        yield CylinderWeighed(at=at, cylinder="main", contents_kg=2.0)
    if day % 84 == 83:
        yield CylinderSwapped(at=at + timedelta(hours=1), cylinder="main")
