"""How fast beer absorbs: against an ODE solver, laws, and what the trade says."""

from __future__ import annotations

import doctest
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ullage.errors import OutOfRange
from ullage.physics import absorption, solubility
from ullage.physics.absorption import Stretches
from ullage.physics.beer import Composition

PSI = 6894.757293168
SEA_LEVEL = 101_325.0
DAY = 86_400.0
COLD = 276.4833  # 38 °F
DEPTH = 0.53
RESIDUAL = 0.86
# a beer 1.6 times as viscous as water: exp(0.05 · 3.6 + 0.035 · 4.06 + 0.148) = 1.60
PLAIN = Composition(alcohol_abw=3.6, extract_plato=4.06, specific_gravity=1.010)
RATE = float(absorption.still_rate(PLAIN, COLD, DEPTH))
FACTOR = 0.957

levels = st.floats(0.0, 6.0)
rates = st.floats(1e-8, 1e-3)
times = st.floats(0.0, 30 * DAY)


def held(gauge_psi: float) -> float:
    return solubility.equilibrium_volumes(SEA_LEVEL + gauge_psi * PSI, COLD, FACTOR)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(absorption).failed == 0


@pytest.mark.parametrize(
    ("celsius", "tabled"), [(10, 1.26), (15, 1.45), (20, 1.67), (25, 1.91), (30, 2.17)]
)
def test_diffusivity_in_water(celsius: float, tabled: float) -> None:
    # published: CRC Handbook after Jähne 1987, in 1e-9 m²/s
    assert absorption.diffusivity(celsius + 273.15) * 1e9 == pytest.approx(tabled, rel=0.01)


@pytest.mark.parametrize(
    ("psi", "days", "volumes"), [(10.0, 7.0, 2.00), (10.0, 14.0, 2.22), (40.0, 1.0, 2.16)]
)
def test_a_still_keg_at_38_degf(psi: float, days: float, volumes: float) -> None:
    # independent: computed beforehand from Nu = 0.15 Ra^(1/3) with nothing fitted (38 °F, depth
    # 0.53 m, 1.6 times water's viscosity, from 0.86 volumes). By hand at 10 psi: k = 1.34e-6 m/s
    # at one volume of gap, r = 2.5e-6; 1.49^(-1/3) = 0.876 grows by r t/3 = 0.51 in 7 days, so
    # the gap is 0.38 and the level 1.99
    level = absorption.absorb(RESIDUAL, held(psi), days * DAY, RATE)
    assert level == pytest.approx(volumes, rel=0.10)


def test_pure_diffusion_would_take_months() -> None:
    # independent: computed beforehand, 6 % of the way in 14 days. By hand: 1.128 √(0.65e-9 · 1.2e6)
    # / 0.53 = 0.060
    diffusion = float(absorption.diffusivity(COLD, 1.6))
    left = float(absorption.kept(diffusion * 14 * DAY / DEPTH**2))
    assert 1.0 - left == pytest.approx(0.06, abs=0.005)


def test_the_trade_says_a_week_or_two_at_serving_pressure() -> None:
    # common practice, no source: 10 psi at 38 °F carbonates in 7 to 14 days; taken as nine tenths
    # of the way from flat, times known to ± 40 %
    near = RESIDUAL + 0.9 * (held(10.0) - RESIDUAL)
    days = absorption.time_to_reach(RESIDUAL, near, held(10.0), RATE) / DAY
    assert 7.0 * 0.6 < days < 14.0 * 1.4


def test_the_trade_says_a_day_at_40_psi() -> None:
    # common practice, no source: 24 h at 40 psi, then serving pressure, for some 2.2 to 2.5 volumes
    hours = absorption.time_to_reach(RESIDUAL, 2.35, held(40.0), RATE) / 3600
    assert 24.0 * 0.6 < hours < 24.0 * 1.4


def test_the_trade_says_half_an_hour_of_shaking() -> None:
    # common practice, no source: about 30 minutes under pressure; ± 40 %
    shaken = RATE * 900.0
    near = held(10.0) - 0.1
    minutes = absorption.time_to_reach(RESIDUAL, near, held(10.0), shaken) / 60
    assert 30 * 0.6 < minutes < 30 * 1.4


@given(st.integers(0, 60), st.integers(0, 60), st.integers(1, 30 * 24), st.floats(1e-7, 1e-4))
@settings(max_examples=60, deadline=None)
def test_the_closed_form_solves_the_equation(
    start_tenths: int, end_tenths: int, hours: int, rate: float
) -> None:
    # independent: solve_ivp (LSODA) on dc/dt = r |Δ|^(4/3) sign(Δ)
    start, end, seconds = start_tenths / 10.0, end_tenths / 10.0, hours * 3600.0

    def slope(_: float, level: np.ndarray) -> np.ndarray:
        gap = end - level
        return rate * np.sign(gap) * np.abs(gap) ** (4.0 / 3.0)

    solved = solve_ivp(slope, (0.0, seconds), [start], method="LSODA", rtol=1e-8, atol=1e-10)
    ours = absorption.absorb(start, end, seconds, rate)
    assert ours == pytest.approx(float(solved.y[0, -1]), abs=0.002)


@given(levels, levels, times, times, rates)
def test_two_pieces_are_one(
    start: float, end: float, first: float, second: float, rate: float
) -> None:
    # analytic: the closed form is a flow, so cutting the time changes nothing
    between = absorption.absorb(start, end, first, rate)
    apart = absorption.absorb(between, end, second, rate)
    assert apart == pytest.approx(absorption.absorb(start, end, first + second, rate), abs=1e-9)


@given(st.floats(0.0, 3.0), st.floats(0.01, 0.99), st.floats(0.1, 3.0), rates)
def test_time_to_reach_undoes_absorb(start: float, share: float, gap: float, rate: float) -> None:
    target = start + share * gap
    seconds = absorption.time_to_reach(start, target, start + gap, rate)
    assert absorption.absorb(start, start + gap, seconds, rate) == pytest.approx(target, abs=1e-9)


def test_what_is_never_reached_takes_for_ever() -> None:
    assert absorption.time_to_reach(1.0, 2.5, 2.4, RATE) == math.inf
    assert absorption.time_to_reach(2.6, 2.5, 2.4, RATE) == 0.0


@given(levels, st.floats(0.0, 60.0), st.floats(0.0, 60.0), times)
def test_more_pressure_never_means_fewer_volumes(
    start: float, low: float, more: float, seconds: float
) -> None:
    weak = absorption.absorb(start, held(low), seconds, RATE)
    strong = absorption.absorb(start, held(min(low + more, 120.0)), seconds, RATE)
    assert strong >= weak - 1e-12


def test_over_carbonated_beer_at_rest_keeps_its_gas() -> None:
    # analytic: half a volume too much loses 1.13 √(D t)/depth of it in a week, some 4 %
    pieces = _pieces(gauge_psi=10.0, days=[7.0])
    after = absorption.follow(held(10.0) + 0.5, pieces)[-1]
    assert held(10.0) + 0.5 - after == pytest.approx(0.5 * 0.043, abs=0.003)


def test_the_age_of_the_floating_layer_is_carried() -> None:
    # analytic: cutting a week into days changes nothing, since the layer does not begin anew
    start = held(10.0) + 0.5
    whole = absorption.follow(start, _pieces(10.0, [7.0]))[-1]
    days = absorption.follow(start, _pieces(10.0, [1.0] * 7))[-1]
    assert days == pytest.approx(whole, abs=1e-12)


def test_samples_in_columns_equal_each_alone() -> None:
    pieces = _pieces(10.0, [1.0, 2.0, 4.0])
    scales = np.array([0.5, 1.0, 2.0])
    columns = replace(pieces, rate=np.outer(pieces.rate, scales))
    for start in (RESIDUAL, held(10.0) + 0.3):
        together = absorption.follow(np.full(3, start), columns)
        for i, scale in enumerate(scales):
            alone = absorption.follow(start, replace(pieces, rate=pieces.rate * scale))
            assert together[:, i] == pytest.approx(alone, abs=1e-12)


def test_time_does_not_run_backwards() -> None:
    with pytest.raises(OutOfRange, match="time ahead"):
        absorption.absorb(1.0, 2.0, -1.0, RATE)


def _pieces(gauge_psi: float, days: list[float]) -> Stretches:
    count = len(days)
    return Stretches(
        seconds=np.array(days) * DAY,
        equilibrium_vol=np.full(count, held(gauge_psi)),
        rate=np.full(count, RATE),
        depletion=np.full(count, float(absorption.diffusivity(COLD, 1.6)) / DEPTH**2),
        agitated=np.zeros(count, dtype=np.bool_),
    )
