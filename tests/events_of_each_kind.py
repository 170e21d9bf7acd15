"""One event of each kind, invented, for tests that must leave none out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TypedDict

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
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.learnt import ConstantsKept, KeptValue
from ullage.cellar.other_events import (
    BatchDescribed,
    Brewed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    Gathering,
    HouseholdSet,
    LeakTested,
    LineCleaned,
    LineReplaced,
    Noted,
    PlaceSet,
    Undone,
    UpkeepDone,
)

PSI = 6894.757293168361
POUND = 0.45359237
GALLON = 3.785411784e-3
COLD_K, ROOM_K = 276.4833, 293.15  # 38 °F, 20 °C = 68 °F


class _Keg(TypedDict):
    at: datetime
    keg: str


class _Cylinder(TypedDict):
    at: datetime
    cylinder: str


AT = datetime(2025, 3, 1, 12, tzinfo=UTC)
K1: _Keg = {"at": AT, "keg": "K1"}
MAIN: _Cylinder = {"at": AT, "cylinder": "main"}

EVENTS: tuple[Event, ...] = (
    KegAcquired(**K1, keg_kind="ball-lock-5gal", place="fridge"),
    KegCleaned(**K1),
    KegSanitised(**K1, pushed=True),
    Purged(**K1, cycles=5, gauge_pressure_pa=30 * PSI),
    Filled(**K1, batch="Pale", volume_m3=5 * GALLON, temperature_k=COLD_K, start_vol=0.9),
    Primed(**K1, sugar="sucrose", sugar_kg=0.085),
    SpundingSet(**K1, gauge_pressure_pa=12 * PSI),
    GasOn(**K1, gauge_pressure_pa=12 * PSI, cylinder="main", contact="stone"),
    GasOff(**K1),
    Vented(**K1),
    ToppedUp(**K1, gauge_pressure_pa=20 * PSI),
    Shaken(**K1, duration_s=300.0),
    Moved(**K1, place="garage"),
    Tapped(**K1, tap="left"),
    Poured(**K1, volume_m3=GALLON / 8),
    KegWeighed(**K1, gross_kg=40 * POUND),
    Measured(**K1, temperature_k=COLD_K, gauge_pressure_pa=12 * PSI, level_vol=2.4, pint_s=10.0),
    Kicked(**K1),
    CylinderConnected(**MAIN, size="10 lb", contents_kg=6 * POUND, place="garage"),
    CylinderWeighed(**MAIN, contents_kg=5 * POUND),
    CylinderRead(**MAIN, gauge_pressure_pa=820 * PSI, temperature_k=ROOM_K),
    CylinderSwapped(**MAIN),
    LeakTested(
        **MAIN, part="gas line", start_gauge_pa=30 * PSI, end_gauge_pa=29 * PSI,
        duration_s=43_200.0, start_k=ROOM_K, end_k=ROOM_K,
    ),
    LineCleaned(at=AT, tap="left", cleaner="line cleaner"),
    LineReplaced(at=AT, tap="left"),
    PlaceSet(at=AT, place="fridge", temperature_k=COLD_K),
    HouseholdSet(at=AT, altitude_m=182.88),
    ConstantsKept(at=AT, constants={"gauge main": KeptValue(value=2_000.0, sd=500.0)}),
    BatchDescribed(at=AT, batch="Pale", style="pale ale", target_vol=2.4),
    Brewed(at=AT, fermenter="F1", batch="Pale", volume_m3=5 * GALLON),
    Gathering(at=AT, about="Party", ends=AT + timedelta(hours=5), guests=20, beer_m3=5 * GALLON),
    UpkeepDone(at=AT, task="seals", about="K1"),
    Noted(at=AT, about="Pale", text="Tastes\nof apples"),
    Undone(at=AT, event="0" * 32, of="keg:K1"),
)  # fmt: skip
