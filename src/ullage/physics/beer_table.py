"""One beer's properties over temperature, read from a table: for following it through many steps.

A replay asks for the same few properties of the same beer thousands of times, one temperature at a
time, which in NumPy costs a hundred times what the arithmetic does. The table is made once for each
beer by the functions that own the formulas, on a grid so fine that a straight line between two
rows errs by less than a ten-millionth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ullage.errors import OutOfRange
from ullage.physics import absorption, co2, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.physics.constants import GAS_CONSTANT
from ullage.physics.numbers import Numbers

LOWEST_K, HIGHEST_K = solubility.HARD_TEMPERATURE_K
STEP_K = 0.00625

Row = tuple[float, float, float, float, float, float]
"""1/H (1/Pa), B/(R T) (1/Pa), volumes for each mole ratio, vapour (Pa), still rate times depth
(m/(s vol^(1/3))), diffusivity (m²/s)."""


@dataclass(frozen=True, slots=True, eq=False)
class BeerTable:
    """Rows of a beer's properties, `STEP_K` apart from `LOWEST_K` on.

    `rises`: what each row lacks to the next one.
    """

    rows: tuple[Row, ...]
    rises: tuple[Row, ...]

    def at(self, temperature_k: float) -> Row:
        """The properties at a temperature. Raises `OutOfRange` outside −5 to 50 °C."""
        place = (temperature_k - LOWEST_K) / STEP_K
        index = int(place)
        if not (place >= 0.0 and index < len(self.rises)):
            raise OutOfRange(
                f"temperature of the beer: {temperature_k:g} K was given; it must lie between "
                f"{LOWEST_K:g} and {HIGHEST_K:g} K"
            )
        w = place - index
        a, b, c, d, e, f = self.rows[index]
        u, v, x, y, z, q = self.rises[index]
        return (a + u * w, b + v * w, c + x * w, d + y * w, e + z * w, f + q * w)


def equilibrium(row: Row, pressure_pa: float, factor: float) -> float:
    """Volumes held in the end under an absolute pressure (Pa); see `solubility`."""
    partial = pressure_pa - row[3]
    if partial <= 0.0:
        return 0.0
    ratio = partial * math.exp(row[1] * partial) * row[0]
    return factor * row[2] * ratio / (1.0 - ratio)


@lru_cache(maxsize=64)
def beer_table(beer: Composition) -> BeerTable:
    """The table of a beer: 8,800 rows, made in a few milliseconds."""
    columns = _columns(beer, np.arange(LOWEST_K, HIGHEST_K + STEP_K / 2, STEP_K))
    rows = zip(*(column.tolist() for column in columns), strict=True)
    rises = zip(*(np.diff(column).tolist() for column in columns), strict=True)
    return BeerTable(tuple(rows), tuple(rises))


@lru_cache(maxsize=256)
def exact_row(beer: Composition, temperature_k: float) -> Row:
    """The properties at a temperature as their formulas give them, without a table."""
    a, b, c, d, e, f = (float(one) for one in _columns(beer, np.float64(temperature_k)))
    return a, b, c, d, e, f


def _columns(beer: Composition, kelvin: Numbers) -> tuple[NDArray[np.float64], ...]:
    viscosity_ratio = beer_physics.viscosity_ratio(beer)
    return (
        1.0 / np.asarray(solubility.henry_constant(kelvin)),
        np.asarray(co2.second_virial(kelvin)) / (GAS_CONSTANT.value * kelvin),
        np.asarray(solubility.volumes_per_ratio(kelvin)),
        np.asarray(water.vapour_pressure(kelvin)),
        np.asarray(absorption.still_rate(beer, kelvin, 1.0)),
        np.asarray(absorption.diffusivity(kelvin, viscosity_ratio)),
    )
