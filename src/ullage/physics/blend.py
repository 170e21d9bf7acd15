"""Blends of CO2 and nitrogen over beer: the pressure, the blend, and where a shut keg settles.

Beer takes up each gas by that gas's own partial pressure (Dalton, Henry). The vapour of the beer
takes its part first, as everywhere here: p(CO2) = y (P − vapour), y being the share of CO2.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ullage.physics import solubility, water
from ullage.physics.constants import (
    CO2_MOLAR_MASS,
    CO2_VOLUME_DENSITY,
    GAS_CONSTANT,
    ICE_POINT,
    NITROGEN_MOLAR_MASS,
    STANDARD_ATMOSPHERE,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import positive, within

CARBON_MOL_M3 = CO2_VOLUME_DENSITY.value / CO2_MOLAR_MASS.value
"""Moles in a cubic metre of beer for each volume of CO2."""
NITROGEN_MOL_M3 = STANDARD_ATMOSPHERE.value / (GAS_CONSTANT.value * ICE_POINT.value)
"""The same of nitrogen, whose volumes are those of an ideal gas at 0 °C and 1 atm."""


def pure_equivalent(pressure_pa: Numbers, share: Numbers, temperature_k: Numbers) -> Numbers:
    """The absolute pressure of pure CO2 that carbonates as a blend does: y (P − w) + w, w vapour.

    `share`: CO2 in the blend, 0 to 1. Pa and K; broadcasts. Raises `OutOfRange`.
    """
    _share(share)
    vapour = water.vapour_pressure(temperature_k)
    return share * np.maximum(pressure_pa - vapour, 0.0) + vapour


def blend_pressure(pure_pa: Numbers, share: Numbers, temperature_k: Numbers) -> Numbers:
    """The absolute pressure of a blend that carbonates as pure CO2 does; inverse of the above.

    Without the vapour this is the trade's rule, CO2 share = (gauge of straight CO2 + air) over
    (gauge of the blend + air); the vapour moves it by 0.1 psi at most in a cold keg.

    >>> from ullage.everyday_units import PSI
    >>> f"{blend_pressure(26.7 * PSI, 0.70, 276.48) / PSI - 14.7:.1f} psi"
    '23.4 psi'
    """
    _share(share)
    vapour = water.vapour_pressure(temperature_k)
    return (pure_pa - vapour) / share + vapour


def share_for(pure_pa: float, pressure_pa: float, temperature_k: float) -> float:
    """The share of CO2 with which a blend at `pressure_pa` carbonates as pure CO2 at `pure_pa`.

    Absolute Pa. Above 1 where not even pure CO2 at that pressure would do.
    """
    vapour = float(water.vapour_pressure(temperature_k))
    positive("pressure above the beer's vapour", pressure_pa - vapour, "Pa")
    return max(pure_pa - vapour, 0.0) / (pressure_pa - vapour)


def nitrogen_volumes(partial_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Nitrogen that water holds, in volumes (L at 0 °C and 1 atm in a litre) under N2 (Pa).

    ln x = −67.38765 + 86.32129/τ + 24.79808 ln τ at 1 atm, τ = T/100 K (R. Battino, IUPAC
    Solubility Data Series 10, 1982; as in the CRC Handbook, from memory), 273–348 K. What
    alcohol and extract change is left out: a few %.

    >>> f"{1e3 * nitrogen_volumes(101_325.0, 298.15):.1f} mL in a litre"
    '14.7 mL in a litre'
    """
    within("temperature", temperature_k, 273.0, 348.0, "K")
    t = np.asarray(temperature_k) / 100.0
    x = np.exp(-67.38765 + 86.32129 / t + 24.79808 * np.log(t))
    moles = x * water.density(temperature_k) / solubility.WATER_MOLAR_MASS
    result: Numbers = moles / NITROGEN_MOL_M3 * (partial_pa / STANDARD_ATMOSPHERE.value)
    return result


@dataclass(frozen=True, slots=True)
class Blended:
    """A keg on a blend: m³ of beer and of head, K, what the beer holds, solubility over water's.

    `pressure_pa` absolute, kept by a regulator that lets gas in and none back; `share` of CO2.
    """

    beer_m3: float
    head_m3: float
    temperature_k: float
    level_vol: float
    factor: float
    pressure_pa: float
    share: float


@dataclass(frozen=True, slots=True)
class Settled:
    """Where it settles: volumes of CO2, of nitrogen, the head's CO2 share, absolute Pa."""

    level_vol: float
    nitrogen_vol: float
    head_share: float
    pressure_pa: float


def settled(keg: Blended) -> Settled:
    """Where a keg ends that nobody draws from, its head filled with the blend to begin with.

    Both gases are counted: what the beer takes up of one comes out of the head, and the regulator
    lets in more of the blend, never of one gas alone. So a full keg keeps nearly what it held:
    the nitrogen that comes along with any CO2 fills its small head. Ideal gases.
    """
    positive("volume of the head", keg.head_m3, "m3")
    _share(keg.share)
    vapour = float(water.vapour_pressure(keg.temperature_k))
    dry = keg.pressure_pa - vapour
    positive("pressure above the beer's vapour", dry, "Pa")
    molar = keg.head_m3 / (GAS_CONSTANT.value * keg.temperature_k)
    takes = float(nitrogen_held(keg.beer_m3, keg.head_m3, keg.temperature_k))
    carbon = _root(keg, molar, takes, dry, vapour)
    nitrogen = dry - carbon
    if takes * nitrogen < (1.0 - keg.share) * molar * dry * (1.0 - 1e-12):
        nitrogen = (1.0 - keg.share) * molar * dry / takes
        carbon = _given_off(keg, molar, dry, vapour)
    return Settled(
        level_vol=_level(carbon, keg, vapour),
        nitrogen_vol=float(nitrogen_volumes(nitrogen, keg.temperature_k)),
        head_share=carbon / (carbon + nitrogen),
        pressure_pa=carbon + nitrogen + vapour,
    )


def nitrogen_held(beer_m3: Numbers, head_m3: Numbers, temperature_k: Numbers) -> Numbers:
    """Moles of nitrogen that head and beer hold together for each Pa of it, in balance.

    Ideal in the head, by Henry's law in the beer, as in `settled`.
    """
    head = head_m3 / (GAS_CONSTANT.value * temperature_k)
    return head + beer_m3 * NITROGEN_MOL_M3 * nitrogen_volumes(1.0, temperature_k)


def kg_per_co2(share: float) -> float:
    """Kilograms of the blend that bring one kilogram of CO2; `share`: CO2 in moles.

    >>> f"{kg_per_co2(0.25):.2f}"
    '2.91'
    """
    _share(share)
    return 1.0 + (1.0 - share) / share * NITROGEN_MOLAR_MASS.value / CO2_MOLAR_MASS.value


def kg_per_straight(share: Numbers) -> Numbers:
    """Kilograms of the blend in the room of one kilogram of CO2, at the same pressure; ideal.

    >>> f"{kg_per_straight(0.25):.2f}"
    '0.73'
    """
    _share(share)
    return share + (1.0 - share) * NITROGEN_MOLAR_MASS.value / CO2_MOLAR_MASS.value


def _root(keg: Blended, molar: float, takes: float, dry: float, vapour: float) -> float:
    """Partial pressure of CO2 (Pa) in balance under the regulator.

    All nitrogen there, `takes` (dry − p), came with y/(1 − y) of it in CO2.
    """
    if keg.share == 1.0:
        return dry
    along = keg.share / (1.0 - keg.share)
    begun = keg.beer_m3 * CARBON_MOL_M3 * keg.level_vol

    def over(carbon: float) -> float:
        held = keg.beer_m3 * CARBON_MOL_M3 * _level(carbon, keg, vapour)
        return molar * carbon + held - begun - along * takes * (dry - carbon)

    return dry if over(dry) <= 0.0 else _nothing_at(over, dry)


def _given_off(keg: Blended, molar: float, dry: float, vapour: float) -> float:
    """Partial pressure of CO2 (Pa) in balance where no more gas comes in: the head rises."""
    there = keg.share * molar * dry + keg.beer_m3 * CARBON_MOL_M3 * keg.level_vol

    def over(carbon: float) -> float:
        return molar * carbon + keg.beer_m3 * CARBON_MOL_M3 * _level(carbon, keg, vapour) - there

    top = min(there / molar, solubility.HARD_PRESSURE_PA - vapour)
    return _nothing_at(over, top)


def _level(carbon_pa: float, keg: Blended, vapour: float) -> float:
    return float(solubility.equilibrium_volumes(carbon_pa + vapour, keg.temperature_k, keg.factor))


def _share(share: Numbers) -> None:
    within("share of CO2", share, 0.01, 1.0, "")


def restrictor_loss(holes: int, hole_m: float, bore_m: float, discharge: float = 0.7) -> float:
    """Loss coefficient of a restrictor plate on the velocity in a bore: (A/(Cd n a))² − 1.

    `holes` of `hole_m` across in a bore of `bore_m`; `discharge`: of a small thin-plate orifice,
    0.6 to 0.8 in any handbook.
    """
    positive("bore", bore_m, "m")
    positive("hole", hole_m, "m")
    area = holes * hole_m**2 / bore_m**2
    return max(1.0 / (discharge * area) ** 2 - 1.0, 0.0) if holes > 0 else math.inf


def _nothing_at(over: Callable[[float], float], top: float) -> float:
    """Where it is nothing between 0 and `top`."""
    from scipy.optimize import brentq  # noqa: PLC0415 - slow to load, and replay needs none of it

    return float(brentq(over, 0.0, top, rtol=1e-12))
