"""The gas over the beer: purging it, pushing with it, venting it, charging and shutting it.

The head is pure CO2 (after purging) and follows the gas equation of `co2`. Pressures are absolute
unless the name says gauge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.co2 import HIGHEST_PA, gas_mass, second_virial
from ullage.physics.constants import (
    CO2_MOLAR_MASS,
    CO2_VOLUME_DENSITY,
    GAS_CONSTANT,
    OXYGEN_IN_AIR,
    STANDARD_ATMOSPHERE,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within


@dataclass(frozen=True, slots=True)
class ShutHead:
    """A shut keg at rest: pressure of the head, level of the beer, and where the CO2 is."""

    pressure_pa: Numbers
    level_vol: Numbers
    head_kg: Numbers
    beer_kg: Numbers


@overload
def oxygen_after_purges(
    cycles: float, gauge_pressure_pa: float, ambient_pa: float = ..., start_fraction: float = ...
) -> float: ...
@overload
def oxygen_after_purges(
    cycles: Numbers,
    gauge_pressure_pa: Numbers,
    ambient_pa: Numbers = ...,
    start_fraction: Numbers = ...,
) -> Numbers: ...
def oxygen_after_purges(
    cycles: Numbers,
    gauge_pressure_pa: Numbers,
    ambient_pa: Numbers = STANDARD_ATMOSPHERE.value,
    start_fraction: Numbers = OXYGEN_IN_AIR.value,
) -> Numbers:
    """Give the mole fraction of oxygen left in a head after charging and venting it some times.

    x = x₀ (p_ambient / (p_ambient + p_gauge))ⁿ.

    cycles: how many times it was charged and vented to ambient; gauge_pressure_pa: Pa over ambient;
    ambient_pa: Pa absolute; start_fraction: mole fraction before; numbers or arrays that broadcast.
    Range: zero cycles or more, gauge pressure not negative; `OutOfRange` otherwise. The gas is
    taken as ideal and fully mixed at each charge, and the CO2 as free of oxygen.
    Source: dilution by perfect mixing.

    >>> f"{1e6 * oxygen_after_purges(5, 206_843.0):.0f} ppm"
    '805 ppm'
    """
    not_negative("number of purge cycles", cycles, "")
    within("oxygen before purging", start_fraction, 0.0, 1.0, "mole fraction")
    answer: Numbers = start_fraction * _dilution(gauge_pressure_pa, ambient_pa) ** cycles
    return answer


def cycles_to_reach(
    fraction: float,
    gauge_pressure_pa: float,
    ambient_pa: float = STANDARD_ATMOSPHERE.value,
    start_fraction: float = OXYGEN_IN_AIR.value,
) -> int:
    """Give the least whole number of purge cycles that leaves no more oxygen than wanted.

    n = ⌈ln(x₀ / x) / ln((p_ambient + p_gauge) / p_ambient)⌉.

    fraction: mole fraction of oxygen wanted; the rest as `oxygen_after_purges`; single numbers.
    Range: fraction above zero, gauge pressure above zero; `OutOfRange` otherwise.
    Source: as `oxygen_after_purges`.

    >>> cycles_to_reach(1e-3, 206_843.0)
    5
    """
    positive("oxygen wanted", fraction, "mole fraction")
    positive("gauge pressure of the purge", gauge_pressure_pa, "Pa")
    if fraction >= start_fraction:
        return 0
    ratio = float(_dilution(gauge_pressure_pa, ambient_pa))
    exact = math.log(fraction / start_fraction) / math.log(ratio)
    return math.ceil(exact - 1e-9)


def purge_gas_mass(
    cycles: Numbers,
    head_m3: Numbers,
    gauge_pressure_pa: Numbers,
    temperature_k: Numbers,
    ambient_pa: Numbers = STANDARD_ATMOSPHERE.value,
) -> Numbers:
    """Give the mass of CO2 that purge cycles take from the cylinder, in kg.

    m = n V (ρ(p_ambient + p_gauge) − ρ(p_ambient)).

    cycles: number of charges; head_m3: gas space, m3; gauge_pressure_pa: Pa over ambient;
    temperature_k: kelvin; ambient_pa: Pa absolute; numbers or arrays that broadcast.
    Range: as `co2.gas_mass`; `OutOfRange` outside it. The air still in the head is taken as CO2,
    which is within 2 % for the first cycle and exact for the later ones.
    Source: balance of mass.

    >>> f"{1e3 * purge_gas_mass(5, 0.0190, 206_843.0, 293.15):.0f} g"
    '363 g'
    """
    not_negative("number of purge cycles", cycles, "")
    charged = ambient_pa + gauge_pressure_pa
    return cycles * top_up_mass(head_m3, ambient_pa, charged, temperature_k)


@overload
def push_gas_mass(liquid_m3: float, pressure_pa: float, temperature_k: float) -> float: ...
@overload
def push_gas_mass(liquid_m3: Numbers, pressure_pa: Numbers, temperature_k: Numbers) -> Numbers: ...
def push_gas_mass(liquid_m3: Numbers, pressure_pa: Numbers, temperature_k: Numbers) -> Numbers:
    """Give the mass of CO2 that takes the place of liquid pushed out of a keg, in kg.

    m = ρ(p, T) V. The same for beer poured and for a keg brim full of sanitiser that is pushed out
    to purge it, where V is the whole keg.

    liquid_m3: volume pushed out, m3; pressure_pa: of the head, Pa absolute; temperature_k: kelvin;
    numbers or arrays that broadcast.
    Range: as `co2.gas_mass`; `OutOfRange` outside it.
    Source: balance of mass.

    >>> f"{1e3 * push_gas_mass(0.0190, 184_000.0, 277.0):.0f} g"
    '68 g'
    """
    return gas_mass(pressure_pa, liquid_m3, temperature_k)


@overload
def top_up_mass(head_m3: float, from_pa: float, to_pa: float, temperature_k: float) -> float: ...
@overload
def top_up_mass(
    head_m3: Numbers, from_pa: Numbers, to_pa: Numbers, temperature_k: Numbers
) -> Numbers: ...
def top_up_mass(
    head_m3: Numbers, from_pa: Numbers, to_pa: Numbers, temperature_k: Numbers
) -> Numbers:
    """Give the mass of CO2 that a charge adds to the head, in kg, before the beer takes any.

    m = V (ρ(p_to) − ρ(p_from)).

    head_m3: gas space, m3; from_pa, to_pa: Pa absolute before and after; temperature_k: kelvin;
    numbers or arrays that broadcast.
    Range: as `co2.gas_mass`, and pressure not falling; `OutOfRange` outside it.
    Source: balance of mass.

    >>> f"{1e3 * top_up_mass(0.0010, 101_325.0, 184_000.0, 277.0):.2f} g"
    '1.61 g'
    """
    if np.any(np.asarray(to_pa) < from_pa):
        raise OutOfRange("a charge raises the pressure: the pressure after it must not be lower")
    return gas_mass(to_pa, head_m3, temperature_k) - gas_mass(from_pa, head_m3, temperature_k)


@overload
def vented_mass(head_m3: float, from_pa: float, to_pa: float, temperature_k: float) -> float: ...
@overload
def vented_mass(
    head_m3: Numbers, from_pa: Numbers, to_pa: Numbers, temperature_k: Numbers
) -> Numbers: ...
def vented_mass(
    head_m3: Numbers, from_pa: Numbers, to_pa: Numbers, temperature_k: Numbers
) -> Numbers:
    """Give the mass of CO2 that leaves the head when it is vented, in kg.

    m = V (ρ(p_from) − ρ(p_to)). It counts the head only: the beer gives up next to nothing in the
    seconds of a vent unless it foams.

    head_m3: gas space, m3; from_pa, to_pa: Pa absolute before and after; temperature_k: kelvin;
    numbers or arrays that broadcast.
    Range: as `co2.gas_mass`, and pressure not rising; `OutOfRange` outside it.
    Source: balance of mass.

    >>> f"{1e3 * vented_mass(0.0010, 184_000.0, 101_325.0, 277.0):.2f} g"
    '1.61 g'
    """
    if np.any(np.asarray(to_pa) > from_pa):
        raise OutOfRange("a vent lowers the pressure: the pressure after it must not be higher")
    return gas_mass(from_pa, head_m3, temperature_k) - gas_mass(to_pa, head_m3, temperature_k)


@overload
def gas_to_carbonate(beer_m3: float, from_vol: float, to_vol: float) -> float: ...
@overload
def gas_to_carbonate(beer_m3: Numbers, from_vol: Numbers, to_vol: Numbers) -> Numbers: ...
def gas_to_carbonate(beer_m3: Numbers, from_vol: Numbers, to_vol: Numbers) -> Numbers:
    """Give the mass of CO2 that beer takes up between two levels, in kg; negative if it gives up.

    m = V (to − from) · 1.9768 kg/m3.

    beer_m3: m3; from_vol, to_vol: volumes of CO2; numbers or arrays that broadcast.
    Range: nothing negative; `OutOfRange` otherwise. What the head and the purges need is not in it.
    Source: definition of a volume of CO2.

    >>> f"{1e3 * gas_to_carbonate(0.0189, 0.86, 2.50):.0f} g"
    '61 g'
    """
    not_negative("volume of the beer", beer_m3, "m3")
    not_negative("carbonation before", from_vol, "volumes")
    not_negative("carbonation after", to_vol, "volumes")
    return beer_m3 * (to_vol - from_vol) * CO2_VOLUME_DENSITY.value


def shut_equilibrium(
    beer_m3: Numbers,
    head_m3: Numbers,
    total_kg: Numbers,
    temperature_k: Numbers,
    slope_vol_per_pa: Numbers,
    offset_vol: Numbers = 0.0,
) -> ShutHead:
    """Give where the CO2 of a shut keg comes to rest between beer and head.

    level = offset + slope · p in the beer, p = R T (n + B n²) in the head, and the sum of both
    masses is the total: a quadratic in the molar density n of the gas, solved in closed form.

    beer_m3, head_m3: m3, not both zero; total_kg: all CO2 in the keg, kg; temperature_k: kelvin;
    slope_vol_per_pa, offset_vol: the line that stands for the solubility near the answer (its
    tangent; with no offset, the chord from zero); numbers or arrays that broadcast.
    Range: 250 to 350 K and up to 1.5 MPa; `OutOfRange` outside it, for anything negative, and where
    the total is less than the offset puts into the beer. The vapour of the beer is not counted.
    Source: balance of mass with the gas equation of `co2`.

    >>> rest = shut_equilibrium(0.018, 0.001, 0.080, 277.0, 1.35e-5)
    >>> f"{rest.level_vol:.2f} volumes at {rest.pressure_pa / 1e5:.2f} bar"
    '2.16 volumes at 1.60 bar'
    """
    _check_shut(beer_m3, head_m3, total_kg, slope_vol_per_pa)
    beer_per_vol = beer_m3 * CO2_VOLUME_DENSITY.value
    free = total_kg - beer_per_vol * offset_vol
    not_negative("CO2 in the keg beyond the offset of the solubility line", free, "kg")
    virial, rt = second_virial(temperature_k), GAS_CONSTANT.value * temperature_k
    in_beer = beer_per_vol * slope_vol_per_pa * rt
    in_both = in_beer + head_m3 * CO2_MOLAR_MASS.value
    root = in_both**2 + 4.0 * in_beer * virial * free
    density = 2.0 * free / (in_both + np.sqrt(np.maximum(root, 0.0)))
    pressure = rt * density * (1.0 + virial * density)
    if np.any((root < 0.0) | (pressure > HIGHEST_PA) | (-2.0 * virial * density > 1.0)):
        raise OutOfRange(
            f"{np.max(total_kg):g} kg of CO2 in this keg would come to more than "
            f"{HIGHEST_PA / 1e6:g} MPa: check the mass and the two volumes"
        )
    level = offset_vol + slope_vol_per_pa * pressure
    head_kg = head_m3 * CO2_MOLAR_MASS.value * density
    return ShutHead(pressure, level, head_kg, beer_per_vol * level)


def rest_after_charge(
    beer_m3: Numbers,
    head_m3: Numbers,
    level_vol: Numbers,
    charge_pa: Numbers,
    temperature_k: Numbers,
    slope_vol_per_pa: Numbers,
) -> ShutHead:
    """Give where a keg comes to rest when its head is charged once and the gas is shut off.

    The head at the charge pressure and the beer at its level are put together and shared anew by
    `shut_equilibrium`.

    beer_m3, head_m3: m3; level_vol: volumes in the beer at the charge; charge_pa: Pa absolute;
    temperature_k: kelvin; slope_vol_per_pa: chord of the solubility; numbers or arrays.
    Range: as `shut_equilibrium` and `co2.gas_mass`; `OutOfRange` outside it.
    Source: balance of mass.

    >>> f"{rest_after_charge(0.018, 0.001, 1.0, 300_000.0, 277.0, 1.35e-5).level_vol:.2f}"
    '1.12'
    """
    charge = gas_mass(charge_pa, head_m3, temperature_k)
    total = charge + gas_to_carbonate(beer_m3, 0.0, level_vol)
    return shut_equilibrium(beer_m3, head_m3, total, temperature_k, slope_vol_per_pa)


def _dilution(gauge_pressure_pa: Numbers, ambient_pa: Numbers) -> Numbers:
    not_negative("gauge pressure of the purge", gauge_pressure_pa, "Pa")
    positive("ambient pressure", ambient_pa, "Pa")
    return ambient_pa / (ambient_pa + gauge_pressure_pa)


def _check_shut(
    beer_m3: Numbers, head_m3: Numbers, total_kg: Numbers, slope_vol_per_pa: Numbers
) -> None:
    not_negative("volume of the beer", beer_m3, "m3")
    not_negative("volume of the head", head_m3, "m3")
    positive("volume of beer and head together", beer_m3 + head_m3, "m3")
    not_negative("CO2 in the keg", total_kg, "kg")
    positive("slope of the solubility", slope_vol_per_pa, "volumes/Pa")
