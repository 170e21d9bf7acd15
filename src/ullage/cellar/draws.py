"""Samples of what is not known exactly, for the bands of the answers.

The same seed each time, so the same question has the same answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ullage.physics.constants import (
    ALCOHOL_ON_SOLUBILITY,
    ALCOHOL_ON_VISCOSITY,
    BORE_TOLERANCE,
    CONVECTION,
    EXTRACT_ON_SOLUBILITY,
    EXTRACT_ON_VISCOSITY,
    FITTING_LOSS_SPREAD,
    GAUGE_READING,
    SHAKEN_CONTACT,
    STONE_CONTACT,
    THERMOMETER_READING,
    Constant,
)
from ullage.physics.fitted import BEER_FACTOR

SAMPLES = 2000
SEED = 20
LOW, HIGH = 0.1, 0.9


@dataclass(frozen=True, slots=True)
class Draws:
    """One array of samples for each uncertain constant; offsets in Pa and K, scales bare."""

    beer_factor: NDArray[np.float64]
    alcohol_effect: NDArray[np.float64]
    extract_effect: NDArray[np.float64]
    convection: NDArray[np.float64]
    shaken: NDArray[np.float64]
    stone: NDArray[np.float64]
    gauge_offset_pa: NDArray[np.float64]
    thermometer_offset_k: NDArray[np.float64]
    alcohol_on_viscosity: NDArray[np.float64]
    extract_on_viscosity: NDArray[np.float64]
    loss_scale: NDArray[np.float64]
    bore_scale: NDArray[np.float64]


@cache
def draws(samples: int = SAMPLES) -> Draws:
    """The samples. A rate is kept above a fifth of its value: none of them stands still."""
    normal = np.random.default_rng(SEED).standard_normal((12, samples))

    def around(constant: Constant, row: int) -> NDArray[np.float64]:
        spread: NDArray[np.float64] = constant.value + constant.sd * normal[row]
        return spread

    def rate(constant: Constant, row: int) -> NDArray[np.float64]:
        floor: NDArray[np.float64] = np.maximum(around(constant, row), 0.2 * constant.value)
        return floor

    return Draws(
        beer_factor=around(BEER_FACTOR, 0),
        alcohol_effect=around(ALCOHOL_ON_SOLUBILITY, 1),
        extract_effect=around(EXTRACT_ON_SOLUBILITY, 2),
        convection=rate(CONVECTION, 3),
        shaken=rate(SHAKEN_CONTACT, 4),
        stone=rate(STONE_CONTACT, 5),
        gauge_offset_pa=GAUGE_READING.sd * normal[6],
        thermometer_offset_k=THERMOMETER_READING.sd * normal[7],
        alcohol_on_viscosity=around(ALCOHOL_ON_VISCOSITY, 8),
        extract_on_viscosity=around(EXTRACT_ON_VISCOSITY, 9),
        loss_scale=rate(FITTING_LOSS_SPREAD, 10),
        bore_scale=around(BORE_TOLERANCE, 11),
    )
