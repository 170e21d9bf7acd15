"""The gas over the beer brought to a pressure: let in by a regulator, let off by a valve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ullage.cellar.state import Assumed, KegState, counted
from ullage.physics import blend, co2, water
from ullage.physics.constants import CO2_MOLAR_MASS, GAS_CONSTANT
from ullage.physics.numbers import Numbers

TURNS = 8
"""Of a search in which each leaves a hundredth of what was off, as CO2 is nearly an ideal gas."""


def co2_at(keg: KegState, gauge_pa: float, temperature_k: Numbers, assumed: Assumed) -> Numbers:
    """CO2 (kg) in the head when it stands at a gauge pressure, its air and vapour left out."""
    vapour = water.vapour_pressure(temperature_k)
    partial = assumed.ambient_pa + gauge_pa - keg.inert_pa(temperature_k) - vapour
    return co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, temperature_k)


def draw_to(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """Gas let in until the head stands at a gauge pressure; what stands higher stays there."""
    if keg.supply is not None and keg.supply.co2_share < 1.0:
        return _blend_drawn(keg, keg.supply.co2_share, gauge_pa, assumed)
    wanted = co2_at(keg, gauge_pa, keg.temperature_k, assumed)
    head = np.maximum(keg.head_co2_kg, wanted)
    drawn = counted(keg.ledger.gas_drawn_kg + head - keg.head_co2_kg)
    return replace(keg, head_co2_kg=head, ledger=replace(keg.ledger, gas_drawn_kg=drawn))


def _blend_drawn(keg: KegState, share: float, gauge_pa: float, assumed: Assumed) -> KegState:
    """The same with a blend: of all that comes in `share` is CO2, the rest nitrogen.

    The keg's CO2 may be below zero here, where beer took more than the head had.
    """
    warm_k = keg.temperature_k
    molar = keg.head_m3 / (GAS_CONSTANT.value * warm_k)
    takes = blend.nitrogen_held(keg.beer_m3, keg.head_m3, warm_k)
    full = assumed.ambient_pa + gauge_pa - water.vapour_pressure(warm_k) - keg.air_pa(warm_k)
    per_mol = share / molar + (1.0 - share) / takes
    head, let_in = keg.head_co2_kg, np.multiply(0.0, keg.head_co2_kg)
    for _ in range(TURNS):
        now = co2.pressure_of_mass(np.maximum(head, 0.0), keg.head_m3, warm_k)
        now = now + np.minimum(head, 0.0) / (CO2_MOLAR_MASS.value * molar)
        nitrogen = (keg.nitrogen_mol + (1.0 - share) * let_in) / takes
        let_in = np.maximum(let_in + (full - now - nitrogen) / per_mol, 0.0)
        head = keg.head_co2_kg + share * CO2_MOLAR_MASS.value * let_in
    drawn = counted(keg.ledger.gas_drawn_kg + head - keg.head_co2_kg)
    return replace(
        keg,
        head_co2_kg=head,
        nitrogen_mol=keg.nitrogen_mol + (1.0 - share) * let_in,
        ledger=replace(keg.ledger, gas_drawn_kg=drawn),
    )


def let_off(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """Head let down to a gauge pressure; its gases leave in proportion, nothing comes in.

    A blend's nitrogen leaves the beer with the head's.
    """
    vapour = water.vapour_pressure(keg.temperature_k)
    dry = np.maximum(keg.head_pa() - vapour, 1.0)
    wanted = np.clip(assumed.ambient_pa + gauge_pa - vapour, 0.0, dry)
    inert_pa = keg.inert_pa(keg.temperature_k) * wanted / dry
    head = co2.gas_mass(wanted - inert_pa, keg.head_m3, keg.temperature_k)
    head = np.minimum(head, keg.head_co2_kg)
    vented = keg.ledger.gas_vented_kg + keg.head_co2_kg - head
    ledger = replace(keg.ledger, gas_vented_kg=vented)
    kept = wanted / dry
    return replace(
        keg,
        head_co2_kg=head,
        air_mol=keg.air_mol * wanted / dry,
        nitrogen_mol=keg.nitrogen_mol * kept if keg.has_nitrogen else 0.0,
        ledger=ledger,
    )


def valve_pa(keg: KegState) -> float:
    """Gauge pressure above which gas leaves: that of a spunding valve, or of the relief valve.

    A relief valve is taken to open at what the keg is marked for.
    """
    rating = keg.kind.max_gauge_pa
    return rating if keg.spunding_pa is None else min(keg.spunding_pa, rating)


def relieved(keg: KegState, assumed: Assumed) -> KegState:
    """The head with nothing above what its valve lets stand."""
    valve = valve_pa(keg)
    above = np.greater(keg.head_pa(), assumed.ambient_pa + valve)
    return let_off(keg, valve, assumed) if np.any(above) else keg


def settled(keg: KegState, assumed: Assumed) -> KegState:
    """The head as what hangs on the keg makes it: let in by a regulator, let off by a valve."""
    filled = keg if keg.supply is None else draw_to(keg, keg.supply.true_pa, assumed)
    return relieved(filled, assumed)
