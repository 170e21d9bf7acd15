"""What each event does to a keg. The keg has been brought to the event's moment before.

Nothing is refused here: the log is replayed as it was written. What beer does that leaves a keg,
and what readings correct, is in `beer_out`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

import numpy as np

from ullage.cellar import amounts, readying
from ullage.cellar.head import draw_to, let_off, settled, valve_pa
from ullage.cellar.keg_events import (
    GasOff,
    GasOn,
    KegCleaned,
    KegSanitised,
    Moved,
    Purged,
    Shaken,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.naming import headed
from ullage.cellar.on_gas import on_gas
from ullage.cellar.passing import pass_time
from ullage.cellar.state import Assumed, KegState, Ledger, Supply, counted
from ullage.physics import blend, co2, water
from ullage.physics.constants import GAS_CONSTANT
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
class Source:
    """The cylinder that gives the gas, `None` where nobody told, and the CO2 in it."""

    cylinder: str | None = None
    co2_share: float = 1.0


@dataclass(frozen=True, slots=True)
class Change:
    """The keg after an event, with warnings and readings that it brought.

    `source`: what gave the gas, where that is not what hangs on the keg. `given_kg`: CO2 that it
    gave besides, which is on no keg's account: it left before the keg was filled.
    """

    keg: KegState
    warnings: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    source: Source | None = None
    given_kg: Numbers = 0.0


def clean(keg: KegState, event: KegCleaned) -> Change:
    """Opened and cleaned: empty of beer, full of air."""
    fills = 0 if event.stripped else keg.fills_since_stripped
    opened = replace(_emptied(keg), cleaned_at=event.at, fills_since_stripped=fills)
    lost = left(keg)
    return Change(replace(opened, air_share=1.0), lost)


def sanitise(keg: KegState, event: KegSanitised, assumed: Assumed, source: Source) -> Change:
    """Sanitised; pushed empty with gas it is left with next to no air, and a cylinder with less."""
    share = PUSHED_AIR_SHARE if event.pushed else 1.0
    gas = readying.pushing_kg(keg.kind, assumed.ambient_pa) if event.pushed else 0.0
    after = replace(_emptied(keg), air_share=share)
    return Change(after, left(keg), source=source, given_kg=source.co2_share * gas)


def purge(keg: KegState, event: Purged, assumed: Assumed, source: Source) -> Change:
    """Charged and vented: each cycle leaves ambient over charged pressure of the air."""
    ratio = assumed.ambient_pa / (assumed.ambient_pa + event.gauge_pressure_pa)
    left = float(ratio**event.cycles)
    if not keg.holds_beer:
        gas = readying.purging_kg(event, keg.kind, assumed.ambient_pa)
        after = replace(keg, air_share=keg.air_share * left)
        return Change(after, source=source, given_kg=source.co2_share * gas)
    vapour = water.vapour_pressure(keg.temperature_k)
    dry = np.maximum(assumed.ambient_pa - vapour, 0.0)
    air_pa = np.minimum(keg.air_pa(keg.temperature_k) * left, dry)
    air_mol = air_pa * keg.head_m3 / (GAS_CONSTANT.value * keg.temperature_k)
    share, rest = source.co2_share, np.maximum(dry - air_pa, 0.0)
    purged = replace(keg, air_mol=air_mol)
    if share < 1.0 or keg.has_nitrogen:
        nitrogen_pa = np.minimum(keg.nitrogen_pa(keg.temperature_k) * left, rest)
        nitrogen_pa = nitrogen_pa + (1.0 - share) * (rest - nitrogen_pa)
        purged, rest = with_nitrogen(purged, nitrogen_pa), rest - nitrogen_pa
    head = co2.gas_mass(rest, keg.head_m3, keg.temperature_k)
    charged = assumed.ambient_pa + event.gauge_pressure_pa
    each = co2.gas_mass(charged, keg.head_m3, keg.temperature_k) * (1.0 - ratio) * share
    drawn = np.maximum(event.cycles * each, head - keg.head_co2_kg)
    vented = keg.head_co2_kg + drawn - head
    return Change(_booked(replace(purged, head_co2_kg=head), drawn, vented), source=source)


def with_nitrogen(keg: KegState, nitrogen_pa: Numbers) -> KegState:
    """The keg with a blend's nitrogen at a pressure in its head, the beer in balance with it."""
    held = blend.nitrogen_held(keg.beer_m3, keg.head_m3, keg.temperature_k)
    return replace(keg, nitrogen_mol=nitrogen_pa * held)


def gas_on(keg: KegState, event: GasOn, assumed: Assumed, source: Source) -> Change:
    """The head comes to the pressure at once; what stands higher stays (a check valve).

    Above the keg's marking its relief valve would blow, so there it stays.
    """
    gauge_pa = min(event.gauge_pressure_pa, keg.kind.max_gauge_pa)
    supply = _supply(gauge_pa, source, event.contact, assumed)
    connected = replace(keg, supply=supply, spunding_pa=None, fed_by=source.cylinder)
    live = on_gas(connected, assumed)
    return Change(settled(connected, assumed) if live is None else live.done())


def _supply(
    gauge_pa: float, source: Source, contact: Literal["still", "stone"], assumed: Assumed
) -> Supply:
    """Gas of a cylinder, whose regulator gives more than it shows by what was learnt."""
    name = source.cylinder
    offset = 0.0 if name is None else assumed.own.gauge_pa.get(name, 0.0)
    return Supply(gauge_pa, name, contact, offset, source.co2_share)


def gas_off(keg: KegState, event: GasOff) -> Change:
    """The head is on its own."""
    del event
    return Change(replace(keg, supply=None))


def vent(keg: KegState, event: Vented, assumed: Assumed) -> Change:
    """Head let down; CO2 and air leave in proportion. On gas it fills again at once."""
    return Change(settled(let_off(keg, event.gauge_pressure_pa, assumed), assumed))


def top_up(keg: KegState, event: ToppedUp, assumed: Assumed, source: Source) -> Change:
    """A charge by hand, and the gas off again."""
    gauge_pa = min(event.gauge_pressure_pa, valve_pa(keg))
    supply = _supply(gauge_pa, source, "still", assumed)
    fed = replace(keg, supply=supply, fed_by=source.cylinder)
    charged = draw_to(fed, supply.true_pa, assumed)
    return Change(replace(charged, supply=None), source=source)


def shake(keg: KegState, event: Shaken, assumed: Assumed) -> Change:
    """Rocked from the event's moment on, for its time."""
    until = event.at + timedelta(seconds=event.duration_s)
    return Change(replace(pass_time(keg, until, assumed, "shaken"), layer_age=0.0))


def move(keg: KegState, event: Moved, place_k: float) -> Change:
    """It takes the new place's temperature from now on."""
    return Change(replace(keg, place=event.place, place_k=place_k, layer_age=0.0))


def tap(keg: KegState, event: Tapped) -> Change:
    """Its line hangs on a tap."""
    return Change(replace(keg, tap=event.tap, tap_before=None))


def off_tap(keg: KegState) -> KegState:
    """Taken off its tap, as a keg is that is cleaned or filled after it held beer.

    One that was put on a tap while it was empty is made ready and filled on its line.
    """
    if keg.batch is None:
        return keg
    return replace(keg, tap=None, tap_before=keg.tap or keg.tap_before)


def drawn_from(keg: KegState) -> KegState:
    """Beer came out of it: it hangs on the tap that it was taken off, where nobody told of one."""
    return keg if keg.tap_before is None else replace(keg, tap=keg.tap or keg.tap_before)


def _booked(keg: KegState, drawn_kg: Numbers, vented_kg: Numbers) -> KegState:
    ledger = replace(
        keg.ledger,
        gas_drawn_kg=counted(keg.ledger.gas_drawn_kg + drawn_kg),
        gas_vented_kg=keg.ledger.gas_vented_kg + vented_kg,
    )
    return replace(keg, ledger=ledger)


def _emptied(keg: KegState) -> KegState:
    """No beer, no gas on, no batch, on no tap; it stays where it stands."""
    return replace(
        off_tap(keg),
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
        nitrogen_mol=0.0,
        ledger=Ledger(),
    )


def left(keg: KegState) -> tuple[str, ...]:
    """A warning where beer is thrown away by what was written."""
    beer_m3 = float(np.mean(keg.beer_m3))
    if beer_m3 < 5e-4:
        return ()
    named, lost = headed("keg", keg.name), amounts.volume(beer_m3)
    return (f"{named} was thought to hold {lost} still; it counts as gone.",)
