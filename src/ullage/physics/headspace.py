"""The gas over the beer: purging it, pushing with it and charging it.

The head is pure CO2 (after purging) and follows the gas equation of `co2`. Pressures are absolute
unless the name says gauge.
"""

from __future__ import annotations

from typing import overload

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.co2 import gas_mass
from ullage.physics.constants import (
    CO2_VOLUME_DENSITY,
    OXYGEN_IN_AIR,
    STANDARD_ATMOSPHERE,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within


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


def _dilution(gauge_pressure_pa: Numbers, ambient_pa: Numbers) -> Numbers:
    not_negative("gauge pressure of the purge", gauge_pressure_pa, "Pa")
    positive("ambient pressure", ambient_pa, "Pa")
    return ambient_pa / (ambient_pa + gauge_pressure_pa)
