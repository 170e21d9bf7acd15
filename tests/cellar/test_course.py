"""A keg followed through pressures and chilling, against an ODE solver and by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from tests.plan.samples import DAY, HOUR, PSI, fahrenheit, keg_case
from ullage.cellar.course import (
    equilibrium_samples,
    first_fallen,
    first_reached,
    follow,
    gauge_samples,
    rate_samples,
    serving_gauge,
)
from ullage.cellar.draws import draws
from ullage.cellar.track import KegCase, Phase
from ullage.errors import OutOfRange
from ullage.physics import absorption, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.constants import SHAKEN_CONTACT, STONE_CONTACT

CONTACTS = {"still": 1.0, "shaken": SHAKEN_CONTACT.value, "stone": STONE_CONTACT.value}


def integrated(case: KegCase, phases: Sequence[Phase], times: Sequence[float]) -> list[float]:
    """independent: dc/dt = r(T) Δ^(4/3) by LSODA, with T = Ta + (T0 − Ta) exp(−t/τ)."""
    factor = float(beer_physics.solubility_factor(case.beer))
    chilling = case.start_k != case.place_k

    def held(seconds: float, gauge_pa: float) -> tuple[float, float]:
        kelvin = case.place_k + (case.start_k - case.place_k) * math.exp(-seconds / case.tau_s)
        level = solubility.equilibrium_volumes(case.ambient_pa + gauge_pa, kelvin, factor)
        return level, float(absorption.still_rate(case.beer, kelvin, case.depth_m))

    found, level, begin = {0.0: case.start_vol}, case.start_vol, 0.0
    for phase in phases:
        end, fixed = begin + phase.seconds, held(0.0, phase.gauge_pa)

        def slope(
            seconds: float,
            levels: NDArray[np.float64],
            phase: Phase = phase,
            fixed: tuple[float, float] = fixed,
        ) -> list[float]:
            most, rate = held(seconds, phase.gauge_pa) if chilling else fixed
            gap = most - float(levels[0])
            return [CONTACTS[phase.contact] * rate * gap * float(np.cbrt(abs(gap)))]

        inside = [time for time in times if begin < time < end] + [end]
        solved = solve_ivp(
            slope, (begin, end), [level], method="LSODA", rtol=1e-9, atol=1e-12, t_eval=inside
        )
        found |= dict(zip(inside, solved.y[0].tolist(), strict=True))
        level, begin = found[end], end
    return [found[time] for time in times]


@pytest.mark.parametrize(
    ("warm", "phases"),
    [
        pytest.param(68, (Phase(14 * DAY, 10 * PSI),), id="one pressure"),
        pytest.param(
            68,
            (Phase(DAY, 40 * PSI), Phase(4 * DAY, 13 * PSI), Phase(9 * DAY, 16 * PSI)),
            id="a schedule of pressures",
        ),
        pytest.param(86, (Phase(6 * HOUR, 0.0), Phase(9 * DAY, 30 * PSI)), id="first no gas"),
        pytest.param(29, (Phase(10 * DAY, 12 * PSI),), id="it warms up"),
        pytest.param(70, (Phase(20 * HOUR, 12 * PSI), Phase(1800.0, 14 * PSI, "shaken")), id="s"),
    ],
)
def test_a_chilling_keg_follows_the_solver_within_0_005_volumes(
    warm: float, phases: tuple[Phase, ...]
) -> None:
    case = keg_case(start_k=fahrenheit(warm), place_k=fahrenheit(38))
    ends = np.cumsum([phase.seconds for phase in phases])
    marks = sorted({*np.linspace(0.0, float(ends[-1]), 57).tolist(), *ends.tolist()})
    course = follow(case, phases, marks)
    at = np.searchsorted(course.time_s, marks)
    # independent: the solver; tolerance: the project's own bar
    assert course.level_vol[at] == pytest.approx(integrated(case, phases, marks), abs=0.005)


@st.composite
def schedules(draw: st.DrawFn) -> tuple[Phase, ...]:
    """One to four phases of rising pressure: a keg that never holds more than it could."""
    gauges = sorted(draw(st.lists(st.floats(2.0, 45.0), min_size=1, max_size=4)))
    return tuple(
        Phase(
            HOUR * draw(st.floats(0.1, 120.0)),
            gauge * PSI,
            draw(st.sampled_from(("still", "still", "stone", "shaken"))),
        )
        for gauge in gauges
    )


@settings(max_examples=40, deadline=None)
@given(schedules(), st.floats(33.0, 75.0), st.floats(0.0, 0.7), st.floats(0.05, 0.6))
def test_random_schedules_at_one_temperature_follow_the_solver_within_0_002_volumes(
    phases: tuple[Phase, ...], degrees: float, start: float, depth: float
) -> None:
    kelvin = fahrenheit(degrees)
    case = keg_case(start_k=kelvin, place_k=kelvin, start_vol=start, depth_m=depth)
    ends = np.cumsum([phase.seconds for phase in phases]).tolist()
    course = follow(case, phases)
    at = np.searchsorted(course.time_s, ends)
    assert course.level_vol[at] == pytest.approx(integrated(case, phases, ends), abs=0.002)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.0, 10.0), st.floats(0.0, 4.0), st.floats(33.0, 75.0))
def test_more_pressure_never_means_fewer_volumes(
    gauge: float, more: float, start: float, warm: float
) -> None:
    case = keg_case(start_vol=start, start_k=fahrenheit(warm))
    marks = np.linspace(0.0, 14 * DAY, 15).tolist()
    low = follow(case, (Phase(14 * DAY, gauge * PSI),), marks).level_vol
    high = follow(case, (Phase(14 * DAY, (gauge + more) * PSI),), marks).level_vol
    assert np.all(high >= low - 1e-9)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.0, 5.0), st.sampled_from(("still", "shaken", "stone")))
def test_levels_go_towards_the_balance_and_never_beyond(
    gauge: float, start: float, contact: str
) -> None:
    case = keg_case(start_vol=start)
    phase = Phase(14 * DAY, gauge * PSI, contact)  # type: ignore[arg-type]
    course = follow(case, (phase,), np.linspace(0.0, 14 * DAY, 40).tolist())
    end = float(course.stretches.equilibrium_vol[0])
    gaps = end - course.level_vol
    assert np.all(np.diff(np.abs(gaps)) <= 1e-12)
    assert np.all(gaps * gaps[0] >= 0.0)


def test_marks_change_nothing_where_the_temperature_stays() -> None:
    case, phases = keg_case(), (Phase(2 * DAY, 30 * PSI), Phase(5 * DAY, 14 * PSI))
    coarse = follow(case, phases).level_vol
    fine = follow(case, phases, np.linspace(0.0, 7 * DAY, 400).tolist())
    # analytic: pieces of one closed form put together are the closed form
    assert fine.level_vol[-1] == pytest.approx(coarse[-1], abs=1e-12)


def test_first_reached_is_the_closed_form_turned_round() -> None:
    case = keg_case()
    course = follow(case, (Phase(28 * DAY, 10 * PSI),))
    found = float(first_reached(course, 2.0)[0])
    rate = float(absorption.still_rate(case.beer, case.place_k, case.depth_m))
    end = float(course.stretches.equilibrium_vol[0])
    # analytic: t = 3/r (Δ1^(−1/3) − Δ0^(−1/3)).
    # By hand: r = 2.1e-6, Δ0 = 2.38 − 0.82 = 1.56, Δ1 = 0.38: 1.4e6 · (1.38 − 0.86) = 0.74e6 s
    by_hand = 3.0 / rate * ((end - 2.0) ** (-1 / 3) - (end - 0.82) ** (-1 / 3))
    # the single course reads the beer's properties from a table that errs by 1e-6 at most
    assert found == pytest.approx(by_hand, rel=5e-6)
    assert 0.6e6 < found < 0.9e6
    assert follow(case, (Phase(found, 10 * PSI),)).level_vol[-1] == pytest.approx(2.0, abs=1e-9)


def test_first_reached_answers_each_column_and_says_never() -> None:
    case = keg_case()
    speeds = np.array([1.0, 2.0, 0.5, 1e-6])
    course = follow(case, (Phase(28 * DAY, 10 * PSI),), rate_factor=speeds)
    found = first_reached(course, 2.0)
    # analytic: at constant conditions the time goes as one over the rate
    assert found[1] == pytest.approx(found[0] / 2, rel=1e-9)
    assert found[2] == pytest.approx(found[0] * 2, rel=1e-9)
    assert math.isinf(found[3])
    assert first_reached(course, 0.5).tolist() == [0.0] * 4
    assert all(math.isinf(seconds) for seconds in first_reached(course, 2.6))


def test_first_reached_within_a_later_stretch() -> None:
    case, phases = keg_case(), (Phase(DAY, 10 * PSI), Phase(9 * DAY, 40 * PSI))
    course = follow(case, phases)
    seconds = float(first_reached(course, 2.4)[0])
    shorter = (phases[0], Phase(seconds - DAY, 40 * PSI))
    assert DAY < seconds < 10 * DAY
    assert follow(case, shorter).level_vol[-1] == pytest.approx(2.4, abs=1e-9)


def test_a_rate_for_each_phase_is_used_in_that_phase_only() -> None:
    case = keg_case()
    phases = (Phase(DAY, 10 * PSI), Phase(1800.0, 12 * PSI, "shaken"))
    speeds = np.array([[1.0, 1.0, 2.0], [1.0, 0.5, 0.5]])
    level = follow(case, phases, rate_factor=speeds).level_vol
    alone = follow(case, phases).level_vol
    # samples go by the formulas, the single course by a table that errs by 1e-6 at most
    assert level[:, 0] == pytest.approx(alone, abs=5e-6)
    assert level[1, 1] == pytest.approx(alone[1], abs=5e-6)
    assert level[2, 1] < alone[2]
    assert level[1, 2] > alone[1]


def slab(fourier: float) -> float:
    """analytic: share of an excess left in a slab with one free face, Fourier's whole series."""
    odd = 2 * np.arange(4000) + 1
    return float(np.sum(8 / (math.pi * odd) ** 2 * np.exp(-((math.pi * odd / 2) ** 2) * fourier)))


@pytest.mark.parametrize("days", [0.5, 3.0, 10.0, 27.0])
def test_beer_at_rest_loses_an_excess_by_diffusion_alone(days: float) -> None:
    case = keg_case(start_vol=3.5, depth_m=0.06)
    course = follow(case, (Phase(28 * DAY, 10 * PSI),), [days * DAY])
    ratio = float(beer_physics.viscosity(case.beer, case.place_k) / water.viscosity(case.place_k))
    diffusion = float(absorption.diffusivity(case.place_k, ratio))
    end = float(course.stretches.equilibrium_vol[0])
    level = end + (3.5 - end) * slab(diffusion * days * DAY / 0.06**2)
    at = int(np.searchsorted(course.time_s, days * DAY))
    # tolerance: the two closed forms of the series agree within 0.001 of the excess of 1.1
    assert course.level_vol[at] == pytest.approx(level, abs=0.002)


def test_first_fallen_finds_the_time_of_a_fall() -> None:
    case = keg_case(start_vol=2.8, depth_m=0.05)
    hours = np.arange(0.0, 28 * DAY, 6 * HOUR).tolist()
    course = follow(case, (Phase(28 * DAY, 10 * PSI),), hours)
    seconds = first_fallen(course, 2.7)
    short = follow(case, (Phase(seconds, 10 * PSI),))
    # tolerance: straight between marks six hours apart
    assert short.level_vol[-1] == pytest.approx(2.7, abs=0.003)
    assert first_fallen(course, 2.9) == 0.0
    assert math.isinf(first_fallen(course, 2.3))


def test_samples_stand_in_columns_around_the_answer() -> None:
    case = keg_case(start_k=fahrenheit(66))
    phases = (Phase(DAY, 40 * PSI), Phase(13 * DAY, 12 * PSI))
    samples = draws()
    middle = follow(case, phases, [7 * DAY])
    spread = follow(case, phases, [7 * DAY], samples)
    assert spread.level_vol.shape == (len(middle.time_s), samples.convection.size)
    assert spread.level_vol[0] == pytest.approx(case.start_vol)
    # the median of a band lies near the scalar answer; tolerance: a tenth of the band
    medians = np.median(spread.level_vol, axis=1)
    assert medians == pytest.approx(middle.level_vol, abs=0.02)
    low, high = np.quantile(spread.level_vol[-1], (0.1, 0.9))
    assert 0.05 < high - low < 0.6


def test_quick_slow_and_usual_rates_are_around_one() -> None:
    for contact in ("still", "shaken", "stone"):
        rates = rate_samples(contact, draws())
        assert np.median(rates) == pytest.approx(1.0, abs=0.03)
        assert rates.min() >= 0.2 - 1e-12


def test_serving_pressure_and_level_undo_each_other() -> None:
    case = keg_case()
    factor = float(beer_physics.solubility_factor(case.beer))
    for target in (1.6, 2.2, 2.8, 3.9):
        gauge = serving_gauge(case, target)
        held = solubility.equilibrium_volumes(case.ambient_pa + gauge, case.place_k, factor)
        assert held == pytest.approx(target, abs=1e-9)


def test_bands_of_level_and_pressure_answer_the_same_question() -> None:
    case, samples = keg_case(), draws()
    gauge = serving_gauge(case, 2.5)
    volumes = np.quantile(equilibrium_samples(case, gauge, samples), (0.1, 0.9))
    pressures = np.quantile(gauge_samples(case, 2.5, samples), (0.1, 0.9))
    # by hand: beer 3 % of 2.5 = 0.075, half a kelvin 0.042, half a psi 0.047 volumes: 0.098
    # together, times 1.28 for 80 %: ± 0.125 volumes, at 0.094 volumes for a psi ± 1.3 psi
    assert volumes == pytest.approx((2.375, 2.625), abs=0.03)
    assert (pressures - gauge) / PSI == pytest.approx((-1.3, 1.3), abs=0.3)


def test_too_many_volumes_are_refused_in_a_brewers_words() -> None:
    warm = keg_case(place_k=fahrenheit(110))
    with pytest.raises(OutOfRange, match="need more pressure than any keg is made for"):
        serving_gauge(warm, 6.0)
