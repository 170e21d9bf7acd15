import doctest

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import profile
from ullage.physics.friction import speed
from ullage.physics.hydraulics import Segment, flow_rate
from ullage.physics.profile import (
    breakout_distance,
    margin,
    pressure_profile,
    seconds_below,
)

PATH = [
    Segment(0.55, 6.5e-3, 0.55, name="dip tube"),
    Segment(0.0, 5e-3, loss_coefficient=1.0, name="disconnect"),
    Segment(2.0, 4.7625e-3, 0.3, name="line"),
    Segment(0.1, 6.5e-3, loss_coefficient=1.5, temperature_k=290.0, name="faucet"),
]
DENSITY, VISCOSITY = 1010.0, 2.42e-3


def test_docstrings_are_true() -> None:
    assert doctest.testmod(profile).failed == 0


@given(st.floats(1e4, 3e5), st.floats(0.0, 2.0))
@settings(deadline=None, max_examples=25)
def test_pouring_ends_at_the_pressure_of_the_room(driving: float, scale: float) -> None:
    flow = float(flow_rate(driving, PATH, DENSITY, VISCOSITY, scale))
    way = pressure_profile(flow, driving, PATH, DENSITY, VISCOSITY, loss_scale=scale)
    # analytic: what is left at the mouth is the velocity head, and the outlet takes that
    assert way.gauge_pouring_pa[-1] == pytest.approx(0.0, abs=1e-6 * driving)
    assert np.all(way.gauge_pouring_pa < way.gauge_shut_pa)


def test_a_profile_worked_by_hand() -> None:
    # analytic: one tube of 4 mm, 1 m long, 0.5 m up, 10 mL/s of 1000 kg/m3 and 10 mPa·s:
    # v = 0.79577 m/s, head 316.6 Pa, Re 318 (laminar), friction 128 μ Q / (π d⁴) = 15 915.5 Pa,
    # inlet 158.3 Pa, lift 4903.3 Pa, filled 12.566 mL: 1.2566 s
    tube = [Segment(1.0, 4e-3, 0.5, name="tube")]
    way = pressure_profile(1e-5, 50e3, tube, 1000.0, 10e-3, points_per_segment=3)
    np.testing.assert_allclose(way.distance_m, [0.0, 0.5, 1.0])
    np.testing.assert_allclose(way.gauge_shut_pa, [50e3, 47548.3, 45096.7], atol=0.1)
    start = 50e3 - 316.6 - 158.3
    expected = [start, start - 15915.5 / 2 - 2451.7, start - 15915.5 - 4903.3]
    np.testing.assert_allclose(way.gauge_pouring_pa, expected, atol=0.2)
    np.testing.assert_allclose(way.seconds, [0.0, 0.6283, 1.2566], atol=1e-4)


def test_every_point_knows_its_part() -> None:
    way = pressure_profile(3e-5, 7e4, PATH, DENSITY, VISCOSITY, points_per_segment=4)
    assert way.names == ("dip tube", "disconnect", "line", "faucet")
    assert way.segment.tolist() == [0] * 4 + [1] * 4 + [2] * 4 + [3] * 4
    assert way.temperature_k[-1] == 290.0
    assert way.distance_m[-1] == pytest.approx(2.65)
    assert np.all(np.diff(way.distance_m) >= 0.0)
    assert np.all(np.diff(way.seconds) >= 0.0)
    # analytic: time in the line is its length over the speed there
    line = way.seconds[way.segment == 2]
    assert line[-1] - line[0] == pytest.approx(2.0 / float(speed(3e-5, 4.7625e-3)), rel=1e-12)


def test_widening_wins_pressure_back() -> None:
    # analytic: from 4 to 8 mm, with v1 = 4 v2, the static pressure rises by the difference of the
    # velocity heads less Borda and Carnot: h1 (1 − 1/16 − 9/16) = 3/8 h1
    path = [Segment(0.0, 4e-3), Segment(0.0, 8e-3)]
    way = pressure_profile(2e-5, 7e4, path, 1000.0, 1e-3)
    head = 500.0 * float(speed(2e-5, 4e-3)) ** 2
    assert way.gauge_pouring_pa[2] - way.gauge_pouring_pa[1] == pytest.approx(
        0.375 * head, rel=1e-9
    )


def test_more_points_change_nothing_at_the_ends() -> None:
    few = pressure_profile(3e-5, 7e4, PATH, DENSITY, VISCOSITY)
    many = pressure_profile(3e-5, 7e4, PATH, DENSITY, VISCOSITY, points_per_segment=9)
    np.testing.assert_allclose(many.gauge_pouring_pa[[0, 8, -1]], few.gauge_pouring_pa[[0, 1, -1]])


def test_breakout_is_the_first_crossing() -> None:
    distance = np.array([0.0, 1.0, 2.0, 3.0])
    pouring = np.array([100.0, 60.0, 80.0, 0.0])
    # analytic: from 100 to 60 over a metre, 70 after three quarters of it
    assert breakout_distance(distance, pouring, np.full(4, 70.0)) == pytest.approx(0.75)
    assert breakout_distance(distance, pouring, np.full(4, -1.0)) is None
    assert breakout_distance(distance, pouring, np.full(4, 101.0)) == 0.0
    assert breakout_distance(distance, pouring, np.full(4, 60.0)) == pytest.approx(2.25)
    np.testing.assert_allclose(margin(pouring, np.full(4, 70.0)), [30.0, -10.0, 10.0, -70.0])


def test_breakout_at_a_step() -> None:
    # analytic: a warm faucet raises the saturation at one place; that place is the answer
    distance = np.array([0.0, 2.0, 2.0, 2.1])
    pouring = np.array([90.0, 50.0, 50.0, 0.0])
    assert breakout_distance(distance, pouring, np.array([40.0, 40.0, 95.0, 95.0])) == 2.0


def test_seconds_below_adds_all_stretches() -> None:
    seconds = np.array([0.0, 1.0, 2.0, 3.0])
    pouring = np.array([100.0, 60.0, 80.0, 0.0])
    # analytic: below 70 for 0.25 s, then 0.5 s, then 70/80 of the last second
    assert seconds_below(seconds, pouring, np.full(4, 70.0)) == pytest.approx(0.25 + 0.5 + 0.875)
    assert seconds_below(seconds, pouring, np.full(4, -1.0)) == 0.0
    assert seconds_below(seconds, pouring, np.full(4, 200.0)) == pytest.approx(3.0)
    # analytic: touching saturation is not below it
    assert seconds_below(seconds, np.full(4, 70.0), np.full(4, 70.0)) == 0.0


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(OutOfRange, match="flow"):
        pressure_profile(0.0, 7e4, PATH, DENSITY, VISCOSITY)
    with pytest.raises(OutOfRange, match="points per segment"):
        pressure_profile(1e-5, 7e4, PATH, DENSITY, VISCOSITY, points_per_segment=1)
    with pytest.raises(OutOfRange, match="3 viscosities for 4 segments"):
        pressure_profile(1e-5, 7e4, PATH, DENSITY, [2e-3] * 3)
