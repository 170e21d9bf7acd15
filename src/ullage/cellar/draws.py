"""Samples of what is not known exactly, for the bands of the answers.

The same seed each time, so the same question has the same answer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.offsets import GAUGE_OFFSET, THERMOMETER_OFFSET
from ullage.physics.constants import (
    ALCOHOL_ON_SOLUBILITY,
    ALCOHOL_ON_VISCOSITY,
    BORE_TOLERANCE,
    CONVECTION,
    EXTRACT_ON_SOLUBILITY,
    EXTRACT_ON_VISCOSITY,
    FITTING_LOSS_SPREAD,
    SHAKEN_CONTACT,
    STONE_CONTACT,
    Constant,
)
from ullage.physics.fitted import BEER_FACTOR

if TYPE_CHECKING:
    from ullage.cellar.learnt import Learnt

SAMPLES: Final = 2000
SEED = 20
LOW, HIGH = 0.1, 0.9


@dataclass(frozen=True, slots=True)
class Spread:
    """The value and spread of what a household may have of its own; anybody's unless told."""

    beer_factor: Constant = BEER_FACTOR
    convection: Constant = CONVECTION
    shaken: Constant = SHAKEN_CONTACT
    stone: Constant = STONE_CONTACT
    gauge_offset_pa: Constant = GAUGE_OFFSET
    thermometer_offset_k: Constant = THERMOMETER_OFFSET


USUAL: Final = Spread()


def spread_of(learnt: Learnt, cylinder: str | None = None, place: str | None = None) -> Spread:
    """What a household kept, for a keg on the gas of that cylinder in that place.

    How warm the keg is counts a thermometer's offset already: what is left is its spread.
    """
    gauge = None if cylinder is None else learnt.known("gauge", cylinder)
    warmth = None if place is None else learnt.known("thermometer", place)
    return Spread(
        beer_factor=learnt.known("beer factor") or BEER_FACTOR,
        convection=learnt.known("absorption") or CONVECTION,
        shaken=learnt.known("shaking") or SHAKEN_CONTACT,
        stone=learnt.known("stone") or STONE_CONTACT,
        gauge_offset_pa=gauge or GAUGE_OFFSET,
        thermometer_offset_k=THERMOMETER_OFFSET if warmth is None else replace(warmth, value=0.0),
    )


@dataclass(frozen=True, slots=True)
class Draws:
    """One array of samples for each uncertain constant; offsets in Pa and K, scales bare.

    The three `_normal` are of mean 0 and standard deviation 1: for what a household loses of its
    gas, and how its lines resist, where that was learnt.
    """

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
    handling_normal: NDArray[np.float64]
    leak_normal: NDArray[np.float64]
    line_normal: NDArray[np.float64]


@lru_cache(maxsize=64)
def draws(samples: int = SAMPLES, spread: Spread = USUAL) -> Draws:
    """The samples. A rate is kept above a fifth of its value: none of them stands still."""
    normal = np.random.default_rng(SEED).standard_normal((15, samples))

    def around(constant: Constant, row: int) -> NDArray[np.float64]:
        spread: NDArray[np.float64] = constant.value + constant.sd * normal[row]
        return spread

    def rate(constant: Constant, row: int) -> NDArray[np.float64]:
        floor: NDArray[np.float64] = np.maximum(around(constant, row), 0.2 * constant.value)
        return floor

    return Draws(
        beer_factor=around(spread.beer_factor, 0),
        alcohol_effect=around(ALCOHOL_ON_SOLUBILITY, 1),
        extract_effect=around(EXTRACT_ON_SOLUBILITY, 2),
        convection=rate(spread.convection, 3),
        shaken=rate(spread.shaken, 4),
        stone=rate(spread.stone, 5),
        gauge_offset_pa=around(spread.gauge_offset_pa, 6),
        thermometer_offset_k=around(spread.thermometer_offset_k, 7),
        alcohol_on_viscosity=around(ALCOHOL_ON_VISCOSITY, 8),
        extract_on_viscosity=around(EXTRACT_ON_VISCOSITY, 9),
        loss_scale=rate(FITTING_LOSS_SPREAD, 10),
        bore_scale=around(BORE_TOLERANCE, 11),
        handling_normal=normal[12],
        leak_normal=normal[13],
        line_normal=normal[14],
    )
