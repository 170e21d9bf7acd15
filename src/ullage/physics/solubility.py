"""How much carbon dioxide beer holds at a pressure and a temperature, and the inverse.

Henry's law for water (Carroll, Slupsky and Mather 1991) on the fugacity of the gas, times a factor
for beer. The factor of the trade's standard beer is fitted to its chart by
`scripts/fit_beer_factor.py`; other beers shift it (`ullage.physics.beer`).
"""

from __future__ import annotations

from typing import overload

import numpy as np

from ullage.physics import co2, water
from ullage.physics.constants import CO2_MOLAR_MASS, CO2_VOLUME_DENSITY, GAS_CONSTANT
from ullage.physics.fitted import BEER_FACTOR
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, within

WATER_MOLAR_MASS = 0.01801528
SOUND_TEMPERATURE_K = (273.15, 303.15)
SOUND_GAUGE_PA = (0.0, 4.0e5)
HARD_TEMPERATURE_K = (268.15, 323.15)
HARD_PRESSURE_PA = 1.1e6


def henry_constant(temperature_k: Numbers) -> Numbers:
    """Henry's constant of CO2 in water, Pa for each unit of mole fraction.

    ln(H/MPa) = −6.8346 + 1.2817e4/T − 3.7668e6/T² + 2.997e8/T³.

    temperature_k: kelvin, a number or an array.
    Range: 273 to 433 K, below 1 MPa; no error outside it, which `equilibrium_volumes` raises.
    Source: Carroll, Slupsky and Mather 1991, J. Phys. Chem. Ref. Data 20:1201.

    >>> round(float(henry_constant(298.15)) / 1e6)  # MPa
    162
    """
    t = temperature_k
    henry: Numbers = 1e6 * np.exp(-6.8346 + 1.2817e4 / t - 3.7668e6 / t**2 + 2.997e8 / t**3)
    return henry


def mole_fraction(partial_pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Mole fraction of CO2 in water under a partial pressure of the gas (Pa): φ p / H.

    Numbers or arrays that broadcast; kelvin. Range and source: as `henry_constant`, φ by `co2`.
    """
    fugacity = co2.fugacity_coefficient(partial_pressure_pa, temperature_k) * partial_pressure_pa
    return fugacity / henry_constant(temperature_k)


def water_volumes(partial_pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Volumes of CO2 that water holds under a partial pressure of CO2 (Pa).

    Numbers or arrays that broadcast; kelvin. Range and source: as `henry_constant`.
    """
    x = mole_fraction(partial_pressure_pa, temperature_k)
    return x / (1.0 - x) * volumes_per_ratio(temperature_k)


@overload
def equilibrium_volumes(pressure_pa: float, temperature_k: float, factor: float = ...) -> float: ...
@overload
def equilibrium_volumes(
    pressure_pa: Numbers, temperature_k: Numbers, factor: Numbers = ...
) -> Numbers: ...
def equilibrium_volumes(
    pressure_pa: Numbers, temperature_k: Numbers, factor: Numbers = BEER_FACTOR.value
) -> Numbers:
    """Volumes of CO2 that beer holds in the end under pure CO2.

    `pressure_pa` is absolute and includes the vapour of the beer itself; `factor` is the beer's
    solubility over water's. Sound from 0 to 30 °C and 0 to 4 bar gauge (see `remarks`); raises
    `OutOfRange` outside −5 to 50 °C or above 11 bar. Scalars or arrays that broadcast.
    Source: Henry's law as at the head of this module.

    >>> round(float(equilibrium_volumes(101_325.0 + 10 * 6894.757, 276.483)), 1)
    2.4
    """
    _refuse_impossible(pressure_pa, temperature_k)
    partial: Numbers = np.maximum(pressure_pa - water.vapour_pressure(temperature_k), 0.0)
    return factor * water_volumes(partial, temperature_k)


@overload
def equilibrium_pressure(volumes: float, temperature_k: float, factor: float = ...) -> float: ...
@overload
def equilibrium_pressure(
    volumes: Numbers, temperature_k: Numbers, factor: Numbers = ...
) -> Numbers: ...
def equilibrium_pressure(
    volumes: Numbers, temperature_k: Numbers, factor: Numbers = BEER_FACTOR.value
) -> Numbers:
    """Absolute pressure (Pa) at which beer holds `volumes` in the end; inverse of the above.

    Scalars or arrays that broadcast. Raises `OutOfRange` for negative volumes or where the
    pressure would exceed 11 bar. Source: as `equilibrium_volumes`.
    """
    not_negative("carbonation", volumes, "volumes")
    _refuse_impossible(0.0, temperature_k)
    ratio = volumes / factor / volumes_per_ratio(temperature_k)
    fugacity = ratio / (1.0 + ratio) * henry_constant(temperature_k)
    per_pascal = co2.second_virial(temperature_k) / (GAS_CONSTANT.value * temperature_k)
    partial = np.minimum(fugacity, 2.0 * HARD_PRESSURE_PA)
    for _ in range(14):  # contracts by at least ten in each turn below 11 bar
        partial = fugacity * np.exp(-per_pascal * partial)
    pressure: Numbers = partial + water.vapour_pressure(temperature_k)
    _refuse_impossible(pressure, temperature_k)
    return pressure


def remarks(gauge_pressure_pa: float, temperature_k: float) -> tuple[str, ...]:
    """Plain words where an answer lies outside the range that the model is sound for.

    gauge_pressure_pa: Pa over ambient; temperature_k: kelvin; single numbers. No errors.
    """
    found = []
    if not SOUND_TEMPERATURE_K[0] <= temperature_k <= SOUND_TEMPERATURE_K[1]:
        found.append("The solubility model is checked from 0 to 30 °C only; this lies outside.")
    if not SOUND_GAUGE_PA[0] <= gauge_pressure_pa <= SOUND_GAUGE_PA[1]:
        found.append("The solubility model is checked from 0 to 4 bar gauge only (58 psi).")
    return tuple(found)


def volumes_per_ratio(temperature_k: Numbers) -> Numbers:
    """Volumes for each unit of moles CO2 per mole water.

    temperature_k: kelvin, a number or an array. Range and errors: those of `water.density`.
    Source: definition of a volume of CO2.
    """
    litres = water.density(temperature_k) / WATER_MOLAR_MASS
    return litres * (CO2_MOLAR_MASS.value / CO2_VOLUME_DENSITY.value)


def _refuse_impossible(pressure_pa: Numbers, temperature_k: Numbers) -> None:
    within("temperature of the beer", temperature_k, *HARD_TEMPERATURE_K, "K")
    within("absolute pressure on the beer", pressure_pa, 0.0, HARD_PRESSURE_PA, "Pa")
