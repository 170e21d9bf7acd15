import doctest

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Liquid

from ullage.errors import OutOfRange
from ullage.physics import water

CELSIUS = (0.02, 4.0, 10.0, 20.0, 30.0, 40.0)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(water).failed == 0


@pytest.mark.parametrize("celsius", CELSIUS)
def test_density_agrees_with_the_reference_equation_of_state(celsius: float) -> None:
    kelvin = 273.15 + celsius
    # independent: IAPWS-95, library iapws; Kell fitted the older scales of mass and
    # temperature, which lie 2 to 4 g/m3 below it everywhere from 0 to 30 °C
    expected = IAPWS95(T=kelvin, P=0.101325).rho
    assert water.density(kelvin) == pytest.approx(expected, abs=0.004)


@pytest.mark.parametrize("celsius", CELSIUS)
def test_viscosity_agrees_with_the_reference_formulation(celsius: float) -> None:
    kelvin = 273.15 + celsius
    # independent: IAPWS R12-08 (Huber et al.), library iapws; SR6-08 claims 1 %, differs by 0.1 %
    assert water.viscosity(kelvin) == pytest.approx(IAPWS95(T=kelvin, P=0.101325).mu, rel=1e-3)
    # independent: library iapws, the same SR6-08 typed in by other hands
    assert water.viscosity(kelvin) == pytest.approx(_Liquid(kelvin)["mu"], rel=1e-12)


@pytest.mark.parametrize("celsius", CELSIUS)
def test_vapour_pressure_agrees_with_the_reference_equation_of_state(celsius: float) -> None:
    kelvin = 273.15 + celsius
    # independent: IAPWS-95 saturation, library iapws
    assert water.vapour_pressure(kelvin) == pytest.approx(1e6 * IAPWS95(T=kelvin, x=0).P, rel=1e-4)


def test_water_has_its_published_properties() -> None:
    # published: viscosity of water at 20 °C is 1.0016 mPa·s, the reference of ISO/TR 3666
    assert water.viscosity(293.15) == pytest.approx(1.0016e-3, rel=5e-4)
    # published: water boils at 99.974 °C (ITS-90) under 101 325 Pa
    assert water.vapour_pressure(373.124) == pytest.approx(101_325, rel=1e-4)
    # published: triple point, 611.657 Pa at 273.16 K
    assert water.vapour_pressure(273.16) == pytest.approx(611.657, rel=1e-5)
    # published: greatest density 999.975 kg/m3 at 3.98 °C
    assert water.density(277.13) == pytest.approx(999.975, abs=0.004)


@pytest.mark.parametrize("function", [water.density, water.viscosity, water.vapour_pressure])
def test_an_array_gives_the_numbers_of_its_elements(function: object) -> None:
    assert callable(function)
    kelvin = np.array([[274.0, 280.0], [290.0, 310.0]])
    answer = function(kelvin)
    assert answer.shape == kelvin.shape
    for place in np.ndindex(kelvin.shape):
        assert answer[place] == pytest.approx(function(float(kelvin[place])), rel=1e-14)


@pytest.mark.parametrize("function", [water.density, water.viscosity, water.vapour_pressure])
@pytest.mark.parametrize("kelvin", [38.0, 263.0, 374.0, float("nan"), np.array([280.0, 400.0])])
def test_outside_the_range_it_says_so(function: object, kelvin: object) -> None:
    assert callable(function)
    with pytest.raises(OutOfRange, match=r"between 263\.15 and 373\.15 K"):
        function(kelvin)
