import doctest

import numpy as np
import pytest
from CoolProp.CoolProp import PT_INPUTS, AbstractState, PropsSI
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import co2

PRESSURES = (1.0e5, 1.01325e5, 2.0e5, 4.0e5, 6.0e5)
KELVINS = (273.15, 277.0, 283.15, 293.15, 310.0)

pressures = st.floats(1.0, 1.4e6)
kelvins = st.floats(252.0, 349.0)
volumes = st.floats(1e-5, 1.0)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(co2).failed == 0


@pytest.mark.parametrize("kelvin", [250.0, *KELVINS, 350.0])
def test_second_virial_agrees_with_the_reference_equation_of_state(kelvin: float) -> None:
    # independent: CoolProp, Span and Wagner 1996, at vanishing density
    expected = PropsSI("Bvirial", "T", kelvin, "Dmolar", 1e-6, "CO2")
    assert co2.second_virial(kelvin) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("pressure", PRESSURES)
@pytest.mark.parametrize("kelvin", KELVINS)
def test_density_agrees_with_the_reference_equation_of_state(
    pressure: float, kelvin: float
) -> None:
    # independent: CoolProp, Span and Wagner 1996. By hand: the term left out of Z is C ρ², with
    # C = 5.6e-9 m6/mol2 and ρ = 275 mol/m3 at 0.6 MPa and 0 °C, so 0.0004
    expected = PropsSI("Dmass", "P", pressure, "T", kelvin, "CO2")
    assert co2.gas_density(pressure, kelvin) == pytest.approx(expected, rel=0.8e-3)
    z = PropsSI("Z", "P", pressure, "T", kelvin, "CO2")
    assert co2.compressibility(pressure, kelvin) == pytest.approx(z, rel=0.8e-3)


@pytest.mark.parametrize("pressure", PRESSURES)
@pytest.mark.parametrize("kelvin", KELVINS)
def test_fugacity_agrees_with_the_reference_equation_of_state(
    pressure: float, kelvin: float
) -> None:
    # independent: CoolProp, Span and Wagner 1996
    state = AbstractState("HEOS", "CO2")
    state.update(PT_INPUTS, pressure, kelvin)
    expected = state.fugacity_coefficient(0)
    assert co2.fugacity_coefficient(pressure, kelvin) == pytest.approx(expected, rel=0.5e-3)


@pytest.mark.parametrize("pressure", [1.0e6, 1.5e6])
@pytest.mark.parametrize("kelvin", [253.15, 273.15, 330.0])
def test_the_error_at_the_edge_is_the_one_that_is_told(pressure: float, kelvin: float) -> None:
    # independent: CoolProp, Span and Wagner 1996
    expected = PropsSI("Dmass", "P", pressure, "T", kelvin, "CO2")
    assert co2.gas_density(pressure, kelvin) == pytest.approx(expected, rel=0.7e-2)


def test_a_pound_of_gas() -> None:
    # published: 1 lb of CO2 fills 8.76 ft3 at 70 °F and 1 atm (gas suppliers' tables, rounded from
    # an ideal gas); independent: 8.742 with CoolProp. By hand, ideal: 0.4536 kg / 44.01 g/mol
    # * 24.14 L/mol = 248.8 L = 8.79 ft3, less half a per cent
    kelvin = (70.0 + 459.67) / 1.8
    cubic_feet = 0.45359237 / co2.gas_density(101_325.0, kelvin) / 0.3048**3
    assert cubic_feet == pytest.approx(8.742, abs=0.001)
    assert cubic_feet == pytest.approx(8.76, rel=0.003)


def test_one_volume_weighs_what_the_constant_says() -> None:
    # independent: 1.9768 kg/m3 is CoolProp's, typed into the constants
    assert co2.gas_density(101_325.0, 273.15) == pytest.approx(1.9768, rel=1e-4)


@given(pressures, volumes, kelvins)
def test_mass_and_pressure_undo_each_other(pressure: float, volume: float, kelvin: float) -> None:
    mass = co2.gas_mass(pressure, volume, kelvin)
    assert co2.pressure_of_mass(mass, volume, kelvin) == pytest.approx(pressure, rel=1e-12)
    again = co2.gas_mass(co2.pressure_of_mass(mass, volume, kelvin), volume, kelvin)
    assert again == pytest.approx(mass, rel=1e-12)


@given(pressures, kelvins)
def test_pressure_packs_and_warmth_thins(pressure: float, kelvin: float) -> None:
    assert co2.gas_density(1.01 * pressure, kelvin) > co2.gas_density(pressure, kelvin)
    assert co2.gas_density(pressure, kelvin + 0.5) < co2.gas_density(pressure, kelvin)


@given(kelvins)
def test_thin_gas_is_ideal(kelvin: float) -> None:
    # analytic: both tend to 1 as pressure tends to 0
    assert co2.compressibility(1.0, kelvin) == pytest.approx(1.0, abs=1e-6)
    assert co2.fugacity_coefficient(0.0, kelvin) == 1.0


def test_arrays_broadcast_and_equal_the_single_numbers() -> None:
    grid_p, grid_t = np.array([[1e5], [6e5]]), np.array([275.0, 290.0, 305.0])
    mass = co2.gas_mass(grid_p, 0.019, grid_t)
    assert isinstance(mass, np.ndarray)
    assert mass.shape == (2, 3)
    assert mass[1, 2] == pytest.approx(co2.gas_mass(6e5, 0.019, 305.0), rel=1e-15)
    back = co2.pressure_of_mass(mass, 0.019, grid_t)
    assert back == pytest.approx(np.broadcast_to(grid_p, (2, 3)), rel=1e-12)


@pytest.mark.parametrize(
    ("pressure", "volume", "kelvin", "names"),
    [
        (-1.0, 0.01, 280.0, "pressure"),
        (1.6e6, 0.01, 280.0, "pressure"),
        (float("nan"), 0.01, 280.0, "pressure"),
        (1e5, -0.01, 280.0, "volume"),
        (1e5, float("nan"), 280.0, "volume"),
        (1e5, 0.01, 0.0, "temperature"),
        (1e5, 0.01, 38.0, "temperature"),
        (1e5, 0.01, float("nan"), "temperature"),
    ],
)
def test_impossible_gas_is_refused(
    pressure: float, volume: float, kelvin: float, names: str
) -> None:
    with pytest.raises(OutOfRange, match=names):
        co2.gas_mass(pressure, volume, kelvin)


@pytest.mark.parametrize(
    ("mass", "volume", "names"),
    [(-0.1, 0.01, "mass"), (float("nan"), 0.01, "mass"), (0.1, 0.0, "volume"), (5.0, 0.01, "MPa")],
)
def test_impossible_mass_is_refused(mass: float, volume: float, names: str) -> None:
    with pytest.raises(OutOfRange, match=names):
        co2.pressure_of_mass(mass, volume, 280.0)


def test_one_bad_sample_in_an_array_is_named() -> None:
    with pytest.raises(OutOfRange, match=r"-3 Pa was given"):
        co2.gas_density(np.array([1e5, -3.0]), 280.0)
