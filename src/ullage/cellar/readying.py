"""Gas that makes an empty keg ready: sanitiser pushed out, air purged. It leaves before the beer.

A cylinder gives it, and no filling's account holds it.
"""

from __future__ import annotations

from typing import Final

from ullage.cellar.keg_events import Purged
from ullage.everyday_units import PSI
from ullage.physics import headspace
from ullage.system.parts import KegKind

PUSH_GAUGE_PA: Final = 10 * PSI
"""Sanitiser is pushed out with about so much; common practice, no source."""
PUSHED_AT_K: Final = 293.15


def pushing_kg(kind: KegKind, ambient_pa: float) -> float:
    """CO2 (kg) that pushes a keg empty of sanitiser; ambient: Pa."""
    pressed = ambient_pa + PUSH_GAUGE_PA
    return float(headspace.push_gas_mass(kind.capacity_m3, pressed, PUSHED_AT_K))


def purging_kg(event: Purged, kind: KegKind, ambient_pa: float) -> float:
    """CO2 (kg) that purges a keg without beer; ambient: Pa."""
    gauge, room = event.gauge_pressure_pa, kind.capacity_m3
    return float(headspace.purge_gas_mass(event.cycles, room, gauge, PUSHED_AT_K, ambient_pa))
