"""How fast beer takes up carbon dioxide from its headspace, in closed form.

Gas that dissolves at the surface makes the beer there heavier; it sinks and fresh beer takes its
place. Over a horizontal surface such convection carries k = C D (g Δρ/(ρ ν D))^(1/3), and Δρ is
proportional to the gap Δ = c* − c between what the beer could hold and what it holds. So

    dc/dt = r Δ^(4/3)

with r in 1/s for each cube root of a volume. While the conditions stay constant,
Δ^(−1/3) grows linearly in time, which needs no stepping (for a keg with its gas off see
`ullage.physics.shut_keg`). Shaking and a stone keep the form and
multiply r. Beer that holds too much loses it by diffusion only: the depleted layer floats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.physics.constants import (
    CO2_DIFFUSION_ENERGY,
    CO2_DIFFUSION_REFERENCE,
    CONVECTION,
    GAS_CONSTANT,
    GRAVITY,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative


def diffusivity(temperature_k: Numbers, viscosity_ratio: Numbers = 1.0) -> Numbers:
    """Diffusivity of CO2 in a drink, m²/s: water's by Arrhenius over the drink's viscosity ratio.

    temperature_k: kelvin; viscosity_ratio: the drink's viscosity over water's at that temperature;
    numbers or arrays that broadcast.
    Range: 0 to 30 °C, within 3 %; no error outside it.
    Source: Jähne 1987 for water; Stokes and Einstein's scaling holds in such drinks (Bonhommeau
    2015).

    >>> round(float(diffusivity(293.15)) * 1e9, 2)
    1.67
    """
    slope = CO2_DIFFUSION_ENERGY.value / GAS_CONSTANT.value
    drop: Numbers = np.exp(-slope * (1.0 / np.asarray(temperature_k) - 1.0 / 298.15))
    result: Numbers = CO2_DIFFUSION_REFERENCE.value * drop / viscosity_ratio
    return result


def still_rate(
    beer: Composition,
    temperature_k: Numbers,
    depth_m: Numbers,
    convection: Numbers = CONVECTION.value,
) -> Numbers:
    """The rate r of a beer at rest, 1/(s vol^(1/3)).

    r = k/(depth Δ^(1/3)) with k as at the head of this module.

    temperature_k: kelvin; depth_m: the beer's volume over its free surface, m; convection: C,
    0.10 to 0.20; numbers or arrays that broadcast.
    Range: as `diffusivity`; no error outside it.
    Source: heat from a horizontal plate, Nu = 0.15 Ra^(1/3) (McAdams), by analogy.
    """
    viscosity = beer_physics.viscosity(beer, temperature_k)
    diffusion = diffusivity(temperature_k, beer_physics.viscosity_ratio(beer))
    # ρ ν = viscosity, so Δρ g / (ρ ν D) needs no density of its own
    buoyancy = GRAVITY.value * beer_physics.density_rise_per_volume() / (viscosity * diffusion)
    rate: Numbers = convection * diffusion * np.cbrt(buoyancy) / depth_m
    return rate


def absorb(
    start_vol: Numbers, equilibrium_vol: Numbers, seconds: Numbers, rate: Numbers
) -> Numbers:
    """Volumes after `seconds` under constant conditions: c* − Δ0/(1 + r t Δ0^(1/3)/3)³.

    Also holds for agitated beer that gives gas off (Δ0 < 0). For beer at rest that holds too
    much, see `kept`.

    start_vol, equilibrium_vol: volumes of CO2; seconds: s; rate: of `still_rate`, or that times
    what shaking does, 1/(s vol^(1/3)); numbers or arrays that broadcast.
    Range: `OutOfRange` for a negative time.
    Source: the law at the head of this module, integrated.
    """
    refuse_backwards(seconds)
    gap = np.subtract(equilibrium_vol, start_vol)
    result: Numbers = equilibrium_vol - shrunk(gap, seconds, rate)
    return result


def kept(fourier: Numbers) -> Numbers:
    """Share of an excess left in a slab with one free face after D t/depth² = `fourier`.

    1 − 2 √(F/π) while the far side does not feel it (F < 0.2), else 8/π² exp(−π² F/4); the two
    agree within 0.001 there.

    fourier: 0 or more, no unit; a number or an array. Range: any; no errors.
    Source: Crank, The Mathematics of Diffusion; from memory.
    """
    if isinstance(fourier, float):  # one number at a time NumPy costs ten times what this does
        if fourier < 0.2:
            return 1.0 - 2.0 * math.sqrt(fourier / math.pi)
        return 8.0 / math.pi**2 * math.exp(-(math.pi**2) / 4.0 * fourier)
    early = 1.0 - 2.0 * np.sqrt(np.asarray(fourier) / math.pi)
    late = 8.0 / math.pi**2 * np.exp(-(math.pi**2) / 4.0 * np.asarray(fourier))
    result: Numbers = np.where(np.asarray(fourier) < 0.2, early, late)
    return result if np.ndim(result) else float(result)


def time_to_reach(
    start_vol: Numbers, target_vol: Numbers, equilibrium_vol: Numbers, rate: Numbers
) -> Numbers:
    """Seconds until `target_vol`, absorbing under constant conditions; inverse of `absorb`.

    0 where the beer is there already, infinite where the conditions never lead there.

    start_vol, target_vol, equilibrium_vol: volumes of CO2; rate: 1/(s vol^(1/3)), above zero;
    numbers or arrays that broadcast. Range: any; no errors. Source: as `absorb`.
    """
    gap0 = np.maximum(np.subtract(equilibrium_vol, start_vol), 0.0)
    gap1 = np.maximum(np.subtract(equilibrium_vol, target_vol), 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        seconds = 3.0 / rate * (1.0 / np.cbrt(gap1) - 1.0 / np.cbrt(gap0))
    there = np.greater_equal(start_vol, target_vol)
    result: Numbers = np.where(there, 0.0, np.where(gap1 > 0.0, seconds, np.inf))
    return result if np.ndim(result) else float(result)


@dataclass(frozen=True, slots=True)
class Stretches:
    """Pieces of constant conditions one after another: n pieces, optionally m samples.

    `seconds` (n), `equilibrium_vol` (n) or (n, m), `rate` (n) or (n, m) in 1/(s vol^(1/3)),
    `depletion` (n), D/depth² in 1/s, and `agitated` (n): shaken or on a stone.
    """

    seconds: NDArray[np.float64]
    equilibrium_vol: NDArray[np.float64]
    rate: NDArray[np.float64]
    depletion: NDArray[np.float64]
    agitated: NDArray[np.bool_]


def follow(start_vol: Numbers, stretches: Stretches) -> NDArray[np.float64]:
    """Volumes at the start and after each stretch: shape (n + 1) or (n + 1, m).

    An excess in beer at rest leaves by diffusion; the age of its depleted layer is carried from
    stretch to stretch and begins anew once the beer absorbs again or is agitated.

    start_vol: volumes of CO2, a number or (m). Range: as `absorb`; times are not checked here.
    Source: `absorb` and `kept`, piece by piece.
    """
    if stretches.equilibrium_vol.ndim == 1 and np.ndim(start_vol) == 0:
        return np.array(_follow_one(float(start_vol), stretches))
    return _follow_many(start_vol, stretches)


def _follow_one(start_vol: float, stretches: Stretches) -> list[float]:
    """`follow` for one keg without samples: plain floats, which are ten times quicker here."""
    level, age, levels = start_vol, 0.0, [start_vol]
    rows = zip(
        stretches.seconds.tolist(),
        stretches.equilibrium_vol.tolist(),
        stretches.rate.tolist(),
        stretches.depletion.tolist(),
        stretches.agitated.tolist(),
        strict=True,
    )
    for seconds, equilibrium, rate, depletion, agitated in rows:
        gap = equilibrium - level
        if gap < 0.0 and not agitated:
            older = age + depletion * seconds
            level = equilibrium - gap * float(kept(older)) / float(kept(age))
            age = older
        else:
            level = equilibrium - gap / (1.0 + rate * seconds * math.cbrt(abs(gap)) / 3.0) ** 3
            age = 0.0
        levels.append(level)
    return levels


def _follow_many(start_vol: Numbers, stretches: Stretches) -> NDArray[np.float64]:
    """`follow` for samples in columns."""
    columns = np.broadcast_shapes(np.shape(start_vol), stretches.equilibrium_vol.shape[1:])
    levels = np.empty((len(stretches.seconds) + 1, *columns))
    levels[0] = start_vol
    age = np.zeros(columns)
    for i, seconds in enumerate(stretches.seconds.tolist()):
        equilibrium = stretches.equilibrium_vol[i]
        gap = equilibrium - levels[i]
        if gap.min() >= 0.0:  # all absorb, as they nearly always do
            slower = 1.0 + stretches.rate[i] * (seconds / 3.0) * np.cbrt(gap)
            levels[i + 1] = equilibrium - gap / (slower * slower * slower)
            age[:] = 0.0
            continue
        levels[i + 1] = equilibrium - shrunk(gap, seconds, stretches.rate[i])
        floating = (gap < 0.0) & ~stretches.agitated[i]
        if not floating.any():
            age[:] = 0.0
            continue
        older = age + stretches.depletion[i] * seconds
        slow = equilibrium - gap * kept(older) / kept(age)
        levels[i + 1] = np.where(floating, slow, levels[i + 1])
        age = np.where(floating, older, 0.0)
    return levels


def shrunk(gap: Numbers, seconds: Numbers, rate: Numbers) -> Numbers:
    """The gap left of `gap` after `seconds` by the law of the four thirds.

    gap: volumes of CO2, of either sign; seconds: 0 or more; rate: 1/(s vol^(1/3)); numbers or
    arrays that broadcast. No errors. Source: as `absorb`.
    """
    slower = 1.0 + rate * seconds * np.cbrt(np.abs(gap)) / 3.0
    result: Numbers = gap / (slower * slower * slower)
    return result


def refuse_backwards(seconds: Numbers) -> None:
    """Raise `OutOfRange` for a negative time."""
    not_negative("time ahead", seconds, "s")
