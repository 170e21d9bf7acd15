"""The table gives what the formulas give."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import absorption, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.beer_table import beer_table, equilibrium, exact_row

BEER = beer_physics.from_gravities(1.052, 1.011)
FACTOR = float(beer_physics.solubility_factor(BEER))


@given(st.floats(268.2, 323.0), st.floats(8e4, 9e5))
def test_it_holds_what_the_formulas_say(temperature: float, pressure: float) -> None:
    # independent of the table: the formulas themselves, at that temperature
    row = beer_table(BEER).at(temperature)
    exact = float(solubility.equilibrium_volumes(pressure, temperature, FACTOR))
    assert equilibrium(row, pressure, FACTOR) == pytest.approx(exact, rel=2e-6)
    ratio = float(beer_physics.viscosity(BEER, temperature)) / water.viscosity(temperature)
    assert row[4] == pytest.approx(float(absorption.still_rate(BEER, temperature, 1.0)), rel=2e-6)
    assert row[5] == pytest.approx(float(absorption.diffusivity(temperature, ratio)), rel=2e-6)


@pytest.mark.parametrize("temperature", [260.0, 268.0, 324.0, float("nan")])
def test_it_refuses_what_the_formulas_refuse(temperature: float) -> None:
    with pytest.raises((OutOfRange, ValueError)):
        beer_table(BEER).at(temperature)


def test_below_the_vapour_pressure_nothing_is_held() -> None:
    assert equilibrium(beer_table(BEER).at(280.0), 500.0, FACTOR) == 0.0


@pytest.mark.parametrize("temperature", [270.003, 276.4833, 293.15])
def test_the_exact_row_is_what_the_table_comes_near(temperature: float) -> None:
    # analytic: a straight line between rows 0.0125 K apart errs by h² f″/8, below 1e-7 of f
    exact, read = exact_row(BEER, temperature), beer_table(BEER).at(temperature)
    assert exact == pytest.approx(read, rel=1e-7)
