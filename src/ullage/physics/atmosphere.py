"""The pressure of the air around the keg, which every gauge takes as its zero."""

from __future__ import annotations

from typing import overload

from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import within

LOWEST_M = -500.0
HIGHEST_M = 11_000.0

_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_EXPONENT = 9.80665 / (_LAPSE_K_PER_M * 287.05287)


@overload
def ambient_pressure(altitude_m: float) -> float: ...
@overload
def ambient_pressure(altitude_m: Numbers) -> Numbers: ...
def ambient_pressure(altitude_m: Numbers) -> Numbers:
    """Give the pressure of the standard atmosphere at an altitude, in Pa absolute.

    p = p₀ (1 − L h / T₀)^(g / (L R)), with T₀ = 288.15 K, L = 6.5 K/km, R = 287.05287 J/(kg K).

    altitude_m: height above sea level in metres, one number or an array; the answer has the same
    shape. The height is taken as geopotential: at 3,000 m that is 1.4 m away from a surveyed one.
    Range: -500 to 11,000 m, the lowest layer of the model; `OutOfRange` outside it. The weather
    moves the true pressure by about ± 2 %.
    Source: International Standard Atmosphere, ISO 2533:1975.

    >>> round(ambient_pressure(0.0)), round(ambient_pressure(1609.344))
    (101325, 83428)
    """
    within("altitude", altitude_m, LOWEST_M, HIGHEST_M, "m")
    ratio = 1.0 - _LAPSE_K_PER_M * altitude_m / _SEA_LEVEL_K
    pressure: Numbers = STANDARD_ATMOSPHERE.value * ratio**_EXPONENT
    return pressure
