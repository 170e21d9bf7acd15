import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import atmosphere
from ullage.physics.atmosphere import ambient_pressure

FOOT = 0.3048
PSI = 6894.757


def test_docstrings_are_true() -> None:
    assert doctest.testmod(atmosphere).failed == 0


# independent: the standard atmosphere worked out by another program. By hand for 2,000 ft:
# 609.6 m of air at 1.19 kg/m3 press with 609.6 * 1.19 * 9.81 = 7,116 Pa = 1.03 psi
@pytest.mark.parametrize(("feet", "psi_lost"), [(2_000, 1.03), (5_000, 2.47), (10_000, 4.59)])
def test_altitude_takes_pressure_away(feet: float, psi_lost: float) -> None:
    lost = (ambient_pressure(0.0) - ambient_pressure(feet * FOOT)) / PSI
    assert lost == pytest.approx(psi_lost, abs=0.005)


def test_sea_level_and_tropopause() -> None:
    assert ambient_pressure(0.0) == 101_325.0  # analytic: the model's own zero
    # published: ISO 2533 gives 226.32 hPa at 11 km (from memory)
    assert ambient_pressure(11_000.0) == pytest.approx(22_632.0, abs=1.0)


def test_an_array_keeps_its_shape_and_equals_the_single_numbers() -> None:
    heights = np.array([[0.0, 100.0], [2_000.0, 11_000.0]])
    answer = ambient_pressure(heights)
    assert isinstance(answer, np.ndarray)
    assert answer.shape == heights.shape
    assert answer[1, 0] == pytest.approx(ambient_pressure(2_000.0), rel=1e-14)


@given(st.floats(-500.0, 10_999.0), st.floats(1e-3, 1.0))
def test_higher_is_thinner(height: float, step: float) -> None:
    assert ambient_pressure(height + step) < ambient_pressure(height)


@pytest.mark.parametrize("height", [-501.0, 11_001.0, float("nan"), float("inf")])
def test_heights_outside_the_model_are_refused(height: float) -> None:
    with pytest.raises(OutOfRange, match="altitude"):
        ambient_pressure(height)
