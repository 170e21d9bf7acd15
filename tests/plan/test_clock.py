"""Moments by the clock on the wall, over the nights on which the clocks change."""

from __future__ import annotations

import doctest
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from tests.plan.samples import DAY
from ullage.plan import clock

CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def in_chicago(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """This machine stands in Chicago for a while."""
    monkeypatch.setenv("TZ", "America/Chicago")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_docstrings_are_true() -> None:
    assert doctest.testmod(clock).failed == 0


# published: 15 U.S.C. 260a: clocks go back on the first Sunday of November, forward on the second
# of March: 1 November 2026 and 14 March 2027
@pytest.mark.parametrize(
    ("start", "later"),
    [
        ("2026-10-31T18:00-05:00", "2026-11-01T17:00-06:00"),
        ("2027-03-13T18:00-06:00", "2027-03-14T19:00-05:00"),
        ("2026-06-11T18:00-05:00", "2026-06-12T18:00-05:00"),
    ],
)
def test_a_day_is_24_hours_whatever_the_clock_says(start: str, later: str) -> None:
    begin = datetime.fromisoformat(start).astimezone(CHICAGO)
    found = clock.after(begin, DAY)
    assert found.isoformat(timespec="minutes") == later
    assert found - clock.after(begin, 0.0) == timedelta(days=1)


def test_a_local_start_follows_this_machines_clock(in_chicago: None) -> None:
    begin = datetime(2026, 10, 31, 18, 0).astimezone()
    found = clock.after(begin, DAY)
    assert found.isoformat() == "2026-11-01T17:00:00-06:00"
    assert found - begin == timedelta(days=1)
    assert clock.noon(date(2026, 11, 20), begin).isoformat() == "2026-11-20T12:00:00-06:00"


def test_noon_is_noon_on_both_sides_of_the_change() -> None:
    begin = datetime(2026, 10, 31, 18, 0, tzinfo=CHICAGO)
    assert clock.noon(date(2026, 10, 31), begin).isoformat() == "2026-10-31T12:00:00-05:00"
    assert clock.noon(date(2026, 11, 20), begin).isoformat() == "2026-11-20T12:00:00-06:00"


def test_moments_bear_fixed_offsets() -> None:
    found = clock.after(datetime(2026, 10, 31, 18, 0, tzinfo=CHICAGO), DAY)
    assert isinstance(found.tzinfo, timezone)
    assert clock.after(datetime(2026, 1, 1, tzinfo=UTC), 1.5).microsecond == 500_000
