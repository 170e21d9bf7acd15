"""What beer that leaves a keg does to it, and what readings of it correct.

What does not add up (a pour from a keg thought empty) corrects the estimate and comes back as a
warning in words.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ullage.cellar import amounts
from ullage.cellar.head import relieved, settled
from ullage.cellar.keg_changes import LEAST_HEAD_M3, Change, Reading, drawn_from, with_nitrogen
from ullage.cellar.keg_events import KegWeighed, Kicked, Measured, Poured
from ullage.cellar.naming import headed
from ullage.cellar.state import NO_BEER_M3, Assumed, KegState, counted
from ullage.physics import beer as beer_physics
from ullage.physics import blend, co2, water
from ullage.physics.constants import CO2_VOLUME_DENSITY
from ullage.physics.numbers import Numbers

KNOWN_AGAIN_S = 86_400.0
"""A weighing within a day of filling corrects the filling: nobody drank the difference."""
LEAST_DRUNK_M3 = 4e-4
"""A weighing that finds so much gone, a glass, tells that it was drunk, not that a scale is off."""


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
    keg = drawn_from(keg)
    poured = replace(keg, beer_m3=keg.beer_m3 - event.volume_m3, ledger=ledger)
    if keg.has_nitrogen:
        poured = replace(poured, nitrogen_mol=_nitrogen_left(keg, event.volume_m3))
    return Change(settled(poured, assumed), warnings)


def _nitrogen_left(keg: KegState, poured_m3: float) -> Numbers:
    """A blend's nitrogen (mol) that stays when beer leaves with what it held of it."""
    held = blend.nitrogen_held(keg.beer_m3, keg.head_m3, keg.temperature_k)
    went = held - blend.nitrogen_held(
        np.maximum(keg.beer_m3 - poured_m3, 0.0), keg.head_m3, keg.temperature_k
    )
    left: Numbers = keg.nitrogen_mol * (1.0 - went / held)
    return left


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
    return Change(_gone(keg, held, event), (), (reading,))


def measure(keg: KegState, event: Measured, assumed: Assumed) -> Change:
    """Readings beside replay; temperature, head pressure and level correct it."""
    readings = []
    if event.pint_s is not None:
        keg = drawn_from(keg)
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
    dry = _gone(keg, NO_BEER_M3, event)
    return Change(replace(dry, air_share=0.0), (), (reading,))


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
    if keg.has_nitrogen:
        other = with_nitrogen(other, keg.nitrogen_pa(keg.temperature_k))
    head = co2.gas_mass(pressure, other.head_m3, keg.temperature_k)
    ledger = replace(keg.ledger, beer_corrected_m3=keg.ledger.beer_corrected_m3 + gained)
    return _corrected_gas(replace(other, head_co2_kg=head, ledger=ledger), keg)


def _gone(keg: KegState, beer_m3: float, event: KegWeighed | Kicked) -> KegState:
    """Another amount of beer; on gas what went without being written was pushed out by it.

    A weighing soon after filling corrects the filling: nobody drank the difference.
    """
    after, supply, filled = _corrected_beer(keg, beer_m3), keg.supply, keg.filled_at
    if filled is None or (event.at - filled).total_seconds() < KNOWN_AGAIN_S:
        return after
    if float(np.mean(keg.beer_m3)) - float(np.mean(beer_m3)) > LEAST_DRUNK_M3:
        after = drawn_from(after)
    if supply is None:
        return after
    pushed = after.head_co2_kg - keg.head_co2_kg
    if keg.has_nitrogen:
        carbon = co2.pressure_of_mass(keg.head_co2_kg, keg.head_m3, keg.temperature_k)
        nitrogen = keg.nitrogen_pa(keg.temperature_k)
        pushed = pushed * supply.co2_share * (1.0 + nitrogen / np.maximum(carbon, 1.0))
    booked = replace(
        after.ledger,
        gas_drawn_kg=counted(after.ledger.gas_drawn_kg + pushed),
        gas_corrected_kg=after.ledger.gas_corrected_kg - pushed,
    )
    return replace(after, ledger=booked)


def _corrected_head(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """The head at the pressure that was read."""
    vapour = water.vapour_pressure(keg.temperature_k)
    partial = assumed.ambient_pa + gauge_pa - vapour - keg.inert_pa(keg.temperature_k)
    head = co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, keg.temperature_k)
    return _corrected_gas(replace(keg, head_co2_kg=head), keg)
