import doctest
import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ullage.errors import OutOfRange
from ullage.physics import thermal
from ullage.physics.constants import HEAT_LOSS
from ullage.physics.thermal import (
    cylinder_area,
    heat_loss_coefficient,
    temperature_after,
    time_constant,
    time_to_reach,
)

INCH, HOUR = 0.0254, 3600.0


def fahrenheit(degrees: float) -> float:
    return (degrees - 32.0) / 1.8 + 273.15


def small_keg_tau() -> float:
    # 5 US gal: 18.9 L of 1.01 kg/L, 8.5 in by 25 in, 4.5 kg of steel
    return float(time_constant(19.1, 4.5, cylinder_area(8.5 * INCH, 25 * INCH)))


def half_barrel_tau(coefficient: float = HEAT_LOSS.value) -> float:
    # 58.7 L, 16.1 in by 23.3 in, 13.5 kg of steel
    area = cylinder_area(16.1 * INCH, 23.3 * INCH)
    return float(time_constant(59.3, 13.5, area, coefficient=coefficient))


def test_docstrings_are_true() -> None:
    assert doctest.testmod(thermal).failed == 0


def test_area_by_hand() -> None:
    # analytic: 0.216 m by 0.635 m: side 3.1416 · 0.2159 · 0.635 = 0.4307, ends 2 · 0.0366
    assert cylinder_area(8.5 * INCH, 25 * INCH) == pytest.approx(0.4307 + 0.0732, abs=2e-4)


@pytest.mark.parametrize("difference", [3.0, 7.0, 12.0])
def test_free_convection_agrees_with_churchill_and_chu(difference: float) -> None:
    height, air = 0.6, 276.15
    film = air + difference / 2
    conductivity = PropsSI("L", "T", film, "P", 101_325, "Air")
    kinematic = PropsSI("V", "T", film, "P", 101_325, "Air") / PropsSI(
        "D", "T", film, "P", 101_325, "Air"
    )
    prandtl = PropsSI("PRANDTL", "T", film, "P", 101_325, "Air")
    rayleigh = 9.80665 / film * difference * height**3 / kinematic**2 * prandtl
    # published: S. W. Churchill and H. H. S. Chu 1975, laminar, with air from CoolProp
    nusselt = 0.68 + 0.670 * rayleigh**0.25 / (1 + (0.492 / prandtl) ** (9 / 16)) ** (4 / 9)
    convection = nusselt * conductivity / height
    radiation = 0.25 * 4 * 5.670374e-8 * film**3
    # McAdams' simplified equation is known within 10 %
    ours = heat_loss_coefficient(air + difference, air, height)
    assert ours == pytest.approx(convection + radiation, rel=0.10)


def test_coefficient_by_hand_and_the_constant() -> None:
    # by hand at 7 K: 1.42 · (7 / 0.6)^(1/4) = 2.62; 0.25 · 4 · 5.67e-8 · 280³ = 1.24
    # analytic
    assert heat_loss_coefficient(283.15, 276.15, 0.6) == pytest.approx(3.87, abs=0.02)
    # the constant holds still air from 3 to 12 K within two standard deviations
    for difference in (3.0, 12.0):
        still = float(heat_loss_coefficient(276.15 + difference, 276.15, 0.6))
        assert abs(still - HEAT_LOSS.value) < 2 * HEAT_LOSS.sd
    # without a difference there is radiation alone: 0.25 · 4 · 5.67e-8 · 276.15³ = 1.19
    assert heat_loss_coefficient(276.15, 276.15, 0.6) == pytest.approx(1.19, abs=0.01)


def test_time_constants_by_hand() -> None:
    # by hand: 19.1 · 4050 + 4.5 · 500 = 79.6 kJ/K over 4.2 · 0.504 = 2.117 W/K: 37.6 ks, 10.4 h;
    # 59.3 · 4050 + 13.5 · 500 = 246.9 kJ/K over 4.2 · 1.023 = 4.298 W/K: 57.4 ks, 16.0 h
    # analytic
    assert small_keg_tau() / HOUR == pytest.approx(10.44, abs=0.05)
    assert half_barrel_tau() / HOUR == pytest.approx(15.96, abs=0.05)


@pytest.mark.parametrize(
    ("start_f", "hours"),
    [
        (50.0, 25.0),  # published: Brewers Association, handbook's table, quoted second-hand
        (40.0, 7.0),  # published: the same
        (48.0, 23.5),  # from memory: the same table
        (46.0, 21.0),  # from memory
        (44.0, 18.0),  # from memory
    ],
)
def test_half_barrel_chills_to_38_degrees_as_published(start_f: float, hours: float) -> None:
    # by hand: from 50 °F in air of 34.5 °F, ln(15.5 / 3.5) = 1.488 time constants of 16 h: 23.8 h.
    # The table gives no air temperature: 34.5 °F and 17.3 h is Newton's law fitted to all five.
    seconds = time_to_reach(
        fahrenheit(start_f), fahrenheit(34.5), fahrenheit(38.0), half_barrel_tau()
    )
    # 15 %: one standard deviation of the coefficient (4.2 ± 0.6); the table itself is even further
    # from a single exponential at its short end
    assert float(seconds) / HOUR == pytest.approx(hours, rel=0.15)


def test_the_published_times_lie_within_the_band() -> None:
    low, high = (half_barrel_tau(HEAT_LOSS.value + k * HEAT_LOSS.sd) for k in (1.0, -1.0))
    # independent: fit of Newton's law to the table, τ = 17.3 h
    assert low < 17.3 * HOUR < high


def test_newton_agrees_with_an_ode() -> None:
    tau, start, air = 36e3, 293.0, 277.0
    # independent: SciPy's integrator on dT/dt = (Ta − T) / τ
    ode = solve_ivp(lambda _, t: (air - t) / tau, (0, 9e4), [start], rtol=1e-10, atol=1e-10)
    assert temperature_after(start, air, 9e4, tau) == pytest.approx(ode.y[0, -1], abs=1e-6)


temperatures = st.floats(250.0, 330.0)


@given(temperatures, temperatures, st.floats(0.0, 3.0), st.floats(1e3, 1e5))
@settings(deadline=None, max_examples=50)
def test_time_and_temperature_undo_each_other(
    start: float, air: float, constants: float, tau: float
) -> None:
    target = temperature_after(start, air, constants * tau, tau)
    if abs(start - air) > 0.1:
        back = time_to_reach(start, air, target, tau)
        # absolute: 1e-13 K of rounding at 0.005 K from the air is 1e-10 of a time constant
        assert back == pytest.approx(constants * tau, abs=1e-9 * tau)
    assert min(start, air) - 1e-9 <= float(target) <= max(start, air) + 1e-9


def test_what_is_never_reached_takes_for_ever() -> None:
    # analytic: the air's own temperature, beyond it, and back behind the start; warming likewise
    for start, air, target in (
        (293.0, 277.0, 277.0),
        (293.0, 277.0, 276.0),
        (293.0, 277.0, 294.0),
        (277.0, 293.0, 293.0),
        (277.0, 293.0, 276.0),
        (277.0, 277.0, 278.0),
    ):
        assert float(time_to_reach(start, air, target, 36e3)) == math.inf
    assert float(time_to_reach(293.0, 277.0, 293.0, 36e3)) == 0.0
    assert float(time_to_reach(277.0, 277.0, 277.0, 36e3)) == 0.0


def test_arrays_give_the_numbers_of_their_elements() -> None:
    target = np.array([293.0, 285.0, 277.0, 270.0])
    tau = np.array([3e4, 4e4, 5e4, 6e4])
    together = time_to_reach(293.0, 277.0, target, tau)
    one_by_one = [
        float(time_to_reach(293.0, 277.0, float(kelvin), float(second)))
        for kelvin, second in zip(target, tau, strict=True)
    ]
    np.testing.assert_allclose(together, one_by_one, rtol=1e-14)
    after = temperature_after(293.0, 277.0, 1e4, tau)
    for place, second in enumerate(tau):
        alone = temperature_after(293.0, 277.0, 1e4, float(second))
        assert np.asarray(after)[place] == pytest.approx(alone, rel=1e-14)
    samples = time_constant(19.1, 4.5, 0.504, coefficient=np.array([3.6, 4.2, 4.8]))
    assert np.all(np.diff(np.asarray(samples)) < 0.0)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRange, match="starting temperature"):
        temperature_after(20.0, 277.0, 1.0, 1.0)
    with pytest.raises(OutOfRange, match="time constant"):
        time_to_reach(293.0, 277.0, 280.0, 0.0)
    with pytest.raises(OutOfRange, match="time"):
        temperature_after(293.0, 277.0, -1.0, 36e3)
    with pytest.raises(OutOfRange, match="target temperature"):
        time_to_reach(293.0, 277.0, 38.0, 36e3)
    with pytest.raises(OutOfRange, match="surface"):
        time_constant(19.0, 4.5, 0.0)
    with pytest.raises(OutOfRange, match="diameter"):
        cylinder_area(-0.2, 0.6)
    with pytest.raises(OutOfRange, match="emissivity"):
        heat_loss_coefficient(280.0, 276.0, 0.6, emissivity=1.5)
