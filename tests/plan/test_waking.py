"""Hours in which a hand may be asked: no visit by night, the same hours each day."""

from __future__ import annotations

import doctest
from datetime import datetime
from itertools import islice, pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.samples import HOUR
from ullage.plan import clock, waking
from ullage.plan.waking import awake, daily, is_waking

CHICAGO = ZoneInfo("America/Chicago")


def at(hour: float, day: int = 11, month: int = 6) -> datetime:
    return datetime(2026, month, day, int(hour), round(60 * (hour % 1)), tzinfo=CHICAGO)


def hours(start: datetime, often: int, count: int) -> list[str]:
    return [f"{clock.after(start, one):%d %H:%M}" for one in islice(daily(start, often), count)]


def test_docstrings_are_true() -> None:
    assert doctest.testmod(waking).failed == 0


# by hand: from 3:00 it is five hours to 8:00, from 22:30 nine and a half
@pytest.mark.parametrize(
    ("hour", "wait_h"), [(3.0, 5.0), (8.0, 0.0), (15.0, 0.0), (22.0, 0.0), (22.5, 9.5)]
)
def test_the_night_is_waited_for(hour: float, wait_h: float) -> None:
    assert awake(at(hour), 0.0) == pytest.approx(wait_h * HOUR)


def test_twice_a_day_is_morning_and_evening_by_the_clock() -> None:
    # by hand, from the rule
    assert hours(at(18), 2, 4) == ["11 18:00", "12 08:00", "12 20:00", "13 08:00"]
    assert hours(at(9.5), 2, 3) == ["11 09:30", "11 21:30", "12 09:30"]
    assert hours(at(3), 2, 3) == ["11 08:00", "11 20:00", "12 08:00"]
    assert hours(at(12), 1, 3) == ["11 12:00", "12 12:00", "13 12:00"]
    # published: 15 U.S.C. 260a: the clocks go back on 1 November 2026; the hour of a visit stays
    assert hours(at(18, 31, 10), 1, 3) == ["31 18:00", "01 18:00", "02 18:00"]


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 2 * 365 * 24 * 60),
    st.sampled_from([1, 2]),
)
def test_no_visit_falls_in_the_night_nor_soon_after_another(minutes: int, often: int) -> None:
    start = clock.after(datetime(2026, 1, 1, tzinfo=CHICAGO), 60.0 * minutes).astimezone(CHICAGO)
    visits = list(islice(daily(start, often), 12))
    for seconds in visits:
        assert is_waking(clock.after(start, seconds).time())
    assert all(after - before >= 6 * HOUR for before, after in pairwise(visits))
