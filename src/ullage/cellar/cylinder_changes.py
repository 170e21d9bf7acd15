"""What an event tells of a cylinder's contents. Replay brings the kegs to its moment before.

Nothing is refused here: what cannot be taken as told comes back as a warning in words.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ullage.cellar import amounts
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
from ullage.physics.constants import CO2_CRITICAL_TEMPERATURE
from ullage.physics.cylinder import (
    is_liquid_gone,
    mass_from_pressure,
    quick_liquid_gone_mass,
    water_capacity,
)
from ullage.system import parts
from ullage.system.cylinder import full_kg

CLEARLY_LESS: Final = 0.75
"""A gauge may be a tenth off (`CLEARLY_BELOW`), and gas a tenth below the liquid's pressure is 0.76
of that beside the liquid, by Span and Wagner 1996 at 70 °F."""


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
    if isinstance(event, CylinderSwapped):
        new = replace(new, co2_share=_share(event, old))
    return CylinderChange(new, residual=residual)


def held_at_least(
    event: OfCylinder, old: CylinderState | None, assumed: Assumed
) -> CylinderChange | None:
    """The cylinder after a gauge that stands at the liquid's pressure, where less was taken left.

    Liquid means at least the mass of gas that fills the cylinder beside it. `None` where the event
    tells nothing of the kind, or what was taken left is not clearly less.
    """
    if not isinstance(event, CylinderRead) or old is None or old.co2_share < 1.0:
        return None
    warm = event.temperature_k
    if warm >= CO2_CRITICAL_TEMPERATURE.value or tells_contents(event, old, assumed):
        return None
    least = quick_liquid_gone_mass(water_capacity(parts.cylinder_size(old.size).rated_kg), warm)
    held = float(np.mean(old.contents_kg))
    if held >= CLEARLY_LESS * least:
        return None
    shown, thought = amounts.gauge(event.gauge_pressure_pa), amounts.mass(max(held, 0.0))
    text = (
        f"{shown} means liquid in {part('cylinder', old.name)}: it holds {amounts.mass(least)} or "
        f"more, where {thought} were taken to be left. It was refilled, or what was read before "
        f"was wrong. {amounts.mass(least)} is taken now; weigh it, and record a refill as a swap."
    )
    new = replace(old, known_kg=least, known_at=event.at, drawn_kg=0.0, lost_kg=0.0)
    return CylinderChange(new, (text,))


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
    if isinstance(event, CylinderSwapped):
        full = full_kg(old.size, _share(event, old))
        return full if event.contents_kg is None else event.contents_kg, False
    return full_kg(old.size, old.co2_share), False


def _share(event: CylinderSwapped, old: CylinderState) -> float:
    """The CO2 in what it came back with: as told, else what was in it before."""
    return old.co2_share if event.co2_share is None else event.co2_share
