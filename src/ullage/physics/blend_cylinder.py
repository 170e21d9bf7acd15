"""A cylinder of blended gas: all of it is gas, so its gauge tells what it holds.

The gas is far from ideal at such pressures: by the equation of state of Peng and Robinson (1976)
with the usual mixing rule, within 3 % of the reference equations for what blends are filled to.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from ullage.physics.constants import CO2_MOLAR_MASS, GAS_CONSTANT, NITROGEN_MOLAR_MASS
from ullage.physics.ranges import not_negative, positive, within

FULL_PA: Final = 140e5
"""What a cylinder of blended gas is filled to at `FULL_K`; common practice, no source."""
FULL_K: Final = 293.15
HIGHEST_FULL_PA: Final = 200e5
"""The highest that any is filled to at `FULL_K`, where cylinders are made for it; common practice,
no source."""
MOST_PA: Final = 3e7
MOST_KG_M3: Final = 680.0
"""No cylinder is filled more densely than with CO2 alone; 49 CFR 173.304a."""
_CO2: Final = (304.128, 7.3773e6, 0.2239)
_NITROGEN: Final = (126.192, 3.3958e6, 0.0372)
"""Critical temperature (K) and pressure (Pa), acentric factor; CRC Handbook, from memory."""
_TOGETHER: Final = -0.017
"""Interaction of the two in the mixing rule; from memory."""


def density(pressure_pa: float, temperature_k: float, share: float) -> float:
    """Give the density of a blend, kg/m³; `share`: CO2 in moles, single numbers.

    pressure_pa: absolute, up to 300 bar; 250 to 330 K. `OutOfRange` outside it.

    >>> f"{density(140e5, 293.15, 0.25):.0f}"
    '207'
    """
    not_negative("pressure of the blend", pressure_pa, "Pa")
    within("pressure of the blend", pressure_pa, 0.0, MOST_PA, "Pa")
    within("temperature of the blend", temperature_k, 250.0, 330.0, "K")
    within("share of CO2", share, 0.01, 1.0, "")
    if pressure_pa == 0.0:
        return 0.0
    gas = GAS_CONSTANT.value * temperature_k
    (a_co2, b_co2), (a_n2, b_n2) = _terms(temperature_k, *_CO2), _terms(temperature_k, *_NITROGEN)
    mixed = 2.0 * share * (1.0 - share) * (1.0 - _TOGETHER) * math.sqrt(a_co2 * a_n2)
    a = (share**2 * a_co2 + mixed + (1.0 - share) ** 2 * a_n2) * pressure_pa / gas**2
    b = (share * b_co2 + (1.0 - share) * b_n2) * pressure_pa / gas
    roots = np.roots([1.0, b - 1.0, a - 3.0 * b**2 - 2.0 * b, b**3 + b**2 - a * b])
    z = max(float(root.real) for root in roots if abs(root.imag) < 1e-9)
    molar = share * CO2_MOLAR_MASS.value + (1.0 - share) * NITROGEN_MOLAR_MASS.value
    return pressure_pa * molar / (z * gas)


def full_mass(volume_m3: float, share: float, full_pa: float = FULL_PA) -> float:
    """Give what a full cylinder of a blend holds, kg: 140 bar at 20 °C, no denser than CO2 alone.

    full_pa: what it is filled to, absolute Pa, where that is another pressure.

    >>> f"{full_mass(0.00334, 0.25):.2f}"
    '0.69'
    """
    positive("volume of the cylinder", volume_m3, "m3")
    return volume_m3 * min(density(full_pa, FULL_K, share), MOST_KG_M3)


def gauge_for(
    mass_kg: float, volume_m3: float, temperature_k: float, share: float, ambient_pa: float
) -> float:
    """Give what the gauge of a cylinder with so much of a blend shows, Pa; 0 once it is empty.

    Undoes `density`. Raises `OutOfRange` where it would stand above 300 bar.

    >>> f"{gauge_for(0.69, 0.00334, 293.15, 0.25, 101_325.0) / 1e5:.0f} bar"
    '139 bar'
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - slow to load, and replay needs none of it

    positive("volume of the cylinder", volume_m3, "m3")
    not_negative("gas in the cylinder", mass_kg, "kg")
    wanted = mass_kg / volume_m3
    most = density(MOST_PA, temperature_k, share)
    within("density of the gas in the cylinder", wanted, 0.0, most, "kg/m3")
    if wanted <= density(ambient_pa, temperature_k, share):
        return 0.0

    def over(pressure_pa: float) -> float:
        return density(pressure_pa, temperature_k, share) - wanted

    return float(brentq(over, ambient_pa, MOST_PA, rtol=1e-12)) - ambient_pa


def _terms(
    temperature_k: float, critical_k: float, critical_pa: float, acentric: float
) -> tuple[float, float]:
    """Attraction a (Pa m⁶/mol²) and volume b (m³/mol) of one gas."""
    gas = GAS_CONSTANT.value * critical_k
    bend = 0.37464 + 1.54226 * acentric - 0.26992 * acentric**2
    grown = 1.0 + bend * (1.0 - math.sqrt(temperature_k / critical_k))
    return 0.45724 * gas**2 / critical_pa * grown**2, 0.07780 * gas / critical_pa
