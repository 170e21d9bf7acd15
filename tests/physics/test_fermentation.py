import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import fermentation
from ullage.physics.fermentation import co2_yield, priming_sugar_mass
from ullage.physics.headspace import top_up_mass

litres = st.floats(1e-3, 0.06)
levels = st.floats(0.0, 4.0)
SUGARS: tuple[fermentation.Sugar, ...] = ("sucrose", "glucose monohydrate", "dry malt extract")


def test_docstrings_are_true() -> None:
    assert doctest.testmod(fermentation).failed == 0


def test_what_yeast_makes_of_sugar() -> None:
    # analytic, by hand: 4 * 44.01 / 342.30 = 0.5143; 2 * 44.01 / 198.17 = 0.4442
    assert co2_yield("sucrose") == pytest.approx(0.5143, abs=1e-4)
    assert co2_yield("glucose monohydrate") == pytest.approx(0.4442, abs=1e-4)
    # common practice, no source: dry malt extract takes 1.3 to 1.5 times the weight of corn sugar
    ratio = co2_yield("glucose monohydrate") / co2_yield("dry malt extract")
    assert 1.3 <= ratio <= 1.5


def test_priming_a_keg() -> None:
    # analytic, by hand: 18.9 L * 1.54 * 1.9768 g/L = 57.5 g of CO2, / 0.5143 = 112 g of sucrose
    mass = priming_sugar_mass(0.0189, 2.40, 0.86, co2_yield("sucrose"))
    assert 1e3 * mass == pytest.approx(112.0, abs=0.5)
    # common practice: about 4 to 5 oz of corn sugar for 5 US gal
    corn = priming_sugar_mass(0.0189, 2.40, 0.86, co2_yield("glucose monohydrate"))
    assert 4.0 <= corn / 0.0283495 <= 5.0


def test_the_head_wants_its_share() -> None:
    head = top_up_mass(0.002, 101_325.0, 250_000.0, 293.15)
    without = priming_sugar_mass(0.0189, 2.4, 0.86, 0.5143)
    with_head = priming_sugar_mass(0.0189, 2.4, 0.86, 0.5143, head)
    # analytic: 2 L * 1.49 bar is 5.4 g of CO2, 10.5 g of sucrose
    assert with_head - without == pytest.approx(head / 0.5143, rel=1e-9)
    assert 1e3 * (with_head - without) == pytest.approx(10.7, abs=0.3)


@pytest.mark.parametrize("sugar", SUGARS)
@given(litres, levels, levels, st.floats(0.0, 0.02))
def test_priming_and_level_undo_each_other(
    sugar: fermentation.Sugar, beer: float, one: float, two: float, head: float
) -> None:
    residual, wanted = sorted((one, two))
    made = co2_yield(sugar)
    mass = priming_sugar_mass(beer, wanted, residual, made, head)
    # where all gas goes to the head, rounding may leave it a hair short
    level = fermentation.level_from_priming(beer, mass * (1 + 1e-12), residual, made, head)
    assert level == pytest.approx(wanted, rel=1e-9, abs=1e-9)


@given(litres, st.floats(0.5, 1.2), st.floats(1.5, 4.0), st.floats(1.0, 1.03))
def test_spunding_and_level_undo_each_other(
    beer: float, residual: float, wanted: float, final: float
) -> None:
    shut = fermentation.spunding_sg(beer, wanted, residual, final)
    level = fermentation.level_from_spunding(beer, shut, residual, final)
    assert level == pytest.approx(wanted, rel=1e-9)
    assert shut > final


def test_extract_left_at_shutting() -> None:
    # analytic, by hand: one volume is 1.9768 g/L of CO2, made of 1.9768 * 2.0665 / 0.9565 =
    # 4.271 g/L of extract; in beer of 1.008 kg/L that is 0.4236 °P real, 0.517 °P apparent
    extract = fermentation.extract_for_spunding(0.019, 1.86, 0.86, 1.010)
    assert extract == pytest.approx(0.517, abs=0.001)
    # common practice: shut the keg 3 to 5 points over the final gravity
    shut = fermentation.spunding_sg(0.019, 2.6, 0.86, 1.010)
    assert 1.013 <= shut <= 1.015
    # nothing to gain, so shut it at the end
    assert fermentation.spunding_sg(0.019, 0.86, 0.86, 1.010) == pytest.approx(1.010, abs=1e-12)


def test_arrays_of_samples() -> None:
    yields = co2_yield("dry malt extract", np.array([0.60, 0.65, 0.70]))
    mass = np.asarray(priming_sugar_mass(0.0189, 2.4, 0.86, yields))
    assert mass.shape == (3,)
    assert np.all(np.diff(mass) < 0.0)


def test_impossible_inputs_are_refused() -> None:
    with pytest.raises(OutOfRange, match="already holds"):
        priming_sugar_mass(0.0189, 0.5, 0.86, 0.5143)
    with pytest.raises(OutOfRange, match="volume of the beer"):
        priming_sugar_mass(0.0, 2.4, 0.86, 0.5143)
    with pytest.raises(OutOfRange, match="wanted carbonation"):
        priming_sugar_mass(0.0189, float("nan"), 0.86, 0.5143)
    with pytest.raises(OutOfRange, match="each kg of sugar"):
        priming_sugar_mass(0.0189, 2.4, 0.86, 0.0)
    with pytest.raises(OutOfRange, match="mass of sugar"):
        fermentation.level_from_priming(0.0189, -0.1, 0.86, 0.5143)
    with pytest.raises(OutOfRange, match="what the head takes"):
        fermentation.level_from_priming(0.0189, 0.001, 0.86, 0.5143, 0.01)
    with pytest.raises(OutOfRange, match="extract left"):
        fermentation.level_from_spunding(0.019, 1.009, 0.86, 1.010)
    with pytest.raises(OutOfRange, match="final gravity"):
        fermentation.spunding_sg(0.019, 2.5, 0.86, 1050.0)
    with pytest.raises(OutOfRange, match="malt extract"):
        co2_yield("dry malt extract", 1.5)
