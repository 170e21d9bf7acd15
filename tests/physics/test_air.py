import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ullage.errors import OutOfRange
from ullage.physics import air
from ullage.physics.air import Room
from ullage.physics.co2 import gas_density

POUND = 0.45359237
HOUR = 3600.0


def test_docstrings_are_true() -> None:
    assert doctest.testmod(air).failed == 0


def test_ten_pounds_into_a_small_room() -> None:
    # independent: 8.2 % worked out with CoolProp's density at 20 °C, the room's own CO2 left out.
    # By hand: 4.536 kg / 1.839 kg/m3 = 2.466 m3, over 30 m3 8.22 %
    bare = air.room_concentration(10 * POUND, Room(30.0, background=0.0))
    assert bare == pytest.approx(0.0822, rel=1e-3)
    # analytic: with the 0.04 % that was there already
    assert air.room_concentration(10 * POUND, Room(30.0)) == pytest.approx(bare + 420e-6, rel=1e-12)
    # analytic: mixing as it comes in leaves less, 1 - exp(-0.0822) = 7.89 %: ours is the safe side
    assert bare > 1.0 - math.exp(-float(bare))


def test_a_room_cannot_hold_more_than_all() -> None:
    assert air.room_concentration(100.0, Room(30.0)) == 1.0
    assert air.leak_concentration(1.0, 1e6, Room(30.0)) == 1.0


def test_a_leak_against_an_ode_solver() -> None:
    room, leak = Room(25.0, 0.4 / HOUR), 2e-4
    feed = leak / float(gas_density(101_325.0, 293.15)) / 25.0
    # independent: scipy's solver on dx/dt = q / V - n (x - background)
    solved = solve_ivp(
        lambda _, x: feed - 0.4 / HOUR * (x - 420e-6),
        (0, 8 * HOUR),
        [420e-6],
        rtol=1e-9,
        atol=1e-12,
    )
    ours = air.leak_concentration(leak, 8 * HOUR, room)
    assert ours == pytest.approx(solved.y[0, -1], rel=1e-7)


def test_a_shut_room_fills_in_a_straight_line() -> None:
    # analytic: the leak's mass at that time, released at once
    leaked = air.leak_concentration(1e-4, 5 * HOUR, Room(30.0))
    assert leaked == pytest.approx(air.room_concentration(1e-4 * 5 * HOUR, Room(30.0)), rel=1e-12)
    nearly = air.leak_concentration(1e-4, 5 * HOUR, Room(30.0, 1e-12))
    assert nearly == pytest.approx(leaked, rel=1e-6)


@given(st.floats(1e-7, 1e-3), st.floats(1.0, 1e6), st.floats(1.0, 500.0), st.floats(0.0, 1e-3))
def test_time_undoes_concentration(leak: float, time: float, volume: float, changes: float) -> None:
    room = Room(volume, changes)
    fraction = float(air.leak_concentration(leak, time, room))
    if 421e-6 < fraction < 1.0 and changes * time < 10.0:
        assert air.time_to_reach(fraction, leak, room) == pytest.approx(time, rel=1e-6)


def test_times_to_the_ends() -> None:
    airy = Room(30.0, 10 / HOUR)
    assert air.time_to_reach(0.03, 1e-5, airy) == math.inf
    assert air.time_to_reach(400e-6, 1e-5, airy) == 0.0
    # by hand: 0.00458 of 30 m3 is 0.1374 m3, 0.2527 kg; at 1e-5 kg/s 25,270 s, 7.0 h
    assert air.time_to_reach(0.005, 1e-5, Room(30.0)) == pytest.approx(25_270, rel=1e-3)


def test_arrays_of_samples() -> None:
    changes = np.array([0.0, 0.1, 1.0]) / HOUR
    room = Room(30.0, changes)
    answer = np.asarray(air.leak_concentration(1e-4, 8 * HOUR, room))
    assert np.all(np.diff(answer) < 0.0)
    times = np.asarray(air.time_to_reach(0.03, 1e-4, room))
    assert times.shape == (3,)
    assert times[0] == pytest.approx(air.time_to_reach(0.03, 1e-4, Room(30.0)))
    assert times[2] == math.inf


def test_the_limits_in_air_are_the_published_ones() -> None:
    # published: OSHA PEL 5,000 ppm, ACGIH STEL 30,000, NIOSH IDLH 40,000, DOE PAC-1 to -3 30,000,
    # 40,000 and 50,000
    ppm = {limit.name: round(1e6 * limit.fraction) for limit in air.LIMITS}
    assert ppm == {
        "OSHA PEL": 5_000,
        "ACGIH STEL": 30_000,
        "DOE PAC-1": 30_000,
        "NIOSH IDLH": 40_000,
        "DOE PAC-2": 40_000,
        "DOE PAC-3": 50_000,
    }
    assert air.exceeded_limits(420e-6) == ()
    assert [limit.name for limit in air.exceeded_limits(0.005)] == []
    assert [limit.name for limit in air.exceeded_limits(0.0051)] == ["OSHA PEL"]
    assert air.exceeded_limits(0.08) == air.LIMITS


def test_the_fire_code_applies_above_100_lb() -> None:
    # published: IFC 2018 section 5307, above 100 lb
    assert not air.fire_code_applies(100 * POUND)
    assert air.fire_code_applies(101 * POUND)


def test_impossible_rooms_are_refused() -> None:
    with pytest.raises(OutOfRange, match="volume of the room"):
        Room(0.0)
    with pytest.raises(OutOfRange, match="air changes"):
        Room(30.0, -1.0)
    with pytest.raises(OutOfRange, match="mass of CO2"):
        air.room_concentration(-1.0, Room(30.0))
    with pytest.raises(OutOfRange, match="temperature"):
        air.room_concentration(1.0, Room(30.0, temperature_k=-5.0))
    with pytest.raises(OutOfRange, match="leak"):
        air.leak_concentration(float("nan"), 1.0, Room(30.0))
    with pytest.raises(OutOfRange, match="leak"):
        air.time_to_reach(0.03, 0.0, Room(30.0))
    with pytest.raises(OutOfRange, match="CO2 in the room"):
        air.exceeded_limits(float("nan"))
