import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import headspace
from ullage.physics.co2 import gas_mass

PSI = 6894.757
KEG = 0.0190
COLD = 277.0

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
def test_what_a_top_up_adds_is_what_the_head_holds_more(
    head: float, one: float, two: float, kelvin: float
) -> None:
    low, high = sorted((one, two))
    added = headspace.top_up_mass(head, low, high, kelvin)
    assert added >= 0.0
    kept = gas_mass(high, head, kelvin) - added
    assert kept == pytest.approx(gas_mass(low, head, kelvin), rel=1e-12)


def test_gas_for_the_beer() -> None:
    # by hand: 18.9 L * (2.50 - 0.86) * 1.9768 g/L = 61.3 g
    mass = headspace.gas_to_carbonate(0.0189, 0.86, 2.50)
    assert 1e3 * mass == pytest.approx(61.3, abs=0.05)
    assert headspace.gas_to_carbonate(0.0189, 2.50, 0.86) == -mass


def test_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(OutOfRange, match="raises the pressure"):
        headspace.top_up_mass(0.001, 2e5, 1e5, COLD)
    with pytest.raises(OutOfRange, match="gauge pressure"):
        headspace.oxygen_after_purges(3, -1.0)
