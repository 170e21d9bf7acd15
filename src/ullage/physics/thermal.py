"""How a keg chills or warms: one lump of beer and steel in air of one temperature (Newton).

The beer counts as mixed. It is, nearly: its own convection is far better than the air's.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ullage.physics.constants import (
    BEER_SPECIFIC_HEAT,
    HEAT_LOSS,
    STAINLESS_EMISSIVITY,
    STAINLESS_SPECIFIC_HEAT,
    STEFAN_BOLTZMANN,
    STILL_AIR,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within

_LOWEST_K, _HIGHEST_K = 200.0, 400.0


def cylinder_area(diameter_m: Numbers, height_m: Numbers) -> Numbers:
    """Give the whole surface of a cylinder, side, top and bottom, in m2: π d h + π d² / 2.

    diameter_m, height_m: metres, numbers or arrays that broadcast. `OutOfRange` unless positive.

    >>> round(cylinder_area(0.2159, 0.635), 3)  # a 5 US gal keg, 8.5 in by 25 in
    0.504
    """
    positive("diameter", diameter_m, "m")
    positive("height", height_m, "m")
    return math.pi * diameter_m * (height_m + 0.5 * diameter_m)


def heat_loss_coefficient(
    surface_k: Numbers,
    ambient_k: Numbers,
    height_m: Numbers,
    *,
    emissivity: Numbers = STAINLESS_EMISSIVITY.value,
    still_air: Numbers = STILL_AIR.value,
) -> Numbers:
    """Give the heat that a standing keg loses in still air, per area and difference, in W/(m2 K).

    h = a (|ΔT| / H)^(1/4) + ε σ (Ts² + Ta²) (Ts + Ta): free convection on a vertical surface and
    radiation to surroundings at the temperature of the air.

    surface_k, ambient_k: kelvin; height_m: metres; emissivity: 0 to 1; still_air: the factor a.
    Numbers or arrays that broadcast. Range: laminar air at about 1 atm, H³ ΔT up to about 7 m3·K;
    a fan in the fridge gives more. `OutOfRange` outside 200 to 400 K.
    Source: W. H. McAdams, Heat Transmission, simplified equations for air; Stefan and Boltzmann.

    >>> round(float(heat_loss_coefficient(283.15, 276.15, 0.6)), 1)
    3.9
    """
    within("surface temperature", surface_k, _LOWEST_K, _HIGHEST_K, "K")
    within("ambient temperature", ambient_k, _LOWEST_K, _HIGHEST_K, "K")
    within("emissivity", emissivity, 0.0, 1.0, "")
    positive("height", height_m, "m")
    difference: Numbers = np.abs(surface_k - ambient_k)
    convection: Numbers = still_air * (difference / height_m) ** 0.25
    exchange = (surface_k**2 + ambient_k**2) * (surface_k + ambient_k)
    return convection + emissivity * STEFAN_BOLTZMANN.value * exchange


def time_constant(
    mass_kg: Numbers,
    shell_mass_kg: Numbers,
    area_m2: Numbers,
    *,
    specific_heat: Numbers = BEER_SPECIFIC_HEAT.value,
    shell_specific_heat: Numbers = STAINLESS_SPECIFIC_HEAT.value,
    coefficient: Numbers = HEAT_LOSS.value,
) -> Numbers:
    """Give the time in which the difference from the air falls to 1 / e, in s.

    τ = (m c + m_shell c_shell) / (h A).

    mass_kg: beer, 0 or more; shell_mass_kg: keg; area_m2: surface of the keg; specific heats in
    J/(kg K); coefficient: h, W/(m2 K). Numbers or arrays that broadcast. `OutOfRange` where one is
    negative, or area, coefficient or keg is nothing.
    A keg that is not full is taken as wetted over its whole surface, which chills it too fast.

    >>> round(time_constant(19.1, 4.5, 0.504) / 3600, 1)  # hours, 5 US gal keg
    10.4
    """
    not_negative("mass of beer", mass_kg, "kg")
    positive("mass of the keg", shell_mass_kg, "kg")
    positive("surface", area_m2, "m2")
    positive("specific heat of beer", specific_heat, "J/(kg K)")
    positive("specific heat of the keg", shell_specific_heat, "J/(kg K)")
    positive("heat loss coefficient", coefficient, "W/(m2 K)")
    return (mass_kg * specific_heat + shell_mass_kg * shell_specific_heat) / (coefficient * area_m2)


def temperature_after(
    start_k: Numbers, ambient_k: Numbers, seconds: Numbers, tau_s: Numbers
) -> Numbers:
    """Give the temperature after some time in air that stays as it is, in K.

    T = Ta + (T0 − Ta) exp(−t / τ) (Newton's law of cooling).

    start_k, ambient_k: kelvin; seconds: 0 or more; tau_s: seconds. Numbers or arrays that
    broadcast. `OutOfRange` for a negative time, a τ that is not positive, or outside 200 to 400 K.

    >>> round(float(temperature_after(293.0, 277.0, 36e3, 36e3)), 2)
    282.89
    """
    _check(start_k, ambient_k, tau_s)
    not_negative("time", seconds, "s")
    answer: Numbers = ambient_k + (start_k - ambient_k) * np.exp(-(seconds / tau_s))
    return answer


def time_to_reach(
    start_k: Numbers, ambient_k: Numbers, target_k: Numbers, tau_s: Numbers
) -> Numbers:
    """Give the time until a temperature is reached, in s: `temperature_after` turned round.

    t = τ ln((T0 − Ta) / (T − Ta)); infinite where the target does not lie on the way from the
    start to the air, the air's own temperature included; 0 where it is the start.

    start_k, ambient_k, target_k: kelvin; tau_s: seconds. Numbers or arrays that broadcast.
    `OutOfRange` for a τ that is not positive, or outside 200 to 400 K.

    >>> round(float(time_to_reach(293.0, 277.0, 279.0, 36e3)) / 3600, 1)
    20.8
    >>> float(time_to_reach(293.0, 277.0, 276.0, 36e3))
    inf
    """
    _check(start_k, ambient_k, tau_s)
    within("target temperature", target_k, _LOWEST_K, _HIGHEST_K, "K")
    start, ambient, target, tau = np.broadcast_arrays(start_k, ambient_k, target_k, tau_s)
    away, left = start - ambient, target - ambient
    on_the_way = (away * left > 0.0) & (np.abs(left) <= np.abs(away))
    ratio = np.where(on_the_way, away, 1.0) / np.where(on_the_way, left, 1.0)
    seconds = np.where(on_the_way, tau * np.log(ratio), np.inf)
    answer: Numbers = np.where(start == target, 0.0, seconds)[()]
    return answer


def mean_temperatures(
    start_k: float, ambient_k: float, edges_s: NDArray[np.float64], tau_s: float
) -> NDArray[np.float64]:
    """Give the mean temperature between each two of n + 1 increasing times, shape (n), in K.

    T̄ = Ta + (T0 − Ta) τ (exp(−t₁/τ) − exp(−t₂/τ)) / (t₂ − t₁): `temperature_after` integrated.

    >>> mean_temperatures(293.0, 277.0, np.array([0.0, 1.0]), 36e3).round(3).tolist()
    [293.0]
    """
    decay = np.exp(-edges_s / tau_s)
    gained = (start_k - ambient_k) * tau_s * (decay[:-1] - decay[1:])
    mean: NDArray[np.float64] = ambient_k + gained / np.diff(edges_s)
    return mean


def _check(start_k: Numbers, ambient_k: Numbers, tau_s: Numbers) -> None:
    within("starting temperature", start_k, _LOWEST_K, _HIGHEST_K, "K")
    within("ambient temperature", ambient_k, _LOWEST_K, _HIGHEST_K, "K")
    positive("time constant", tau_s, "s")
