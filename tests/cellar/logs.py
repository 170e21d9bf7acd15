"""Invented logs for the tests: one keg in a fridge, filled on the first of November."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, KegCleaned, Moved, Purged
from ullage.cellar.other_events import BatchDescribed, CylinderConnected, PlaceSet

PSI = 6894.757293168361
SEA_LEVEL = 101_325.0
NOON = datetime(2026, 11, 1, 12, tzinfo=UTC)
COLD_K, ROOM_K = 276.4833, 293.15  # 38 °F, 20 °C
FILL_M3 = 0.0189


def day(days: float) -> datetime:
    return NOON + timedelta(days=days)


def cellar_log() -> list[Event]:
    """Places, a cylinder and a clean keg, before any beer."""
    return [
        PlaceSet(at=day(-3), place="fridge", temperature_k=COLD_K),
        PlaceSet(at=day(-3), place="room", temperature_k=ROOM_K),
        CylinderConnected(at=day(-2), cylinder="main", size="10 lb"),
        KegAcquired(at=day(-2), keg="K1", keg_kind="ball-lock-5gal", place="fridge"),
        BatchDescribed(at=day(-1), batch="pale", target_vol=2.4, og=1.048, fg=1.010),
        KegCleaned(at=day(-0.5), keg="K1"),
    ]


def filled_log(
    temperature_k: float = COLD_K, start_vol: float | None = 0.86, volume_m3: float = FILL_M3
) -> list[Event]:
    """The same with the keg filled at noon, cold and free of air unless told."""
    return [
        *cellar_log(),
        Filled(
            at=day(0),
            keg="K1",
            batch="pale",
            volume_m3=volume_m3,
            temperature_k=temperature_k,
            start_vol=start_vol,
            air_purged=True,
        ),
    ]


def warm_log() -> list[Event]:
    """Filled in the room, purged, and carried into the fridge."""
    return [
        *cellar_log(),
        Moved(at=day(-0.4), keg="K1", place="room"),
        Filled(at=day(0), keg="K1", batch="pale", volume_m3=FILL_M3, temperature_k=ROOM_K),
        Purged(at=day(0.01), keg="K1", cycles=5, gauge_pressure_pa=30 * PSI),
        Moved(at=day(0.02), keg="K1", place="fridge"),
    ]
