"""Bands of moments, said as people do."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

from tests.draw import samples
from ullage.draw.expected import day_range, days_text, expected_text, step_text
from ullage.draw.theme import day_text
from ullage.plan.acts import SetGas
from ullage.plan.answers import Step
from ullage.plan.forecast import Forecast, unknown

NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)  # a Saturday


def after(*days: float | None) -> Forecast:
    at, early, late = (None if one is None else NOW + timedelta(days=one) for one in days)
    return Forecast(at, early, late)


def said(*days: float | None) -> str:
    return expected_text(after(*days), NOW)


def test_whole_days_name_the_month_once() -> None:
    assert said(6, 5, 7) == "Fri 4 Dec (Thu 3 to Sat 5 Dec)"
    assert said(6, 1, 7) == "Fri 4 Dec (Sun 29 Nov to Sat 5 Dec)"
    assert said(6, 5.9, 6.1) == "Fri 4 Dec"


def test_hours_are_told_where_all_of_it_is_soon_and_known_to_half_a_day() -> None:
    assert said(1, 0.75, 1.25) == "Sun 29 Nov 12:00 (Sun 29 Nov 06:00 to 18:00)"
    assert said(1, 0.75, 1.26) == "Sun 29 Nov"
    assert said(1, 0.75, 2) == "Sun 29 Nov (Sun 29 to Mon 30 Nov)"
    assert said(1, -1, 1.5) == "Sun 29 Nov (now to Mon 30 Nov)"
    assert said(0.1, -1, 0.2) == "Sat 28 Nov 14:24 (now to Sat 28 Nov 16:48)"
    assert said(1, 0.75, 8) == "Sun 29 Nov (Sun 29 Nov to Sun 6 Dec)"
    assert said(1, 1, 8) == "Sun 29 Nov (perhaps as late as Sun 6 Dec)"


def test_months_are_told_long_after() -> None:
    assert said(300, 190, 400) == "September 2027 (Sun 6 Jun 2027 to January 2028)"
    assert said(300, 240, 390) == "September 2027 (July to December 2027)"


def test_days_of_another_year_say_it() -> None:
    assert said(40, 30, 45) == "Thu 7 Jan 2027 (Mon 28 Dec to Tue 12 Jan 2027)"
    assert said(40, 38, 45) == "Thu 7 Jan 2027 (Tue 5 to Tue 12 Jan 2027)"
    assert said(40, 38, 70) == "Thu 7 Jan 2027 (Tue 5 Jan to Sat 6 Feb 2027)"
    assert said(40, -1, 45) == "Thu 7 Jan 2027 (now to Tue 12 Jan 2027)"
    assert said(40, 40, None) == "Thu 7 Jan 2027 (or later)"
    assert days_text(after(40, 30, 45), NOW) == "Mon 28 Dec to Tue 12 Jan 2027"


def test_the_year_is_that_of_the_clock_that_the_day_is_told_by() -> None:
    # in the west it is still 2026 when 2027 has begun in UTC
    west = timezone(timedelta(hours=-6))
    begun = datetime(2027, 1, 1, 1, tzinfo=UTC)
    assert day_text(begun.astimezone(west), NOW) == "Thu 31 Dec"
    assert day_text(begun, NOW) == "Fri 1 Jan 2027"
    assert day_text(begun.astimezone(west), begun) == "Thu 31 Dec"


def test_open_ends_are_said() -> None:
    assert said(6, 5, None) == "Fri 4 Dec (Thu 3 Dec or later)"
    assert said(6, 6, None) == "Fri 4 Dec (or later)"
    assert said(6, 6, 9) == "Fri 4 Dec (perhaps as late as Mon 7 Dec)"
    assert said(6, -1, 9) == "Fri 4 Dec (now to Mon 7 Dec)"
    assert said(0, -1, 9) == "now"
    assert expected_text(unknown("no gas is on"), NOW) == "no gas is on"


def test_days_alone() -> None:
    assert days_text(after(1, 0.75, 1.25)) == ""
    assert days_text(after(6, 5, 7)) == "Thu 3 to Sat 5 Dec"
    assert days_text(unknown("never")) == ""
    assert day_range(NOW, NOW) == "Sat 28 Nov"


def test_what_comes_of_itself_bears_an_hour_only_where_it_is_known() -> None:
    """The pour at the end of a way; what the hand does is done at its hour."""
    ready = NOW + timedelta(days=8)
    last = Step(ready, "Within its tolerance: pour and enjoy.", None)
    set_it = Step(ready, "Set the pressure, leave the gas on.", 1e5, (SetGas(1e5),))
    hold = samples.schedule("hold", 2.5, 12.0, 8.0)

    def told(step: Step, hours: float) -> str:
        late = ready + timedelta(hours=hours)
        way = replace(hold, ready_at=ready, ready_early=ready, ready_late=late)
        return step_text(step, way, lambda at: f"{at:%H:%M}")

    assert told(last, 12) == "12:00"
    assert told(last, 12.1) == day_text(ready.astimezone())
    assert told(set_it, 40) == "12:00"
