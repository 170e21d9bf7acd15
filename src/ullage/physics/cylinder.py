"""The CO2 cylinder: what its gauge and its weight tell, and when heat makes it dangerous.

A closed cylinder is a fixed volume with a fixed mass in it. As long as liquid is left, the gauge
shows the vapour pressure at the cylinder's temperature and nothing about how much is left.

The fluid's state comes from CoolProp (equation of state of Span and Wagner 1996), which is loaded
at the first call because loading it is slow. These functions take single numbers, not arrays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias, overload

from ullage.errors import OutOfRange
from ullage.physics.constants import (
    CO2_CRITICAL_DENSITY,
    CO2_CRITICAL_PRESSURE,
    CO2_CRITICAL_TEMPERATURE,
    CYLINDER_FILLING_RATIO,
    STANDARD_ATMOSPHERE,
    WATER_CAPACITY_DENSITY,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within

LOWEST_K = 216.7
HIGHEST_K = 373.15
HIGHEST_DENSITY = 1_000.0

CLEARLY_BELOW = 0.10
"""A gauge so far below the vapour pressure tells that the liquid is gone, as a share of it.

Such gauges err by 2 % of a scale of 2,000 psi, 5 % of what they show at room temperature, and the
vapour pressure changes by 2 % with each degree that the cylinder was really colder; both from
memory.
"""
_DENSITY_TERMS = (
    (-1.7074879, 0.34),
    (-0.82274670, 0.5),
    (-4.6008549, 1.0),
    (-10.111178, 7.0 / 3.0),
    (-29.742252, 14.0 / 3.0),
)
_VAPOUR_TERMS = ((-7.0602087, 1.0), (1.9391218, 1.5), (-1.6463597, 2.0), (-3.2995634, 4.0))

Phase: TypeAlias = Literal["liquid and gas", "gas only", "above critical", "liquid full"]
"""What is in the cylinder. "above critical": too warm and too dense to be liquid or gas."""


@dataclass(frozen=True, slots=True)
class CylinderState:
    """What a closed cylinder holds. `liquid_fraction` is a share of the volume, 0 to 1.

    `gauge_pressure_pa` is 0 where the absolute pressure is below ambient, as a gauge shows it.
    """

    mass_kg: float
    volume_m3: float
    temperature_k: float
    pressure_pa: float
    gauge_pressure_pa: float
    phase: Phase
    liquid_fraction: float
    liquid_kg: float


@overload
def water_capacity(rated_kg: float, filling_ratio: float = ...) -> float: ...
@overload
def water_capacity(rated_kg: Numbers, filling_ratio: Numbers = ...) -> Numbers: ...
def water_capacity(
    rated_kg: Numbers, filling_ratio: Numbers = CYLINDER_FILLING_RATIO.value
) -> Numbers:
    """Give the inner volume of a cylinder from the mass of CO2 it is rated for, in m3.

    V = m / (filling ratio · density of water at 60 °F): the rated fill weighs 68 % of the water
    that the cylinder would hold.

    rated_kg: rated mass of CO2, kg; numbers or arrays that broadcast.
    Range: any mass above zero; `OutOfRange` otherwise. A water capacity stamped on the cylinder is
    better than this one.
    Source: 49 CFR 173.304a (maximum filling density of carbon dioxide, 68 %).

    >>> f"{1e3 * water_capacity(4.5359):.2f}"
    '6.68'
    """
    positive("rated mass of the cylinder", rated_kg, "kg")
    within("filling ratio", filling_ratio, 0.1, 1.0, "")
    return rated_kg / (filling_ratio * WATER_CAPACITY_DENSITY.value)


def saturation_pressure(temperature_k: float) -> float:
    """Give the vapour pressure of liquid CO2, in Pa absolute: the gauge while liquid is left.

    temperature_k: kelvin, one number.
    Range: 216.7 K (triple point) to 304.1282 K (critical point); `OutOfRange` outside it.
    Source: Span and Wagner 1996, through CoolProp.

    >>> f"{saturation_pressure(293.15) / 1e5:.2f}"
    '57.29'
    """
    return _saturated("P", temperature_k, 1)


def cylinder_state(
    mass_kg: float,
    volume_m3: float,
    temperature_k: float,
    ambient_pa: float = STANDARD_ATMOSPHERE.value,
) -> CylinderState:
    """Give pressure, phase and share of liquid in a closed cylinder.

    mass_kg: CO2 in it, kg, zero allowed; volume_m3: inner volume, m3; temperature_k: kelvin;
    ambient_pa: what the gauge takes as zero, Pa absolute; single numbers.
    Range: 216.7 to 373.15 K and up to 1,000 kg/m3 (the legal fill is 680); `OutOfRange` outside it.
    Source: Span and Wagner 1996, through CoolProp.

    >>> state = cylinder_state(2.0, 0.00668, 293.15)
    >>> state.phase, f"{state.gauge_pressure_pa / 6894.757:.0f}", f"{state.liquid_fraction:.2f}"
    ('liquid and gas', '816', '0.18')
    """
    density = _density(mass_kg, volume_m3)
    within("temperature of the cylinder", temperature_k, LOWEST_K, HIGHEST_K, "K")
    positive("ambient pressure", ambient_pa, "Pa")
    pressure = _property("P", "T", temperature_k, "Dmass", density) if density > 0.0 else 0.0
    phase, fraction, liquid_density = _phase(density, temperature_k, pressure)
    return CylinderState(
        mass_kg=mass_kg,
        volume_m3=volume_m3,
        temperature_k=temperature_k,
        pressure_pa=pressure,
        gauge_pressure_pa=max(pressure - ambient_pa, 0.0),
        phase=phase,
        liquid_fraction=fraction,
        liquid_kg=fraction * liquid_density * volume_m3,
    )


def liquid_gone_mass(volume_m3: float, temperature_k: float) -> float:
    """Give the mass at which the last liquid is gone, in kg; below it the gauge falls.

    m = V ρ_gas(saturated, T).

    volume_m3: inner volume, m3; temperature_k: kelvin; single numbers.
    Range: 216.7 to 304.1282 K, above which there is no liquid; `OutOfRange` outside it.
    Source: Span and Wagner 1996, through CoolProp.

    >>> f"{liquid_gone_mass(0.00668, 278.15):.2f}"
    '0.77'
    """
    positive("volume of the cylinder", volume_m3, "m3")
    return volume_m3 * _saturated("Dmass", temperature_k, 1)


def liquid_full_temperature(mass_kg: float, volume_m3: float) -> float | None:
    """Give the temperature at which the liquid fills the whole cylinder, in K.

    Above it the pressure climbs by about 3 bar with every degree at the legal fill, and faster the
    fuller it is. `None` where no warming does that: the mean density is not above the critical
    density, so the liquid dries up instead.

    mass_kg: CO2 in it, kg; volume_m3: inner volume, m3; single numbers.
    Range: up to 1,000 kg/m3; `OutOfRange` above it.
    Source: Span and Wagner 1996, through CoolProp.

    >>> f"{liquid_full_temperature(4.5359, water_capacity(4.5359)) - 273.15:.1f}"
    '26.8'
    """
    density = _density(mass_kg, volume_m3)
    if density <= CO2_CRITICAL_DENSITY.value:
        return None
    return _property("T", "Dmass", density, "Q", 0.0)


def mass_from_pressure(
    gauge_pressure_pa: float,
    volume_m3: float,
    temperature_k: float,
    ambient_pa: float = STANDARD_ATMOSPHERE.value,
) -> float:
    """Give the mass left in a cylinder from its gauge, in kg; only once the liquid is gone.

    m = V ρ(p, T).

    gauge_pressure_pa: Pa over ambient; volume_m3: inner volume, m3; temperature_k: of the
    cylinder, kelvin; ambient_pa: Pa absolute; single numbers.
    Range: 216.7 to 373.15 K, below the vapour pressure of the liquid (above 304.1282 K, below the
    critical pressure). `OutOfRange` outside it: there weight tells what is left, not the gauge.
    Source: Span and Wagner 1996, through CoolProp.

    >>> f"{mass_from_pressure(30e5, 0.00668, 293.15):.2f}"
    '0.46'
    """
    not_negative("gauge pressure of the cylinder", gauge_pressure_pa, "Pa")
    positive("volume of the cylinder", volume_m3, "m3")
    within("temperature of the cylinder", temperature_k, LOWEST_K, HIGHEST_K, "K")
    positive("ambient pressure", ambient_pa, "Pa")
    pressure = gauge_pressure_pa + ambient_pa
    limit = _gas_limit(temperature_k)
    if pressure >= limit:
        raise OutOfRange(
            f"{pressure / 1e5:.1f} bar absolute at {temperature_k:.1f} K: at {limit / 1e5:.1f} bar "
            "and above, liquid may be left and the gauge says nothing about how much; weigh the "
            "cylinder instead"
        )
    return volume_m3 * _property("Dmass", "P|gas", pressure, "T", temperature_k)


def quick_vapour_pressure(temperature_k: float) -> float:
    """Give the vapour pressure of liquid CO2, in Pa absolute, without loading the fluid's state.

    ln(p/p_c) = T_c/T Σ a_i (1 − T/T_c)^t_i, the short equation beside the equation of state.

    temperature_k: kelvin, one number.
    Range: 216.7 K (triple point) to 304.1282 K (critical point); `OutOfRange` outside it. Within
    0.05 % of `saturation_pressure`.
    Source: Span and Wagner 1996, eq. 3.13.

    >>> f"{quick_vapour_pressure(293.15) / 1e5:.2f}"
    '57.29'
    """
    critical = CO2_CRITICAL_TEMPERATURE.value
    within("temperature of the liquid in the cylinder", temperature_k, LOWEST_K, critical, "K")
    below = 1.0 - temperature_k / critical
    terms = sum(factor * below**power for factor, power in _VAPOUR_TERMS)
    return CO2_CRITICAL_PRESSURE.value * math.exp(critical / temperature_k * terms)


def quick_liquid_gone_mass(volume_m3: float, temperature_k: float) -> float:
    """Give the mass at which the last liquid is gone, in kg, without loading the fluid's state.

    m = V ρ_gas;  ln(ρ_gas/ρ_c) = Σ a_i (1 − T/T_c)^t_i, the short equation beside the equation of
    state.

    volume_m3: inner volume, m3; temperature_k: kelvin; single numbers.
    Range: 216.7 to 304.1282 K, above which there is no liquid; `OutOfRange` outside it. Within
    0.1 % of `liquid_gone_mass`.
    Source: Span and Wagner 1996, eq. 3.15.

    >>> f"{quick_liquid_gone_mass(0.00668, 278.15):.2f}"
    '0.77'
    """
    critical = CO2_CRITICAL_TEMPERATURE.value
    within("temperature of the liquid in the cylinder", temperature_k, LOWEST_K, critical, "K")
    positive("volume of the cylinder", volume_m3, "m3")
    below = 1.0 - temperature_k / critical
    terms = sum(factor * below**power for factor, power in _DENSITY_TERMS)
    return volume_m3 * CO2_CRITICAL_DENSITY.value * math.exp(terms)


def is_liquid_gone(
    gauge_pressure_pa: float,
    temperature_k: float,
    ambient_pa: float = STANDARD_ATMOSPHERE.value,
) -> bool:
    """Tell whether a gauge stands so low that no liquid can be left; quick, for it is asked often.

    True where the absolute pressure is more than `CLEARLY_BELOW` under the vapour pressure, or
    under the critical pressure where it is warmer than 31 °C.

    gauge_pressure_pa: Pa over ambient; temperature_k: of the cylinder, kelvin; ambient_pa: Pa
    absolute; single numbers.
    Range: 216.7 to 373.15 K; `OutOfRange` outside it.
    Source: Span and Wagner 1996, eq. 3.13; the margin from memory.

    >>> is_liquid_gone(20.7e5, 293.15), is_liquid_gone(55.0e5, 293.15)
    (True, False)
    """
    not_negative("gauge pressure of the cylinder", gauge_pressure_pa, "Pa")
    within("temperature of the cylinder", temperature_k, LOWEST_K, HIGHEST_K, "K")
    warm = temperature_k >= CO2_CRITICAL_TEMPERATURE.value
    limit = CO2_CRITICAL_PRESSURE.value if warm else quick_vapour_pressure(temperature_k)
    return gauge_pressure_pa + ambient_pa < (1.0 - CLEARLY_BELOW) * limit


def _density(mass_kg: float, volume_m3: float) -> float:
    not_negative("mass in the cylinder", mass_kg, "kg")
    positive("volume of the cylinder", volume_m3, "m3")
    density = mass_kg / volume_m3
    within("CO2 in the cylinder over its volume", density, 0.0, HIGHEST_DENSITY, "kg/m3")
    return density


def _phase(density: float, temperature_k: float, pressure_pa: float) -> tuple[Phase, float, float]:
    """Phase, share of the volume that is liquid, and the density of that liquid."""
    if temperature_k >= CO2_CRITICAL_TEMPERATURE.value:
        dense = pressure_pa > CO2_CRITICAL_PRESSURE.value
        return ("above critical" if dense else "gas only"), 0.0, 0.0
    gas = _saturated("Dmass", temperature_k, 1)
    liquid = _saturated("Dmass", temperature_k, 0)
    if density <= gas:
        return "gas only", 0.0, liquid
    if density >= liquid:
        return "liquid full", 1.0, density
    return "liquid and gas", (density - gas) / (liquid - gas), liquid


def _gas_limit(temperature_k: float) -> float:
    """The pressure below which CO2 at this temperature is gas and nothing else, Pa."""
    if temperature_k >= CO2_CRITICAL_TEMPERATURE.value:
        return CO2_CRITICAL_PRESSURE.value
    return saturation_pressure(temperature_k)


def _saturated(output: str, temperature_k: float, quality: int) -> float:
    critical = CO2_CRITICAL_TEMPERATURE.value
    within("temperature of the liquid in the cylinder", temperature_k, LOWEST_K, critical, "K")
    return _property(output, "T", temperature_k, "Q", float(quality))


def _property(output: str, name1: str, value1: float, name2: str, value2: float) -> float:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415 - slow to load, and few calls need it

    return float(PropsSI(output, name1, value1, name2, value2, "CO2"))
