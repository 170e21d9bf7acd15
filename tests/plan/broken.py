"""Households with one thing broken, worked out from physics and from no rule of a fault finder.

One healthy household is drawn: two kegs on one regulator, each balanced for its own line. Then one
thing is changed, the true log is replayed and the true line followed; what the keeper would
see and find follows from the pressures, temperatures and flows that come out, with noise. What the
keeper has written down may be wrong where a keeper could not know better. A change too small to
be complained of is drawn again, larger or smaller.

Nothing here was taken from the table of faults: the names of the changes are this module's own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    Poured,
    Tapped,
    Vented,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    HouseholdSet,
    LineCleaned,
    PlaceSet,
)
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import TapCase, length_for
from ullage.system.cylinder import Cylinder
from ullage.system.model import Beer, Keg, LinePiece, Place, Regulator, System, Tap

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
PSI, INCH = 6894.757293168, 0.0254
PINT_M3 = 473.176473e-6
FULL_M3, RATED_KG = 0.0189, 4.5359
KEGS = ("K1", "K2")
SCALE_KG = 0.05
"""A bathroom scale read to 0.1 lb: its error as a standard deviation."""


def ago(days: float) -> datetime:
    return NOW - timedelta(days=days)


@dataclass(frozen=True)
class Home:
    """A household as it truly is. Temperatures K, pressures Pa gauge, days before now.

    `written_…`: what the keeper wrote down instead, `None`: the truth. `set_pa` is what stands on
    the kegs since `set_days`, `before_pa` what stood there from the filling on. `gas_stops_days`:
    no gas has come to K1 (to both, with `gas_stops_all`) for so long. `block_k`: a narrow place as
    a loss coefficient on the line's own bore, `block_at` where; infinite: nothing passes.
    """

    truth: str
    altitude_m: float
    target_vol: float
    start_vol: float
    cold_k: float
    tower_k: float
    before_pa: float
    set_pa: float
    set_days: float
    filled_days: float
    poured_m3: float
    line: tuple[LinePiece, ...]
    cleaned_days: float
    written_cold_k: float | None = None
    written_set_pa: float | None = None
    tower_written: bool = True
    pint_s: float = 10.0
    vented: bool = False
    gas_stops_days: float | None = None
    gas_stops_all: bool = False
    cylinder_kg: float = RATED_KG
    leaks_kg_day: float = 0.0
    block_k: float = 0.0
    block_at: str = ""
    gas_into_beer: bool = False
    rough_at: str = ""
    soured: str = ""
    wet: bool = False


def healthy(rng: np.random.Generator) -> Home:
    """A household in balance: pressure from solubility, line cut for a ten second pint."""
    cold, altitude = rng.uniform(275.6, 278.2), rng.uniform(0.0, 1500.0)
    target = rng.uniform(2.2, 2.7)
    gauge = balance_pa(target, cold, altitude)
    home = Home(
        truth="healthy",
        altitude_m=altitude,
        target_vol=target,
        start_vol=target - rng.uniform(0.0, 0.1),
        cold_k=cold,
        tower_k=cold + rng.uniform(0.0, 0.7),
        before_pa=gauge,
        set_pa=gauge,
        set_days=0.5,
        filled_days=rng.uniform(20.0, 40.0),
        poured_m3=rng.uniform(0.2, 0.7) * FULL_M3,
        line=(LinePiece(length=3.0, bore=3 / 16 * INCH),),
        cleaned_days=rng.uniform(1.0, 20.0),
        tower_written=bool(rng.random() < 0.5),
    )
    length = length_for(pour_case(home), home.pint_s)
    return replace(home, line=(LinePiece(length=length, bore=3 / 16 * INCH),))


def balance_pa(level_vol: float, kelvin: float, altitude_m: float) -> float:
    """Gauge pressure at which the standard beer holds a level."""
    factor = float(beer_physics.solubility_factor(beer_physics.standard_beer()))
    held = float(solubility.equilibrium_pressure(level_vol, kelvin, factor))
    return held - ambient_pressure(altitude_m)


def pour_case(home: Home, gauge_pa: float | None = None, level_vol: float | None = None) -> TapCase:
    """K1's tap as it truly is, in numbers for the hydraulics."""
    system = system_of(home, written=False)
    held = home.target_vol if level_vol is None else level_vol
    beer = system.beers[0].model_copy(update={"volumes": held})
    on = home.set_pa if gauge_pa is None else gauge_pa
    return tap_case(system, system.taps[0], beer, on, ambient_pressure(home.altitude_m))


def system_of(home: Home, *, written: bool = True) -> System:
    """The household as a system: as its keeper wrote it, or as it truly is."""
    cold, gauge, tower = home.cold_k, home.set_pa, home.tower_k
    if written:
        cold = home.written_cold_k or cold
        gauge = gauge if home.written_set_pa is None else home.written_set_pa
    left = FULL_M3 - home.poured_m3
    common = Keg(
        name="K1",
        kind="ball-lock-5gal",
        place="fridge",
        regulator="reg",
        beer="Pale",
        volume=max(left, 2e-5),
    )
    tap = Tap(
        name="left",
        keg="K1",
        line=home.line,
        rise=0.5,
        tower_temperature=tower if home.tower_written or not written else None,
    )
    return System(
        name="household",
        altitude=home.altitude_m,
        places=(Place(name="fridge", temperature=cold), Place(name="room", temperature=293.15)),
        cylinders=(Cylinder(name="gas", size="10 lb", place="room"),),
        regulators=(Regulator(name="reg", cylinder="gas", pressure=gauge),),
        beers=(Beer(name="Pale", volumes=home.target_vol),),
        kegs=(common, common.model_copy(update={"name": "K2"})),
        taps=(tap, tap.model_copy(update={"name": "right", "keg": "K2"})),
    )


def true_events(home: Home) -> list[Event]:
    """What truly happened to gas and beer."""
    cold = home.cold_k
    events: list[Event] = [
        HouseholdSet(at=ago(90), altitude_m=home.altitude_m),
        PlaceSet(at=ago(90), place="fridge", temperature_k=cold),
        CylinderConnected(at=ago(60), cylinder="gas", size="10 lb", contents_kg=home.cylinder_kg),
        BatchDescribed(at=ago(60), batch="Pale", target_vol=home.target_vol),
    ]
    for keg in KEGS:
        events += _of_keg(home, keg)
    return sorted(events, key=lambda event: event.at)


def _of_keg(home: Home, keg: str) -> list[Event]:
    filled = home.filled_days
    events: list[Event] = [
        KegAcquired(at=ago(60), keg=keg, keg_kind="ball-lock-5gal", place="fridge"),
        KegCleaned(at=ago(filled + 0.1), keg=keg),
        Filled(
            at=ago(filled),
            keg=keg,
            batch="Pale",
            volume_m3=FULL_M3,
            temperature_k=home.cold_k,
            start_vol=home.start_vol,
            air_purged=True,
        ),
        GasOn(at=ago(filled - 0.01), keg=keg, gauge_pressure_pa=home.before_pa, cylinder="gas"),
        Tapped(at=ago(filled - 0.02), keg=keg, tap="left" if keg == "K1" else "right"),
    ]
    if home.vented:
        events.append(Vented(at=ago(home.set_days + 0.01), keg=keg))
    if home.set_pa != home.before_pa:
        events.append(
            GasOn(at=ago(home.set_days), keg=keg, gauge_pressure_pa=home.set_pa, cylinder="gas")
        )
    stops = home.gas_stops_days
    if stops is not None and (keg == "K1" or home.gas_stops_all):
        events.append(GasOff(at=ago(stops), keg=keg))
    return events + _pours(home, keg)


def _pours(home: Home, keg: str) -> list[Event]:
    pints = max(int(home.poured_m3 / PINT_M3), 1)
    days = np.linspace(home.filled_days - 0.05, 0.05, pints)
    each = home.poured_m3 / pints
    return [Poured(at=ago(float(one)), keg=keg, volume_m3=each) for one in days]


def truly(home: Home, events: list[Event] | None = None, days: float = 0.0) -> CellarState:
    """The cellar as it truly stood so many days ago."""
    assumed = Assumed(ambient_pa=ambient_pressure(home.altitude_m))
    told = [one for one in events or true_events(home) if one.at <= ago(days)]
    return at_moment(replay(told, assumed), ago(days), assumed)


def cylinder_kg(home: Home, days: float = 0.0) -> float:
    """What the cylinder truly held so many days ago, the leak counted."""
    held = float(truly(home, days=days).cylinders["gas"].contents_kg)
    return max(held - home.leaks_kg_day * (60.0 - days), 0.0)


def written_events(home: Home, rng: np.random.Generator) -> list[Event]:
    """The log as its keeper wrote it: true but for what could not be known, scale read twice."""
    events = [_as_written(home, event) for event in true_events(home)]
    kept = [one for one in events if one is not None]
    kept += [
        LineCleaned(at=ago(home.cleaned_days), tap=tap, cleaner="caustic")
        for tap in ("left", "right")
    ]
    for days in (15.0, 0.02):
        read = max(cylinder_kg(home, days) + SCALE_KG * rng.standard_normal(), 0.0)
        kept.append(CylinderWeighed(at=ago(days), cylinder="gas", contents_kg=read))
    return sorted(kept, key=lambda event: event.at)


def _as_written(home: Home, event: Event) -> Event | None:
    """Nobody writes that gas no longer comes, or that a regulator let more through than set."""
    if isinstance(event, GasOff):
        return None
    if isinstance(event, GasOn) and event.at == ago(home.set_days):
        return None if home.written_set_pa is not None else event
    kelvin = home.written_cold_k
    if kelvin is not None and isinstance(event, PlaceSet | Filled):
        return event.model_copy(update={"temperature_k": kelvin})
    return event
