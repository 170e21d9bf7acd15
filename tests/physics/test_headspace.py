import doctest

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import headspace
from ullage.physics.co2 import gas_density, gas_mass

PSI = 6894.757
KEG = 0.0190
COLD = 277.0
SLOPE = 1.35e-5

litres = st.floats(1e-4, 0.06)
kelvins = st.floats(270.0, 310.0)
pressures = st.floats(101_325.0, 5.0e5)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(headspace).failed == 0


# analytic, by hand for 30 psi: 14.696 / 44.696 = 0.3288; its fifth power 0.003843, of 20.95 % is
# 805 ppm; its tenth 1.477e-5, 3.1 ppm
@pytest.mark.parametrize(("psi", "cycles", "ppm"), [(30, 5, 805.0), (30, 10, 3.1), (15, 10, 185.0)])
def test_oxygen_left_by_purging(psi: float, cycles: float, ppm: float) -> None:
    left = headspace.oxygen_after_purges(cycles, psi * PSI)
    assert 1e6 * left == pytest.approx(ppm, rel=0.01)


def test_higher_up_a_purge_does_more() -> None:
    sea, hill = (headspace.oxygen_after_purges(5.0, 30 * PSI, air) for air in (101_325.0, 84_000.0))
    assert hill < sea


@given(st.floats(1e-7, 0.2), st.floats(1e4, 4e5))
def test_cycles_to_reach_is_the_least_number(fraction: float, gauge: float) -> None:
    cycles = headspace.cycles_to_reach(fraction, gauge)
    assert headspace.oxygen_after_purges(cycles, gauge) <= fraction * (1.0 + 1e-6)
    assert headspace.oxygen_after_purges(cycles - 1, gauge) > fraction


def test_no_cycles_where_none_are_needed() -> None:
    assert headspace.cycles_to_reach(0.3, 1e5) == 0
    exact = headspace.oxygen_after_purges(7, 1e5)
    assert headspace.cycles_to_reach(exact, 1e5) == 7


def test_gas_for_purging() -> None:
    # by hand, ideal: each cycle of 30 psi into 19 L at 20 °C adds 206,843 Pa * 0.019 m3 * 44.01e-3
    # / (8.314 * 293.15) = 0.0710 kg; the true gas is 2 % denser at the top
    one = headspace.purge_gas_mass(1, KEG, 30 * PSI, 293.15)
    assert one == pytest.approx(0.0710, rel=0.03)
    assert headspace.purge_gas_mass(10, KEG, 30 * PSI, 293.15) == pytest.approx(10 * one, rel=1e-12)
    assert headspace.purge_gas_mass(0, KEG, 30 * PSI, 293.15) == 0.0


def test_gas_that_pushes() -> None:
    # by hand, ideal: 19 L at 12 psi gauge and 4 °C: 184,062 * 0.019 * 44.01e-3 / (8.314 * 277)
    # = 0.0668 kg, and 1 % more for the true gas
    keg = headspace.push_gas_mass(KEG, 101_325.0 + 12 * PSI, COLD)
    assert keg == pytest.approx(0.0668, rel=0.02)
    assert headspace.push_gas_mass(KEG / 2, 101_325.0 + 12 * PSI, COLD) == pytest.approx(keg / 2)


@given(litres, pressures, pressures, kelvins)
def test_a_vent_takes_what_a_top_up_gave(
    head: float, one: float, two: float, kelvin: float
) -> None:
    low, high = sorted((one, two))
    added = headspace.top_up_mass(head, low, high, kelvin)
    assert added >= 0.0
    assert headspace.vented_mass(head, high, low, kelvin) == added
    kept = gas_mass(high, head, kelvin) - added
    assert kept == pytest.approx(gas_mass(low, head, kelvin), rel=1e-12)


def test_gas_for_the_beer() -> None:
    # by hand: 18.9 L * (2.50 - 0.86) * 1.9768 g/L = 61.3 g
    mass = headspace.gas_to_carbonate(0.0189, 0.86, 2.50)
    assert 1e3 * mass == pytest.approx(61.3, abs=0.05)
    assert headspace.gas_to_carbonate(0.0189, 2.50, 0.86) == -mass


@given(litres, litres, st.floats(0.0, 4.0), kelvins, st.floats(0.7e-5, 1.8e-5), st.floats(0.0, 0.1))
def test_a_shut_keg_keeps_its_mass(
    beer: float, head: float, level: float, kelvin: float, slope: float, offset: float
) -> None:
    total = headspace.gas_to_carbonate(beer, 0.0, level + offset) + 1.5 * head
    rest = headspace.shut_equilibrium(beer, head, total, kelvin, slope, offset)
    assert rest.head_kg + rest.beer_kg == pytest.approx(total, rel=1e-12)
    # the head is at the pressure of its own mass, and the beer at the level of that pressure
    assert rest.head_kg == pytest.approx(gas_mass(float(rest.pressure_pa), head, kelvin), rel=1e-9)
    assert rest.level_vol == pytest.approx(offset + slope * rest.pressure_pa, rel=1e-12)


@given(litres, litres, st.floats(0.0, 2.5), pressures, kelvins)
def test_a_charge_shared_keeps_its_mass(
    beer: float, head: float, level: float, charge: float, kelvin: float
) -> None:
    rest = headspace.rest_after_charge(beer, head, level, charge, kelvin, SLOPE)
    before = gas_mass(charge, head, kelvin) + headspace.gas_to_carbonate(beer, 0.0, level)
    assert rest.head_kg + rest.beer_kg == pytest.approx(before, rel=1e-12)
    # it ends between where the beer was and where the charge would hold it
    low, high = sorted((level, SLOPE * charge))
    assert low * (1 - 1e-9) <= rest.level_vol <= high * (1 + 1e-9)


@given(litres, litres, st.floats(0.01, 0.2), kelvins)
def test_more_gas_is_more_pressure(beer: float, head: float, total: float, kelvin: float) -> None:
    assume(total / (beer * 1.9768 * SLOPE + head * 1.8e-5) < 1e6)
    less = headspace.shut_equilibrium(beer, head, total, kelvin, SLOPE)
    more = headspace.shut_equilibrium(beer, head, 1.01 * total, kelvin, SLOPE)
    assert more.pressure_pa > less.pressure_pa
    assert more.level_vol > less.level_vol


def test_the_ends_of_a_shut_keg() -> None:
    # analytic: no head, so the beer holds it all; no beer, so the head does
    brim = headspace.shut_equilibrium(0.019, 0.0, 0.080, COLD, SLOPE)
    assert brim.level_vol == pytest.approx(0.080 / (0.019 * 1.9768), rel=1e-12)
    dry = headspace.shut_equilibrium(0.0, 0.019, 0.080, COLD, SLOPE)
    assert gas_density(float(dry.pressure_pa), COLD) == pytest.approx(0.080 / 0.019, rel=1e-12)
    assert headspace.shut_equilibrium(0.018, 0.001, 0.0, COLD, SLOPE).pressure_pa == 0.0


def test_arrays_of_samples() -> None:
    slopes = np.array([1.2e-5, 1.35e-5, 1.5e-5])
    rest = headspace.shut_equilibrium(0.018, 0.001, 0.080, COLD, slopes)
    single = headspace.shut_equilibrium(0.018, 0.001, 0.080, COLD, 1.35e-5)
    assert np.asarray(rest.pressure_pa)[1] == pytest.approx(single.pressure_pa, rel=1e-14)
    assert np.all(np.diff(np.asarray(rest.pressure_pa)) < 0.0)


@pytest.mark.parametrize(
    ("beer", "head", "total", "names"),
    [
        (-0.01, 0.001, 0.05, "beer"),
        (0.01, -0.001, 0.05, "head"),
        (0.0, 0.0, 0.05, "together"),
        (0.01, 0.001, -0.05, "CO2"),
        (0.01, 0.001, float("nan"), "CO2"),
        (0.01, 0.001, 2.0, "MPa"),
        (0.0, 0.001, 0.2, "MPa"),
    ],
)
def test_impossible_kegs_are_refused(beer: float, head: float, total: float, names: str) -> None:
    with pytest.raises(OutOfRange, match=names):
        headspace.shut_equilibrium(beer, head, total, COLD, SLOPE)


def test_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(OutOfRange, match="raises the pressure"):
        headspace.top_up_mass(0.001, 2e5, 1e5, COLD)
    with pytest.raises(OutOfRange, match="lowers the pressure"):
        headspace.vented_mass(0.001, 1e5, 2e5, COLD)
    with pytest.raises(OutOfRange, match="offset"):
        headspace.shut_equilibrium(0.018, 0.001, 0.001, COLD, SLOPE, 0.5)
    with pytest.raises(OutOfRange, match="gauge pressure"):
        headspace.oxygen_after_purges(3, -1.0)
    with pytest.raises(OutOfRange, match="gauge pressure"):
        headspace.cycles_to_reach(1e-3, 0.0)
