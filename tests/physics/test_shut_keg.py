"""A keg with its gas off: conserved gas, its rest, and its way there."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ullage.errors import OutOfRange
from ullage.physics import absorption, shut_keg, solubility
from ullage.physics.beer import Composition
from ullage.physics.shut_keg import ShutKeg

PSI = 6894.757293168
SEA_LEVEL = 101_325.0
DAY = 86_400.0
COLD = 276.4833  # 38 °F
RESIDUAL = 0.86
PLAIN = Composition(alcohol_abw=3.6, extract_plato=4.06, specific_gravity=1.010)
RATE = float(absorption.still_rate(PLAIN, COLD, 0.53))
FACTOR = 0.957

times = st.floats(0.0, 30 * DAY)
kegs = st.builds(
    ShutKeg,
    beer_m3=st.floats(1e-3, 0.06),
    head_m3=st.floats(1e-4, 0.06),
    temperature_k=st.floats(272.0, 298.0),
    beer_vol=st.floats(0.1, 3.5),
    head_pa=st.floats(8e4, 4.5e5),
)


@given(kegs, times, st.booleans())
@settings(deadline=None, max_examples=100)
def test_a_shut_keg_conserves_its_gas(keg: ShutKeg, seconds: float, still: bool) -> None:
    depletion = 2e-9 if still else None
    after = shut_keg.absorb_shut(keg, seconds, RATE, FACTOR, depletion)
    before = shut_keg.total_volumes_m3(keg)
    assert shut_keg.total_volumes_m3(after) == pytest.approx(before, rel=1e-9)


@given(kegs)
@settings(deadline=None, max_examples=60)
def test_a_shut_keg_comes_to_rest_where_it_is_in_balance(keg: ShutKeg) -> None:
    rest = shut_keg.shut_equilibrium(keg, FACTOR)
    balance = solubility.equilibrium_volumes(rest.head_pa, rest.temperature_k, FACTOR)
    assert rest.beer_vol == pytest.approx(balance, abs=1e-7)
    end = shut_keg.absorb_shut(keg, 1e12, RATE, FACTOR)
    assert end.beer_vol == pytest.approx(rest.beer_vol, abs=1e-4)


@pytest.mark.parametrize("head_share", [0.05, 0.3, 1.0])
@pytest.mark.parametrize("gauge_psi", [10.0, 40.0])
def test_a_shut_keg_follows_the_equations(head_share: float, gauge_psi: float) -> None:
    # independent: solve_ivp on dc/dt = r Δ^(4/3) with the head pressure from the balance of mass.
    # Ours takes c* as a straight line between start and rest, whence the tolerance
    keg = ShutKeg(18.9e-3, 18.9e-3 * head_share, COLD, RESIDUAL, SEA_LEVEL + gauge_psi * PSI)
    total = shut_keg.total_volumes_m3(keg)

    def slope(_: float, level: np.ndarray) -> list[float]:
        beer = float(level[0])
        head = shut_keg.with_beer(keg, total, beer).head_pa
        gap = float(solubility.equilibrium_volumes(head, COLD, FACTOR)) - beer
        return [RATE * math.copysign(abs(gap) ** (4.0 / 3.0), gap)]

    times_s = [0.5 * DAY, 2.0 * DAY, 5.0 * DAY]
    solved = solve_ivp(slope, (0.0, 5 * DAY), [RESIDUAL], "LSODA", times_s, rtol=1e-8, atol=1e-10)
    for seconds, level in zip(times_s, solved.y[0], strict=True):
        ours = shut_keg.absorb_shut(keg, seconds, RATE, FACTOR).beer_vol
        assert ours == pytest.approx(float(level), abs=0.005)


def test_a_top_up_by_hand_in_numbers() -> None:
    # analytic: 1 L of head at 40 psi over 18.9 L at 38 °F. The charge holds
    # 3.77e5/(8.314 · 276.5 · 0.96) = 171 mol/m³, 0.171 mol, 3.8 L of gas: 0.20 volumes if all of it
    # dissolved; about 0.04 stay in the head
    keg = ShutKeg(18.9e-3, 1.0e-3, COLD, RESIDUAL, SEA_LEVEL + 40 * PSI)
    rest = shut_keg.shut_equilibrium(keg, FACTOR)
    assert rest.beer_vol - RESIDUAL == pytest.approx(0.16, abs=0.01)


def test_a_keg_needs_beer_and_headspace() -> None:
    with pytest.raises(OutOfRange, match="headspace"):
        ShutKeg(18.9e-3, 0.0, COLD, 1.0, 2e5)


def test_samples_equal_each_alone() -> None:
    levels = np.array([0.5, 1.5, 3.0])
    keg = ShutKeg(0.0189, 0.002, COLD, levels, SEA_LEVEL + 10 * PSI)
    together = shut_keg.absorb_shut(keg, 2 * DAY, RATE, FACTOR, 2e-9)
    for i, level in enumerate(levels):
        one = ShutKeg(0.0189, 0.002, COLD, float(level), SEA_LEVEL + 10 * PSI)
        alone = shut_keg.absorb_shut(one, 2 * DAY, RATE, FACTOR, 2e-9)
        assert np.asarray(together.beer_vol)[i] == pytest.approx(float(alone.beer_vol), abs=1e-12)
