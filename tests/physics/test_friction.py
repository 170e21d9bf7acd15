import doctest
import math

import numpy as np
import pytest
from fluids.fittings import contraction_sharp, diffuser_sharp
from fluids.friction import Colebrook
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import friction
from ullage.physics.friction import bore_change_loss, friction_factor, reynolds, speed


def test_docstrings_are_true() -> None:
    assert doctest.testmod(friction).failed == 0


@pytest.mark.parametrize("number", [1e-3, 1.0, 100.0, 1999.0, 2000.0])
def test_laminar_is_hagen_and_poiseuille(number: float) -> None:
    # analytic: f = 64 / Re, whatever the roughness
    assert friction_factor(number, 1e-3) == pytest.approx(64.0 / number, rel=1e-12)


@pytest.mark.parametrize("number", [3000.0, 3240.0, 4123.0, 7040.0, 31_000.0, 1e5, 3.3e6, 1e7])
@pytest.mark.parametrize("roughness", [0.0, 3.15e-4, 1e-2, 0.05])
def test_the_table_costs_nothing(number: float, roughness: float) -> None:
    # independent: Colebrook's equation in closed form (Lambert W), library fluids, not the table
    expected = Colebrook(Re=number, eD=roughness)
    assert friction_factor(number, roughness) == pytest.approx(expected, rel=2e-5)


def test_blasius_by_hand() -> None:
    # published: H. Blasius 1913, f = 0.3164 Re^(-1/4); at Re = 10 000 that is 0.03164. Colebrook
    # for a smooth tube lies 2 % below (Prandtl and Karman by hand: 0.0309)
    assert friction_factor(10_000.0) == pytest.approx(0.0309, rel=2e-3)


def test_the_bridge_is_straight_in_logarithms() -> None:
    # analytic: half way in ln Re the factor is the geometric mean of both ends
    middle = math.sqrt(2000.0 * 3000.0)
    ends = float(friction_factor(2000.0)) * float(friction_factor(3000.0))
    assert friction_factor(middle) == pytest.approx(math.sqrt(ends), rel=1e-12)


@given(
    st.floats(1.0, 1e7),
    st.floats(1.0, 1.5),
    st.sampled_from([0.0, 3.15e-4, 0.05]),
)
@settings(deadline=None, max_examples=100)
def test_a_faster_flow_always_loses_more(number: float, more: float, roughness: float) -> None:
    faster = min(number * more, 1e7)
    slow = float(friction_factor(number, roughness)) * number**2
    fast = float(friction_factor(faster, roughness)) * faster**2
    assert fast >= slow * (1.0 - 1e-12)


def test_at_rest_the_factor_is_finite() -> None:
    assert np.isfinite(friction_factor(0.0))


def test_an_array_gives_the_numbers_of_its_elements() -> None:
    numbers = np.array([0.0, 10.0, 2500.0, 5000.0])
    together = friction_factor(numbers, 1e-3)
    one_by_one = np.array([friction_factor(float(number), 1e-3) for number in numbers])
    np.testing.assert_allclose(together, one_by_one, rtol=1e-14)


@pytest.mark.parametrize("number", [-1.0, 1.1e7, float("nan"), np.array([1.0, -1.0])])
def test_a_reynolds_number_outside_the_range_is_refused(number: float) -> None:
    with pytest.raises(OutOfRange, match="Reynolds number"):
        friction_factor(number)


@pytest.mark.parametrize("roughness", [-1e-9, 0.051, float("nan")])
def test_a_roughness_outside_the_range_is_refused(roughness: float) -> None:
    with pytest.raises(OutOfRange, match="relative roughness"):
        friction_factor(5000.0, roughness)


def test_speed_and_reynolds_by_hand() -> None:
    # analytic: 2 US fl oz = 59.15 mL through 4.7625 mm, 17.81 mm2: 3.32 m/s;
    # Re = 1010 · 3.32 · 4.7625e-3 / 2.42e-3 = 6600
    assert speed(59.15e-6, 4.7625e-3) == pytest.approx(3.320, abs=1e-3)
    assert reynolds(59.15e-6, 4.7625e-3, 1010.0, 2.42e-3) == pytest.approx(6600, abs=5)


@pytest.mark.parametrize("narrow", [1e-3, 3e-3, 4.76e-3, 6e-3])
def test_bore_changes_agree_with_the_reference(narrow: float) -> None:
    wide = 6.35e-3
    # independent: Borda and Carnot, library fluids
    assert bore_change_loss(narrow, wide) == pytest.approx(diffuser_sharp(narrow, wide), rel=1e-12)
    # independent: Rennels' sharp contraction, library fluids, a newer fit. It begins at 0.58 and
    # not at 0.50; the two authorities differ most in the middle, by 0.12 of K
    assert bore_change_loss(wide, narrow) == pytest.approx(
        contraction_sharp(wide, narrow), abs=0.125
    )


def test_bore_changes_at_their_ends() -> None:
    # analytic
    assert bore_change_loss(5e-3, 5e-3) == 0.0
    assert bore_change_loss(math.inf, 5e-3) == 0.5
    assert bore_change_loss(5e-3, math.inf) == 1.0
