"""Chilling limited by a machine against its limits and an ODE solver; cycles against hands."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ullage.errors import OutOfRange
from ullage.physics.cooling import Cabinet, cycling, duty, pull_down_time
from ullage.physics.thermal import time_to_reach

HEAT, LOSS = 80e3, 2.1
"""A full 5 gal keg, J/K and W/K: 19.1 kg of beer, 4.5 kg of steel, 0.5 m² at 4.2 W/(m² K)."""


def test_with_power_enough_it_is_newton_alone() -> None:
    # analytic: the same law as `thermal`
    found = pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS)
    assert found == pytest.approx(time_to_reach(293.0, 276.0, 277.0, HEAT / LOSS))
    assert pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS, 1e4) == pytest.approx(found)


def test_with_little_power_it_is_the_heat_over_the_power() -> None:
    # analytic, by hand: with 1 W the machine is the limit down to 0.48 K above the air:
    # 80 kJ/K × 15.5 K / 1 W = 1.24e6 s, and nothing of Newton's down to a target 1 K above
    assert pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS, 1.0) == pytest.approx(HEAT * 16.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(278.0, 300.0), st.floats(0.5, 5.0), st.floats(5.0, 500.0), st.integers(1, 6))
def test_it_is_what_a_solver_finds(start: float, above: float, power: float, kegs: int) -> None:
    air, target = 276.0, 276.0 + above
    heat, loss = kegs * HEAT, kegs * LOSS
    if target >= start:
        return

    def slope(_: float, kelvin: np.ndarray) -> np.ndarray:
        return -np.minimum(loss * (kelvin - air), power) / heat

    def reached(_: float, kelvin: np.ndarray) -> float:
        return float(kelvin[0] - target)

    setattr(reached, "terminal", True)  # noqa: B010 (how the solver is told)
    found = float(pull_down_time(start, air, target, heat, loss, power))
    solved = solve_ivp(
        slope,
        (0.0, 2.0 * found),
        [start],
        events=reached,
        rtol=1e-8,
        atol=1e-10,
        max_step=found / 50,
    )
    # independent: an ODE solver on the same heat balance
    assert solved.t_events is not None
    assert solved.t_events[0][0] == pytest.approx(found, rel=1e-4)


@given(st.floats(10.0, 500.0), st.floats(1.01, 3.0))
def test_more_power_is_never_slower(power: float, more: float) -> None:
    slow = pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS, power)
    assert pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS, power * more) <= slow * (1 + 1e-12)


def test_what_cannot_be_reached_takes_for_ever() -> None:
    assert math.isinf(float(pull_down_time(293.0, 276.0, 275.0, HEAT, LOSS)))
    with pytest.raises(OutOfRange, match="power"):
        pull_down_time(293.0, 276.0, 277.0, HEAT, LOSS, 0.0)


def test_duty_is_the_leak_over_the_power() -> None:
    # analytic
    assert duty(30.0, 120.0) == 0.25
    assert duty(300.0, 120.0) == 1.0
    assert np.allclose(duty(np.array([30.0, 60.0]), 120.0), [0.25, 0.5])


CABINET = Cabinet(12e3, 3 * HEAT, 1.8, 3 * LOSS, 130.0, 294.0)


def test_cycles_of_the_air_by_hand() -> None:
    # analytic, by hand: around 276 K the leak is 1.8 × 18 = 32 W; a swing of 1 K each way is held
    # back by the kegs' 6.3 W/K, which about cancels over the swing. Off 12 kJ/K × 2 K / 32 W =
    # 740 s, on 12 × 2 / (130 - 32) = 245 s: 3.7 an hour; the kegs' pull at the ends changes 15 %
    found = cycling(CABINET, 276.0, 2.0, "air")
    assert found.starts_per_hour == pytest.approx(3.7, rel=0.2)
    assert found.air_high_k - found.air_low_k == pytest.approx(2.0, abs=0.2)
    assert found.load_high_k - found.load_low_k < 0.05


def test_a_probe_on_a_keg_makes_the_air_swing_far() -> None:
    # analytic, by hand: held on, the air settles where leak and kegs bring 130 W:
    # (1.8 × 294 + 6.3 × 276 - 130) / 8.1 = 264 K
    found = cycling(CABINET, 276.0, 1.0, "load")
    assert found.air_low_k == pytest.approx(264.0, abs=1.0)
    assert found.load_high_k - found.load_low_k == pytest.approx(1.0, abs=0.3)
    assert found.starts_per_hour < 0.5


def test_a_slow_probe_lies_between() -> None:
    air, glass, load = (cycling(CABINET, 276.0, 1.0, probe) for probe in ("air", 3000.0, "load"))
    assert air.starts_per_hour > glass.starts_per_hour > load.starts_per_hour
    assert air.air_low_k > glass.air_low_k > load.air_low_k


def test_what_is_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="cooling"):
        cycling(Cabinet(12e3, HEAT, 1.8, LOSS, 0.0, 294.0), 276.0, 1.0, "air")
    with pytest.raises(OutOfRange, match="differential"):
        cycling(CABINET, 276.0, 0.0, "air")
