"""What an event tells of a cylinder's contents. Replay brings the kegs to its moment before.

Nothing is refused here: what cannot be taken as told comes back as a warning in words.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ullage.cellar.happening import OfCylinder
from ullage.cellar.naming import part
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
)
from ullage.cellar.state import Assumed, CylinderState, Residual
from ullage.errors import UnknownName
from ullage.physics import blend_cylinder
from ullage.physics.cylinder import is_liquid_gone, mass_from_pressure, water_capacity
from ullage.system import parts


@dataclass(frozen=True, slots=True)
class CylinderChange:
    """The cylinder after an event; `None`: as it was before. With warnings and a reading."""

    cylinder: CylinderState | None = None
    warnings: tuple[str, ...] = ()
    residual: Residual | None = None


def tells_contents(event: OfCylinder, old: CylinderState | None, assumed: Assumed) -> bool:
    """Whether an event tells what a cylinder holds; a gauge does once the liquid is gone.

    Blended gas has no liquid. `old`: the cylinder as it was, `None` if unknown.
    """
    if isinstance(event, CylinderRead):
        if old is not None and old.co2_share < 1.0:
            return True
        return is_liquid_gone(event.gauge_pressure_pa, event.temperature_k, assumed.ambient_pa)
    return isinstance(event, CylinderConnected | CylinderSwapped | CylinderWeighed)


def told_anew(event: OfCylinder, old: CylinderState | None, assumed: Assumed) -> CylinderChange:
    """What a cylinder holds after an event that tells it; `old`: as it was, `None` if unknown."""
    if isinstance(event, CylinderConnected):
        return _connected(event)
    if old is None:
        named = part("cylinder", event.cylinder)
        return CylinderChange(warnings=(f"There is no {named} connected yet.",))
    known, read = _contents(event, old, assumed)
    residual = None
    if read:
        replayed = float(np.mean(old.known_kg - old.drawn_kg))
        residual = Residual(event.at, event.cylinder, "contents_kg", known, replayed)
    new = replace(old, known_kg=known, known_at=event.at, drawn_kg=0.0, lost_kg=0.0)
    return CylinderChange(new, residual=residual)


def _connected(event: CylinderConnected) -> CylinderChange:
    try:
        full = full_kg(event.size, event.co2_share)
    except UnknownName as wrong:
        return CylinderChange(warnings=(str(wrong),))
    held = full if event.contents_kg is None else event.contents_kg
    new = CylinderState(
        event.cylinder,
        event.size,
        held,
        event.at,
        connected_at=event.at,
        co2_share=event.co2_share,
    )
    return CylinderChange(new)


def full_kg(size: str, co2_share: float = 1.0) -> float:
    """What a full cylinder of a size holds: its rated CO2, or a blend at its usual pressure.

    Raises `UnknownName`.
    """
    rated = parts.cylinder_size(size).rated_kg
    return rated if co2_share >= 1.0 else blend_cylinder.full_mass(water_capacity(rated), co2_share)


def _contents(event: OfCylinder, old: CylinderState, assumed: Assumed) -> tuple[float, bool]:
    """The gas in it, kg, and whether a scale or a gauge said so."""
    rated = parts.cylinder_size(old.size).rated_kg
    if isinstance(event, CylinderWeighed):
        shown_too_much = assumed.own.scale_kg.get(event.cylinder, 0.0)
        return max(event.contents_kg - shown_too_much, 0.0), True
    if isinstance(event, CylinderRead):
        volume, warm = water_capacity(rated), event.temperature_k
        ambient = assumed.ambient_pa
        if old.co2_share < 1.0:
            pressure = event.gauge_pressure_pa + ambient
            return volume * blend_cylinder.density(pressure, warm, old.co2_share), True
        return mass_from_pressure(event.gauge_pressure_pa, volume, warm, ambient), True
    told = event.contents_kg if isinstance(event, CylinderSwapped) else None
    return full_kg(old.size, old.co2_share) if told is None else told, False
