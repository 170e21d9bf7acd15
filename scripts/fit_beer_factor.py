"""Fit the solubility factor of the trade's standard beer to its published chart.

Least squares of chart = factor × water over every cell. Writes `src/ullage/physics/fitted.py`.
The standard deviation is not that of the fit, which is a few parts in a thousand, but of real
beers about the chart: a measured lager lies 5 to 7 % below it (Liger-Belair 2021), taken as two
standard deviations.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ullage.physics import solubility, water

ROOT = Path(__file__).resolve().parent.parent
CHART = ROOT / "references" / "carbonation_chart_miller_1994.toml"
TARGET = ROOT / "src" / "ullage" / "physics" / "fitted.py"
PSI = 6894.757293168
SEA_LEVEL_PA = 101_325.0
BEER_TO_BEER_SD = 0.03

TEMPLATE = '''"""Constants fitted to published figures, written by `scripts/fit_beer_factor.py`."""

from ullage.physics.constants import Constant

BEER_FACTOR = Constant(
    {factor:.4f},
    {sd},
    "1",
    "solubility of CO2 in the trade's standard beer over water; least squares over the {cells} "
    "cells of Miller 1994, Table I: residual {rms:.3f} vol rms, {worst:.3f} at most. The standard "
    "deviation is that of real beers about the chart",
)
'''


@dataclass(frozen=True)
class Fit:
    """The factor, and how far it leaves the chart's cells (volumes)."""

    factor: float
    rms: float
    worst: float
    cells: int


def chart() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Absolute pressure (Pa), temperature (K) and volumes of every cell of the chart."""
    pressures, temperatures, volumes = [], [], []
    for row in tomllib.loads(CHART.read_text())["row"]:
        kelvin = (row["temperature_degf"] - 32) / 1.8 + 273.15
        for step, cell in enumerate(row["volumes"]):
            pressures.append(SEA_LEVEL_PA + (row["first_gauge_psi"] + step) * PSI)
            temperatures.append(kelvin)
            volumes.append(cell)
    return np.array(pressures), np.array(temperatures), np.array(volumes)


def fit() -> Fit:
    """Least squares in closed form: factor = Σ water·chart / Σ water²."""
    pressure, temperature, volumes = chart()
    water_holds = solubility.water_volumes(
        pressure - water.vapour_pressure(temperature), temperature
    )
    factor = float(np.sum(water_holds * volumes) / np.sum(water_holds * water_holds))
    residual = factor * water_holds - volumes
    rms = float(np.sqrt(np.mean(residual**2)))
    return Fit(factor, rms, float(np.max(np.abs(residual))), len(volumes))


def main() -> None:
    """Fit and write."""
    found = fit()
    TARGET.write_text(
        TEMPLATE.format(
            factor=found.factor,
            sd=BEER_TO_BEER_SD,
            cells=found.cells,
            rms=found.rms,
            worst=found.worst,
        )
    )
    print(f"factor {found.factor:.4f}, rms {found.rms:.4f} vol, worst {found.worst:.4f} vol")


if __name__ == "__main__":
    main()
