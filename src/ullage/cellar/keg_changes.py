"""What each event does to a keg. The keg has been brought to the event's moment before.

Nothing is refused here: the log is replayed as it was written. What does not add up (a pour from a
keg thought empty) corrects the estimate and comes back as a warning in words.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from ullage.cellar import amounts
from ullage.cellar.head import draw_to, let_off, relieved, settled, valve_pa
from ullage.cellar.keg_events import (
    GasOff,
    GasOn,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Purged,
    Shaken,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.naming import headed
from ullage.cellar.on_gas import on_gas
from ullage.cellar.passing import pass_time
from ullage.cellar.state import NO_BEER_M3, Assumed, KegState, Ledger, Supply, counted
from ullage.physics import beer as beer_physics
from ullage.physics import co2, water
from ullage.physics.constants import CO2_VOLUME_DENSITY, GAS_CONSTANT
from ullage.physics.numbers import Numbers

LEAST_HEAD_M3 = 5e-5
PUSHED_AIR_SHARE = 0.005
"""Share of air left in a keg pushed empty of sanitiser with CO2; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading beside what replay had just before it; both in the unit the quantity ends with."""

    quantity: str
    read: float
    replayed: float


@dataclass(frozen=True, slots=True)
class Change:
    """The keg after an event, with warnings and readings that it brought."""

    keg: KegState
    warnings: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()


def clean(keg: KegState, event: KegCleaned) -> Change:
    """Opened and cleaned: empty of beer, full of air."""
    fills = 0 if event.stripped else keg.fills_since_stripped
    opened = replace(_emptied(keg), cleaned_at=event.at, fills_since_stripped=fills)
    lost = left(keg)
    return Change(replace(opened, air_share=1.0), lost)


def sanitise(keg: KegState, event: KegSanitised) -> Change:
    """Sanitised; pushed empty with gas it is left with next to no air."""
    share = PUSHED_AIR_SHARE if event.pushed else 1.0
    return Change(replace(_emptied(keg), air_share=share), left(keg))


def purge(keg: KegState, event: Purged, assumed: Assumed) -> Change:
    """Charged and vented: each cycle leaves ambient over charged pressure of the air."""
    ratio = assumed.ambient_pa / (assumed.ambient_pa + event.gauge_pressure_pa)
    left = float(ratio**event.cycles)
    if not keg.holds_beer:
        return Change(replace(keg, air_share=keg.air_share * left))
    vapour = water.vapour_pressure(keg.temperature_k)
    dry = np.maximum(assumed.ambient_pa - vapour, 0.0)
    air_pa = np.minimum(keg.air_pa(keg.temperature_k) * left, dry)
    air_mol = air_pa * keg.head_m3 / (GAS_CONSTANT.value * keg.temperature_k)
    head = co2.gas_mass(np.maximum(dry - air_pa, 0.0), keg.head_m3, keg.temperature_k)
    charged = assumed.ambient_pa + event.gauge_pressure_pa
    each = co2.gas_mass(charged, keg.head_m3, keg.temperature_k) * (1.0 - ratio)
    drawn = np.maximum(event.cycles * each, head - keg.head_co2_kg)
    vented = keg.head_co2_kg + drawn - head
    return Change(_booked(replace(keg, head_co2_kg=head, air_mol=air_mol), drawn, vented))


def gas_on(keg: KegState, event: GasOn, assumed: Assumed, cylinder: str | None) -> Change:
    """The head comes to the pressure at once; what stands higher stays (a check valve).

    Above the keg's marking its relief valve would blow, so there it stays.
    """
    gauge_pa = min(event.gauge_pressure_pa, keg.kind.max_gauge_pa)
    source = event.cylinder or cylinder
    supply = Supply(gauge_pa, source, event.contact, _offset_pa(source, assumed))
    connected = replace(keg, supply=supply, spunding_pa=None)
    live = on_gas(connected, assumed)
    return Change(settled(connected, assumed) if live is None else live.done())


def _offset_pa(cylinder: str | None, assumed: Assumed) -> float:
    """What the regulator on a cylinder gives more than it shows."""
    return 0.0 if cylinder is None else assumed.own.gauge_pa.get(cylinder, 0.0)


def gas_off(keg: KegState, event: GasOff) -> Change:
    """The head is on its own."""
    del event
    return Change(replace(keg, supply=None))


def vent(keg: KegState, event: Vented, assumed: Assumed) -> Change:
    """Head let down; CO2 and air leave in proportion. On gas it fills again at once."""
    return Change(settled(let_off(keg, event.gauge_pressure_pa, assumed), assumed))


def top_up(keg: KegState, event: ToppedUp, assumed: Assumed, cylinder: str | None) -> Change:
    """A charge by hand, and the gas off again."""
    source = event.cylinder or cylinder
    gauge_pa = min(event.gauge_pressure_pa, valve_pa(keg))
    supply = Supply(gauge_pa, source, offset_pa=_offset_pa(source, assumed))
    charged = draw_to(replace(keg, supply=supply), supply.true_pa, assumed)
    return Change(replace(charged, supply=None))


def shake(keg: KegState, event: Shaken, assumed: Assumed) -> Change:
    """Rocked from the event's moment on, for its time."""
    until = event.at + timedelta(seconds=event.duration_s)
    return Change(replace(pass_time(keg, until, assumed, "shaken"), layer_age=0.0))


def move(keg: KegState, event: Moved, place_k: float) -> Change:
    """It takes the new place's temperature from now on."""
    return Change(replace(keg, place=event.place, place_k=place_k, layer_age=0.0))


def tap(keg: KegState, event: Tapped) -> Change:
    """Its line hangs on a tap."""
    return Change(replace(keg, tap=event.tap))


def pour(keg: KegState, event: Poured, assumed: Assumed) -> Change:
    """Beer leaves with its gas; on gas the head is filled up behind it."""
    missing = np.maximum(event.volume_m3 - (keg.beer_m3 - NO_BEER_M3), 0.0)
    warnings: tuple[str, ...] = ()
    if np.mean(missing) > 0.0:
        warnings = (
            f"{headed('keg', keg.name)} was thought to hold "
            f"{amounts.volume(float(np.mean(keg.beer_m3)))} when "
            f"{amounts.volume(event.volume_m3)} was poured: it held more than thought, and the "
            "estimate is corrected.",
        )
        keg = _corrected_beer(keg, keg.beer_m3 + missing)
    gas = event.volume_m3 * keg.level_vol * CO2_VOLUME_DENSITY.value
    ledger = replace(
        keg.ledger,
        beer_poured_m3=keg.ledger.beer_poured_m3 + event.volume_m3,
        gas_poured_kg=keg.ledger.gas_poured_kg + gas,
    )
    poured = replace(keg, beer_m3=keg.beer_m3 - event.volume_m3, ledger=ledger)
    return Change(settled(poured, assumed), warnings)


def weigh(keg: KegState, event: KegWeighed, assumed: Assumed) -> Change:
    """The scale corrects the beer: gross less the keg's own weight, over the beer's density."""
    if keg.beer is None:
        named = headed("keg", keg.name)
        return Change(keg, (f"{named} holds no beer that a weight could tell of.",))
    density = float(beer_physics.density(keg.beer, float(np.mean(keg.temperature_k))))
    tare_kg = keg.kind.tare_kg + assumed.own.tare_kg.get(keg.name, 0.0)
    beer_m3 = (event.gross_kg - tare_kg) / density
    most = keg.kind.capacity_m3 - LEAST_HEAD_M3
    replayed = float(np.mean(keg.beer_m3))
    reading = Reading("beer_m3", beer_m3, replayed)
    held = min(max(beer_m3, NO_BEER_M3), most)
    return Change(_corrected_beer(keg, held), (), (reading,))


def measure(keg: KegState, event: Measured, assumed: Assumed) -> Change:
    """Readings beside replay; temperature, head pressure and level correct it."""
    readings = []
    if event.temperature_k is not None:
        now_k = float(np.mean(keg.temperature_k))
        readings.append(Reading("temperature_k", event.temperature_k, now_k))
        keg = replace(keg, temperature_k=event.temperature_k)
    if event.gauge_pressure_pa is not None:
        gauge = float(np.mean(keg.head_pa())) - assumed.ambient_pa
        readings.append(Reading("gauge_pressure_pa", event.gauge_pressure_pa, gauge))
        keg = _corrected_head(keg, event.gauge_pressure_pa, assumed)
    if event.level_vol is not None:
        readings.append(Reading("level_vol", event.level_vol, float(np.mean(keg.level_vol))))
        keg = _corrected_gas(replace(keg, level_vol=event.level_vol, layer_age=0.0), keg)
    return Change(relieved(keg, assumed), (), tuple(readings))


def kick(keg: KegState, event: Kicked) -> Change:
    """Empty: what replay thought was left was not there."""
    left = float(np.mean(keg.beer_m3))
    reading = Reading("beer_m3", 0.0, left)
    dry = _corrected_beer(keg, NO_BEER_M3)
    del event
    return Change(replace(dry, air_share=0.0), (), (reading,))


def _booked(keg: KegState, drawn_kg: Numbers, vented_kg: Numbers) -> KegState:
    ledger = replace(
        keg.ledger,
        gas_drawn_kg=counted(keg.ledger.gas_drawn_kg + drawn_kg),
        gas_vented_kg=keg.ledger.gas_vented_kg + vented_kg,
    )
    return replace(keg, ledger=ledger)


def _corrected_gas(after: KegState, before: KegState) -> KegState:
    """`after` with the change of its CO2 booked as a correction."""
    gained = after.gas_kg() - before.gas_kg()
    booked = before.ledger.gas_corrected_kg + gained
    return replace(after, ledger=replace(after.ledger, gas_corrected_kg=booked))


def _corrected_beer(keg: KegState, beer_m3: Numbers) -> KegState:
    """Another amount of beer at the same level; head pressure as it was."""
    gained = beer_m3 - keg.beer_m3
    pressure = co2.pressure_of_mass(keg.head_co2_kg, keg.head_m3, keg.temperature_k)
    other = replace(keg, beer_m3=beer_m3)
    head = co2.gas_mass(pressure, other.head_m3, keg.temperature_k)
    ledger = replace(keg.ledger, beer_corrected_m3=keg.ledger.beer_corrected_m3 + gained)
    return _corrected_gas(replace(other, head_co2_kg=head, ledger=ledger), keg)


def _corrected_head(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """The head at the pressure that was read."""
    vapour = water.vapour_pressure(keg.temperature_k)
    partial = assumed.ambient_pa + gauge_pa - vapour - keg.air_pa(keg.temperature_k)
    head = co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, keg.temperature_k)
    return _corrected_gas(replace(keg, head_co2_kg=head), keg)


def _emptied(keg: KegState) -> KegState:
    """No beer, no gas on, no batch; it stays where it stands."""
    return replace(
        keg,
        batch=None,
        beer=None,
        filled_at=None,
        beer_m3=0.0,
        level_vol=0.0,
        head_co2_kg=0.0,
        air_mol=0.0,
        supply=None,
        spunding_pa=None,
        to_ferment_vol=0.0,
        layer_age=0.0,
        ledger=Ledger(),
    )


def left(keg: KegState) -> tuple[str, ...]:
    """A warning where beer is thrown away by what was written."""
    beer_m3 = float(np.mean(keg.beer_m3))
    if beer_m3 < 5e-4:
        return ()
    named, lost = headed("keg", keg.name), amounts.volume(beer_m3)
    return (f"{named} was thought to hold {lost} still; it counts as gone.",)
