"""How many kegs a filling of a cylinder serves, and which size would be enough."""

from __future__ import annotations

from typing import Final

from ullage.errors import OutOfRange
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import GAS_HANDLING
from ullage.plan.blend_gas import push_kg
from ullage.plan.cases import residual_vol
from ullage.plan.gas import KegUse, all_uses
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.own import gauge_offset, learnt_of, share_on
from ullage.system.cylinder import Cylinder, full_kg
from ullage.system.model import Keg, System
from ullage.system.parts import CylinderSize, cylinder_size, cylinder_sizes, keg_kind

FILLINGS: Final = 2
"""A cylinder should do for so many fillings of every keg on it; common practice, no source."""


def kegs_a_filling(system: System, cylinder: Cylinder) -> float | None:
    """Kegs that a full cylinder serves from filling to empty; `None` where none holds a beer."""
    each = _gas_a_keg(system, cylinder)
    return None if not each else cylinder.full_kg / (sum(each) / len(each))


def enough_for(system: System, cylinder: Cylinder) -> str | None:
    """The size that does for `FILLINGS` of every keg on it: the present one where it does, else
    the next bigger with the same valve, or the biggest; `None` where nothing is known."""
    each = _gas_a_keg(system, cylinder)
    if not each:
        return None
    now, wanted, share = cylinder_size(cylinder.size), FILLINGS * sum(each), cylinder.co2
    if cylinder.full_kg >= wanted:
        return now.name
    bigger = sorted(
        (one for one in cylinder_sizes().values() if one.valve == now.valve and _bigger(one, now)),
        key=lambda one: one.rated_kg,
    )
    fits = (one.name for one in bigger if full_kg(one.name, share) >= wanted)
    return next(fits, (bigger or [now])[-1].name)


def _bigger(one: CylinderSize, now: CylinderSize) -> bool:
    return one.rated_kg > now.rated_kg


def _gas_a_keg(system: System, cylinder: Cylinder) -> list[float]:
    """What each keg on it takes from filling to empty (kg), losses included."""
    fed = {one.name for one in system.regulators if one.cylinder == cylinder.name}
    gas = _pushing if cylinder.is_blend else _gas
    found = (gas(system, keg) for keg in system.kegs if keg.regulator in fed)
    return [one for one in found if one is not None]


def _pushing(system: System, keg: Keg) -> float | None:
    """What a blend does for a keg: it pushes the beer out, and no more."""
    if keg.beer is None:
        return None
    try:
        kept = keeping_gauge(system, keg, system.beer(keg.beer)) + gauge_offset(system, keg.name)
        pushed = push_kg(
            keg_kind(keg.kind).usual_fill_m3,
            ambient_pressure(system.altitude) + kept,
            system.place(keg.place).temperature,
            share_on(system, keg.name),
        )
    except OutOfRange:
        return None
    return (1.0 + (learnt_of(system).known("handling") or GAS_HANDLING).value) * pushed


def _gas(system: System, keg: Keg) -> float | None:
    if keg.beer is None:
        return None
    beer, kind, ambient = (
        system.beer(keg.beer),
        keg_kind(keg.kind),
        ambient_pressure(system.altitude),
    )
    try:
        use = KegUse(
            keg=keg.name,
            beer_m3=kind.usual_fill_m3,
            head_m3=max(kind.capacity_m3 - kind.usual_fill_m3, 0.0),
            from_vol=residual_vol(beer, ambient),
            to_vol=beer.volumes,
            gauge_pa=keeping_gauge(system, keg, beer) + gauge_offset(system, keg.name),
            temperature_k=system.place(keg.place).temperature,
            sanitiser=True,
        )
        return (1.0 + (learnt_of(system).known("handling") or GAS_HANDLING).value) * sum(
            one.mass_kg for one in all_uses(use, ambient)
        )
    except OutOfRange:
        return None
