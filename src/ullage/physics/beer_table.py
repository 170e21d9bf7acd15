"""One beer's properties over temperature, read from a table: for following it through many steps.

A replay asks for the same few properties of the same beer thousands of times, one temperature at a
time, which in NumPy costs a hundred times what the arithmetic does. The table is made once for each
beer by the functions that own the formulas, on a grid so fine that a straight line between two
rows errs by less than a millionth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics import absorption, co2, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.physics.constants import GAS_CONSTANT

LOWEST_K, HIGHEST_K = solubility.HARD_TEMPERATURE_K
STEP_K = 0.05

Row = tuple[float, float, float, float, float, float]
"""1/H (1/Pa), B/(R T) (1/Pa), volumes for each mole ratio, vapour (Pa), still rate times depth
(m/(s vol^(1/3))), diffusivity (m²/s)."""


@dataclass(frozen=True, slots=True, eq=False)
class BeerTable:
    """Rows of a beer's properties, `STEP_K` apart from `LOWEST_K` on."""

    rows: tuple[Row, ...]

    def at(self, temperature_k: float) -> Row:
        """The properties at a temperature. Raises `OutOfRange` outside −5 to 50 °C."""
        place = (temperature_k - LOWEST_K) / STEP_K
        index = int(place)
        if not (place >= 0.0 and index + 1 < len(self.rows)):
            raise OutOfRange(
                f"temperature of the beer: {temperature_k:g} K was given; it must lie between "
                f"{LOWEST_K:g} and {HIGHEST_K:g} K"
            )
        a, b, w = self.rows[index], self.rows[index + 1], place - index
        return (
            a[0] + (b[0] - a[0]) * w,
            a[1] + (b[1] - a[1]) * w,
            a[2] + (b[2] - a[2]) * w,
            a[3] + (b[3] - a[3]) * w,
            a[4] + (b[4] - a[4]) * w,
            a[5] + (b[5] - a[5]) * w,
        )


def equilibrium(row: Row, pressure_pa: float, factor: float) -> float:
    """Volumes held in the end under an absolute pressure (Pa); see `solubility`."""
    partial = pressure_pa - row[3]
    if partial <= 0.0:
        return 0.0
    ratio = partial * math.exp(row[1] * partial) * row[0]
    return factor * row[2] * ratio / (1.0 - ratio)


@lru_cache(maxsize=64)
def beer_table(beer: Composition) -> BeerTable:
    """The table of a beer: 1,100 rows, made in about a millisecond."""
    kelvin = np.arange(LOWEST_K, HIGHEST_K + STEP_K / 2, STEP_K)
    viscosity_ratio = beer_physics.viscosity_ratio(beer)
    columns = (
        1.0 / np.asarray(solubility.henry_constant(kelvin)),
        np.asarray(co2.second_virial(kelvin)) / (GAS_CONSTANT.value * kelvin),
        np.asarray(solubility.volumes_per_ratio(kelvin)),
        np.asarray(water.vapour_pressure(kelvin)),
        np.asarray(absorption.still_rate(beer, kelvin, 1.0)),
        np.asarray(absorption.diffusivity(kelvin, viscosity_ratio)),
    )
    return BeerTable(tuple(zip(*(column.tolist() for column in columns), strict=True)))
