import doctest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import cylinder
from ullage.physics.co2 import gas_mass
from ullage.physics.cylinder import cylinder_state, water_capacity

POUND = 0.45359237
PSI = 6894.757
BAR = 1e5


def fahrenheit(degrees: float) -> float:
    return (degrees + 459.67) / 1.8


FULL = 10.0 * POUND
VOLUME = water_capacity(FULL)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(cylinder).failed == 0


# analytic, by hand for 10 lb: 4.536 kg / 0.68 = 6.671 kg of water, at 0.999 kg/L 6.68 L
# (filling density of 49 CFR 173.304a)
@pytest.mark.parametrize(("pounds", "litres"), [(5, 3.34), (10, 6.68), (20, 13.35)])
def test_water_capacity_follows_from_the_rated_mass(pounds: float, litres: float) -> None:
    assert 1e3 * water_capacity(pounds * POUND) == pytest.approx(litres, abs=0.005)


# pin: CoolProp's own numbers, which these functions call; the published ones follow below
@pytest.mark.parametrize(("celsius", "bar"), [(0.0, 34.85), (20.0, 57.29), (30.0, 72.14)])
def test_vapour_pressure_is_that_of_the_library(celsius: float, bar: float) -> None:
    pressure = cylinder.saturation_pressure(273.15 + celsius)
    assert pressure / BAR == pytest.approx(bar, abs=0.005)


def test_the_gauge_of_a_cylinder_with_liquid() -> None:
    # published: 830 psig at 70 °F (gas suppliers' data sheets); pin: 838.1 psig
    for share in (0.4, 0.7, 1.0):
        state = cylinder_state(share * FULL, VOLUME, fahrenheit(70.0))
        assert state.phase == "liquid and gas"
        assert state.gauge_pressure_pa / PSI == pytest.approx(830.0, rel=0.012)
        assert state.gauge_pressure_pa / PSI == pytest.approx(838.1, abs=0.1)


# pin: worked out with CoolProp at the legal fill. By hand at 70 °F: vapour of 203 kg/m3 in a fill
# of 679 kg/m3 is 0.299
@pytest.mark.parametrize(("kelvin", "share"), [(fahrenheit(70.0), 0.299), (278.15, 0.169)])
def test_when_the_liquid_is_gone(kelvin: float, share: float) -> None:
    gone = cylinder.liquid_gone_mass(VOLUME, kelvin)
    assert gone / FULL == pytest.approx(share, rel=0.005)
    above, below = (cylinder_state(f * gone, VOLUME, kelvin) for f in (1.01, 0.99))
    assert (above.phase, below.phase) == ("liquid and gas", "gas only")
    assert above.liquid_fraction > 0.0 == below.liquid_fraction
    assert below.gauge_pressure_pa < above.gauge_pressure_pa


def test_when_it_goes_liquid_full() -> None:
    full = cylinder.liquid_full_temperature(FULL, VOLUME)
    assert full is not None
    assert full - 273.15 == pytest.approx(26.8, abs=0.1)  # pin: CoolProp at the legal fill
    assert cylinder_state(FULL, VOLUME, full - 0.1).phase == "liquid and gas"
    assert cylinder_state(FULL, VOLUME, full + 0.1).phase == "liquid full"
    assert cylinder.liquid_full_temperature(0.5 * FULL, VOLUME) is None


def test_a_full_cylinder_in_the_heat() -> None:
    state = cylinder_state(FULL, VOLUME, fahrenheit(100.0))
    # pin: CoolProp. By hand: 1,000 psi at 26.8 °C and 11 °C more at 3 bar each is 1,480 psi
    assert state.gauge_pressure_pa / PSI == pytest.approx(1_460.0, rel=0.002)
    assert state.phase == "above critical"
    assert state.liquid_fraction == 0.0


def test_warm_but_nearly_empty_is_only_gas() -> None:
    assert cylinder_state(0.1 * FULL, VOLUME, fahrenheit(100.0)).phase == "gas only"


def test_an_empty_cylinder_shows_nothing_on_the_gauge() -> None:
    state = cylinder_state(0.0, VOLUME, 293.15)
    assert (state.pressure_pa, state.gauge_pressure_pa, state.phase) == (0.0, 0.0, "gas only")


@settings(max_examples=40)
@given(st.floats(0.02, 1.4), st.floats(250.0, 330.0))
def test_the_parts_of_a_state_agree(share: float, kelvin: float) -> None:
    state = cylinder_state(share * FULL, VOLUME, kelvin)
    assert 0.0 <= state.liquid_fraction <= 1.0
    assert 0.0 <= state.liquid_kg <= state.mass_kg * (1.0 + 1e-12)
    if state.phase == "liquid and gas":
        gas = cylinder.liquid_gone_mass(VOLUME, kelvin) * (1.0 - state.liquid_fraction)
        assert gas + state.liquid_kg == pytest.approx(state.mass_kg, rel=1e-9)
    warmer = cylinder_state(share * FULL, VOLUME, kelvin + 1.0)
    assert warmer.pressure_pa > state.pressure_pa


@settings(max_examples=40)
@given(st.floats(0.01, 0.999), st.floats(250.0, 303.0))
def test_gauge_and_mass_undo_each_other_once_only_gas_is_left(share: float, kelvin: float) -> None:
    mass = share * cylinder.liquid_gone_mass(VOLUME, kelvin)
    gauge = cylinder_state(mass, VOLUME, kelvin).pressure_pa - 101_325.0
    if gauge > 0.0:
        again = cylinder.mass_from_pressure(gauge, VOLUME, kelvin)
        assert again == pytest.approx(mass, rel=1e-6)


def test_low_in_the_cylinder_it_meets_the_keg_gas_equation() -> None:
    # independent: the virial equation of `co2`
    expected = gas_mass(1.0e6, VOLUME, 293.15)
    gauge = 1.0e6 - 101_325.0
    assert cylinder.mass_from_pressure(gauge, VOLUME, 293.15) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(("gauge_bar", "kelvin"), [(56.5, 293.15), (80.0, 293.15), (75.0, 310.0)])
def test_where_the_gauge_says_nothing(gauge_bar: float, kelvin: float) -> None:
    with pytest.raises(OutOfRange, match="weigh the cylinder"):
        cylinder.mass_from_pressure(gauge_bar * BAR, VOLUME, kelvin)


@pytest.mark.parametrize(
    ("mass", "volume", "kelvin", "names"),
    [
        (-1.0, VOLUME, 293.15, "mass"),
        (float("nan"), VOLUME, 293.15, "mass"),
        (1.0, 0.0, 293.15, "volume"),
        (1.0, VOLUME, 200.0, "temperature"),
        (1.0, VOLUME, float("nan"), "temperature"),
        (10.0, VOLUME, 293.15, "over its volume"),
    ],
)
def test_impossible_cylinders_are_refused(
    mass: float, volume: float, kelvin: float, names: str
) -> None:
    with pytest.raises(OutOfRange, match=names):
        cylinder_state(mass, volume, kelvin)


def test_other_impossible_inputs_are_refused() -> None:
    with pytest.raises(OutOfRange, match="rated mass"):
        water_capacity(0.0)
    with pytest.raises(OutOfRange, match="liquid in the cylinder"):
        cylinder.liquid_gone_mass(VOLUME, 305.0)
    with pytest.raises(OutOfRange, match="gauge pressure"):
        cylinder.mass_from_pressure(-1.0, VOLUME, 293.15)


@given(kelvin=st.floats(216.8, 304.1))
@settings(max_examples=40, deadline=None)
def test_the_quick_vapour_pressure_is_that_of_the_equation_of_state(kelvin: float) -> None:
    # independent: CoolProp's equation of state beside Span and Wagner's short equation
    quick = cylinder.quick_vapour_pressure(kelvin)
    assert quick == pytest.approx(cylinder.saturation_pressure(kelvin), rel=5e-4)


@pytest.mark.parametrize("kelvin", [220.0, 250.0, 278.15, 294.26, 303.0])
def test_the_quick_mass_beside_liquid_is_that_of_the_equation_of_state(kelvin: float) -> None:
    # independent: CoolProp's equation of state beside Span and Wagner's short equation
    quick = cylinder.quick_liquid_gone_mass(0.00668, kelvin)
    assert quick == pytest.approx(cylinder.liquid_gone_mass(0.00668, kelvin), rel=1e-3)


# by hand: at 68 °F the vapour pressure is 57.3 bar, 816 psi on the gauge; a tenth less is 51.6 bar
# absolute, 50.5 bar or 733 psi on the gauge. Above 31 °C the critical 73.8 bar counts: 66.4 bar
@pytest.mark.parametrize(
    ("psi", "kelvin", "gone"),
    [
        (830.0, fahrenheit(68.0), False),
        (740.0, fahrenheit(68.0), False),
        (725.0, fahrenheit(68.0), True),
        (300.0, fahrenheit(68.0), True),
        (0.0, fahrenheit(68.0), True),
        (1000.0, fahrenheit(95.0), False),
        (900.0, fahrenheit(95.0), True),
    ],
)
def test_a_gauge_far_below_tells_that_the_liquid_is_gone(
    psi: float, kelvin: float, gone: bool
) -> None:
    assert cylinder.is_liquid_gone(psi * PSI, kelvin) is gone
    if gone:
        # analytic: what is left then is less than what the last liquid leaves behind
        left = cylinder.mass_from_pressure(psi * PSI, VOLUME, kelvin)
        coldest = min(kelvin, 304.0)
        assert 0.0 < left < cylinder.liquid_gone_mass(VOLUME, coldest)


def test_a_temperature_that_no_cylinder_has() -> None:
    with pytest.raises(OutOfRange, match="temperature of the cylinder"):
        cylinder.is_liquid_gone(1e6, 200.0)
