"""Carbon dioxide as a gas at keg pressures: a virial equation with one coefficient.

The equation is p = R T (ρ + B ρ²), with ρ the molar density and B the second virial coefficient.
Both directions, pressure from mass and mass from pressure, are closed forms, so they undo each
other and run on whole arrays of samples. Cylinder pressures are beyond it: see `cylinder`.

Against the reference equation of state of Span and Wagner, densities agree within 0.08 % up to
0.6 MPa and 0.2 % up to 1 MPa from 273 to 330 K, and 0.7 % anywhere in the range allowed here.
"""

from __future__ import annotations

from typing import overload

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.constants import (
    CO2_ACENTRIC_FACTOR,
    CO2_CRITICAL_PRESSURE,
    CO2_CRITICAL_TEMPERATURE,
    CO2_MOLAR_MASS,
    GAS_CONSTANT,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within

LOWEST_K = 250.0
HIGHEST_K = 350.0
HIGHEST_PA = 1.5e6

_R = GAS_CONSTANT.value
_M = CO2_MOLAR_MASS.value

_SIMPLE = ((0.1445, 0), (-0.330, 1), (-0.1385, 2), (-0.0121, 3), (-0.000607, 8))
_ACENTRIC = ((0.0637, 0), (0.331, 2), (-0.423, 3), (-0.008, 8))


@overload
def second_virial(temperature_k: float) -> float: ...
@overload
def second_virial(temperature_k: Numbers) -> Numbers: ...
def second_virial(temperature_k: Numbers) -> Numbers:
    """Give the second virial coefficient B of CO2, in m3/mol (negative: the molecules attract).

    B = (R Tc / pc) (f₀ + ω f₁), both f short series in Tc / T.

    temperature_k: kelvin, one number or an array; the answer has the same shape.
    Range: 250 to 350 K; `OutOfRange` outside it. Within 1 % of Span and Wagner over that range.
    Source: C. Tsonopoulos, AIChE J. 20 (1974) 263, for non-polar gases; coefficients from memory,
    held by tests against an independent equation of state.

    >>> f"{second_virial(273.15):.4e}"
    '-1.5136e-04'
    """
    within("temperature of the gas", temperature_k, LOWEST_K, HIGHEST_K, "K")
    inverse = CO2_CRITICAL_TEMPERATURE.value / temperature_k
    simple = sum(a * inverse**n for a, n in _SIMPLE)
    acentric = sum(a * inverse**n for a, n in _ACENTRIC)
    scale = _R * CO2_CRITICAL_TEMPERATURE.value / CO2_CRITICAL_PRESSURE.value
    answer: Numbers = scale * (simple + CO2_ACENTRIC_FACTOR.value * acentric)
    return answer


@overload
def fugacity_coefficient(pressure_pa: float, temperature_k: float) -> float: ...
@overload
def fugacity_coefficient(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers: ...
def fugacity_coefficient(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Give fugacity over pressure of pure CO2 gas, without unit: what drives it into the beer.

    φ = exp(B p / (R T)).

    pressure_pa: Pa absolute; temperature_k: kelvin; numbers or arrays that broadcast.
    Range: 0 to 1.5 MPa and 250 to 350 K; `OutOfRange` outside it. Within 0.05 % of Span and Wagner
    up to 0.6 MPa from 273 K, 0.15 % up to 1 MPa.
    Source: the virial equation cut after B, any text on physical chemistry.

    >>> f"{fugacity_coefficient(101325.0, 273.15):.4f}"
    '0.9933'
    """
    within("pressure of the gas", pressure_pa, 0.0, HIGHEST_PA, "Pa")
    answer: Numbers = np.exp(second_virial(temperature_k) * pressure_pa / (_R * temperature_k))
    return answer


@overload
def compressibility(pressure_pa: float, temperature_k: float) -> float: ...
@overload
def compressibility(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers: ...
def compressibility(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Give Z = p / (ρ R T) of CO2 gas, without unit: 1 for an ideal gas.

    Z = (1 + √(1 + 4 B p / (R T))) / 2, the root of p = R T (ρ + B ρ²) that tends to 1.

    pressure_pa: Pa absolute; temperature_k: kelvin; numbers or arrays that broadcast.
    Range: 0 to 1.5 MPa and 250 to 350 K; `OutOfRange` outside it.
    Source: the virial equation in density cut after B, any text on physical chemistry.

    >>> f"{compressibility(300e3, 277.0):.4f}"
    '0.9805'
    """
    within("pressure of the gas", pressure_pa, 0.0, HIGHEST_PA, "Pa")
    term = second_virial(temperature_k) * pressure_pa / (_R * temperature_k)
    answer: Numbers = 0.5 * (1.0 + np.sqrt(1.0 + 4.0 * term))
    return answer


@overload
def gas_density(pressure_pa: float, temperature_k: float) -> float: ...
@overload
def gas_density(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers: ...
def gas_density(pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Give the density of CO2 gas, in kg/m3.

    ρ = p M / (Z R T).

    pressure_pa: Pa absolute; temperature_k: kelvin; numbers or arrays that broadcast.
    Range: 0 to 1.5 MPa and 250 to 350 K; `OutOfRange` outside it.
    Source: as `compressibility`.

    >>> f"{gas_density(101325.0, 273.15):.3f}"
    '1.977'
    """
    z = compressibility(pressure_pa, temperature_k)
    return pressure_pa * _M / (z * _R * temperature_k)


@overload
def gas_mass(pressure_pa: float, volume_m3: float, temperature_k: float) -> float: ...
@overload
def gas_mass(pressure_pa: Numbers, volume_m3: Numbers, temperature_k: Numbers) -> Numbers: ...
def gas_mass(pressure_pa: Numbers, volume_m3: Numbers, temperature_k: Numbers) -> Numbers:
    """Give the mass of CO2 gas that fills a space, in kg.

    m = ρ(p, T) V.

    pressure_pa: Pa absolute; volume_m3: m3, zero allowed; temperature_k: kelvin; numbers or arrays
    that broadcast.
    Range: 0 to 1.5 MPa and 250 to 350 K; `OutOfRange` outside it or for a negative volume.
    Source: as `compressibility`.

    >>> f"{gas_mass(2e5, 0.010, 277.0):.4f}"
    '0.0387'
    """
    not_negative("volume of the gas", volume_m3, "m3")
    return gas_density(pressure_pa, temperature_k) * volume_m3


@overload
def pressure_of_mass(mass_kg: float, volume_m3: float, temperature_k: float) -> float: ...
@overload
def pressure_of_mass(mass_kg: Numbers, volume_m3: Numbers, temperature_k: Numbers) -> Numbers: ...
def pressure_of_mass(mass_kg: Numbers, volume_m3: Numbers, temperature_k: Numbers) -> Numbers:
    """Give the pressure of a mass of CO2 gas in a space, in Pa absolute; undoes `gas_mass`.

    p = R T (ρ + B ρ²), with ρ = m / (M V).

    mass_kg: kg; volume_m3: m3; temperature_k: kelvin; numbers or arrays that broadcast.
    Range: 250 to 350 K and up to 1.5 MPa; `OutOfRange` outside it, for a negative mass, and for a
    volume that is not greater than zero.
    Source: as `compressibility`.

    >>> f"{pressure_of_mass(gas_mass(2e5, 0.010, 277.0), 0.010, 277.0):.0f}"
    '200000'
    """
    not_negative("mass of the gas", mass_kg, "kg")
    positive("volume of the gas", volume_m3, "m3")
    virial = second_virial(temperature_k)
    density = mass_kg / (_M * volume_m3)
    pressure = _R * temperature_k * density * (1.0 + virial * density)
    too_dense = (pressure > HIGHEST_PA * (1.0 + 1e-9)) | (-2.0 * virial * density > 1.0)
    if np.any(too_dense):
        raise OutOfRange(
            f"{np.max(density) * _M:.3g} kg/m3 of CO2 gas: more than the {HIGHEST_PA / 1e6:g} MPa "
            "that this equation reaches; a smaller mass, or the cylinder's own state"
        )
    return pressure
