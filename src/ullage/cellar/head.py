"""The gas over the beer brought to a pressure: let in by a regulator, let off by a valve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ullage.cellar.state import Assumed, KegState, counted
from ullage.physics import co2, water
from ullage.physics.numbers import Numbers


def co2_at(keg: KegState, gauge_pa: float, temperature_k: Numbers, assumed: Assumed) -> Numbers:
    """CO2 (kg) in the head when it stands at a gauge pressure, its air and vapour left out."""
    vapour = water.vapour_pressure(temperature_k)
    partial = assumed.ambient_pa + gauge_pa - keg.air_pa(temperature_k) - vapour
    return co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, temperature_k)


def draw_to(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """Gas let in until the head stands at a gauge pressure; what stands higher stays there."""
    wanted = co2_at(keg, gauge_pa, keg.temperature_k, assumed)
    head = np.maximum(keg.head_co2_kg, wanted)
    drawn = counted(keg.ledger.gas_drawn_kg + head - keg.head_co2_kg)
    return replace(keg, head_co2_kg=head, ledger=replace(keg.ledger, gas_drawn_kg=drawn))


def let_off(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """Head let down to a gauge pressure; CO2 and air leave in proportion, nothing comes in."""
    vapour = water.vapour_pressure(keg.temperature_k)
    dry = np.maximum(keg.head_pa() - vapour, 1.0)
    wanted = np.clip(assumed.ambient_pa + gauge_pa - vapour, 0.0, dry)
    air_pa = keg.air_pa(keg.temperature_k) * wanted / dry
    head = co2.gas_mass(wanted - air_pa, keg.head_m3, keg.temperature_k)
    head = np.minimum(head, keg.head_co2_kg)
    vented = keg.ledger.gas_vented_kg + keg.head_co2_kg - head
    ledger = replace(keg.ledger, gas_vented_kg=vented)
    return replace(keg, head_co2_kg=head, air_mol=keg.air_mol * wanted / dry, ledger=ledger)


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
