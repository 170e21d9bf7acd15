"""What alcohol and extract do to beer."""

from __future__ import annotations

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.physics import beer, gravity, water
from ullage.physics.constants import ALCOHOL_ON_SOLUBILITY, STANDARD_BEER_ALCOHOL
from ullage.physics.fitted import BEER_FACTOR


def test_docstrings_are_true() -> None:
    assert doctest.testmod(beer).failed == 0


def test_the_standard_beer_has_the_fitted_factor() -> None:
    # analytic: no shift from itself
    assert beer.solubility_factor(beer.standard_beer()) == pytest.approx(BEER_FACTOR.value)


def test_viscosity_of_a_measured_lager() -> None:
    # published: Liger-Belair 2021 (PMC8047704): lager of 5 % at 6 °C, 2.42 ± 0.03 mPa·s, 1.64
    # times water. Its extract is not given; 1.048 to 1.010 is an ordinary lager of that strength.
    # By hand: exp(0.05 · 3.96 + 0.035 · 4.30 + 0.148) = 1.64
    lager = beer.from_gravities(1.048, 1.010)
    assert gravity.alcohol_by_volume(lager.alcohol_abw, 1.010) == pytest.approx(5.0, abs=0.1)
    assert float(beer.viscosity(lager, 279.15)) == pytest.approx(2.42e-3, rel=0.03)


def test_density_of_a_measured_lager() -> None:
    # published: the same lager, 1010 ± 1 kg/m³
    lager = beer.from_gravities(1.048, 1.010)
    assert float(beer.density(lager, 279.15)) == pytest.approx(1010.0, abs=1.5)


def test_champagne_lies_within_the_band_of_the_alcohol_effect() -> None:
    # published: Liger-Belair 2021, wine of 12.5 % at 10 °C about 2.1 g/L for each bar, 0.905 of
    # water's 2.32. Ours: 0.959 · exp(−0.006 (9.9 − 4.2) − 0.005 (2 − 5.8)) = 0.945, 4.4 % above;
    # one standard deviation of the alcohol effect is 0.004 · 5.7 = 2.3 % and of the factor 2 %,
    # together 3 %: the wine lies 1.4 of them away
    wine = beer.from_alcohol_and_extract(9.9, 2.0)
    middle = float(beer.solubility_factor(wine))
    assert middle == pytest.approx(0.945, abs=0.002)
    spread = math.hypot(
        ALCOHOL_ON_SOLUBILITY.sd * (9.9 - STANDARD_BEER_ALCOHOL.value), BEER_FACTOR.sd
    )
    assert abs(middle / 0.905 - 1.0) < 1.6 * spread


@given(st.floats(1.030, 1.100), st.floats(0.15, 0.45))
def test_alcohol_and_extract_lead_back_to_the_gravities(original: float, left: float) -> None:
    final = 1.0 + (original - 1.0) * left
    made = beer.from_gravities(original, final)
    back = beer.from_alcohol_and_extract(made.alcohol_abw, made.extract_plato)
    assert back.specific_gravity == pytest.approx(final, abs=2e-5)


@given(st.floats(2.0, 12.0))
def test_strength_alone_gives_a_beer_of_that_strength(abv: float) -> None:
    made = beer.from_abv(abv)
    found = gravity.alcohol_by_volume(made.alcohol_abw, made.specific_gravity)
    assert found == pytest.approx(abv, rel=0.02)
    assert 0.0 < made.extract_plato < 15.0


@pytest.mark.parametrize(("abv", "extract"), [(0.0, 5.0), (0.5, 4.0), (1.2, 2.6), (1.6, 1.8)])
def test_beer_of_little_alcohol_has_kept_its_extract(abv: float, extract: float) -> None:
    # common practice, no source: 5 °P in beer without alcohol, falling to the ordinary beer's
    found = beer.from_abv(abv)
    assert found.extract_plato == pytest.approx(extract)
    assert beer.from_abv(2.0).extract_plato == pytest.approx(1.91, abs=0.01)  # an ordinary one
    # analytic, at 0 %: 0.9592 · exp(0.006 · 4.22 + 0.005 · 0.78) = 0.9876; pure water is 1
    assert 0.98 < float(beer.solubility_factor(found)) < 1.0
    assert float(beer.solubility_factor(beer.from_abv(0.0))) == pytest.approx(0.9876, abs=2e-4)


@given(st.floats(0.0, 12.0))
def test_no_beer_holds_more_than_water(abv: float) -> None:
    assert float(beer.solubility_factor(beer.from_abv(abv))) <= 1.0


def test_water_is_no_beer_that_holds_more() -> None:
    # analytic: 0.9592 · exp(0.006 · 4.22 + 0.005 · 5.78) is 1.0126, and it is water: 1
    water_itself = beer.from_abv(0.0, 1.0)
    assert float(beer.solubility_factor(water_itself)) == pytest.approx(1.0, abs=1e-9)
    # its band goes on to reach to both sides
    assert float(beer.solubility_factor(water_itself, standard=0.98)) > 1.0


def test_strength_and_final_gravity_are_both_kept() -> None:
    made = beer.from_abv(5.0, 1.012)
    assert made.specific_gravity == pytest.approx(1.012, abs=1e-5)
    assert gravity.alcohol_by_volume(made.alcohol_abw, 1.012) == pytest.approx(5.0, rel=1e-6)


def test_stronger_beer_is_thicker_and_holds_less() -> None:
    weak, strong = beer.from_abv(3.0), beer.from_abv(9.0)
    assert float(beer.viscosity(strong, 280.0)) > float(beer.viscosity(weak, 280.0))
    assert float(beer.viscosity(weak, 280.0)) > water.viscosity(280.0)
    assert float(beer.solubility_factor(strong)) < float(beer.solubility_factor(weak))


def test_dissolved_gas_makes_beer_heavier_by_ten_grams_a_mole() -> None:
    # published: 44.0 g/mol less 34 g of water displaced (partial molar volume, from memory).
    # By hand: 44.9 mol in a volume of one m³, times 0.010 kg: 0.45 kg/m³
    assert beer.density_rise_per_volume() == pytest.approx(0.45, abs=0.01)
