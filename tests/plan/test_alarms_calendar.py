"""Alarms in the calendar: one entry each, with an id that stays while it holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import icalendar

from tests.plan.test_alarms_telling import BEGAN, WARM
from ullage.draw.calendar_file import calendar_file
from ullage.plan.alarms_answer import Standing
from ullage.plan.alarms_calendar import with_alarms
from ullage.plan.calendar import Calendar, Entry

LATER = BEGAN + timedelta(days=3)


def made(*found: Standing, at: datetime = LATER, home: str = "a") -> Calendar:
    step = Entry("step-1@ullage", "carbonation", "Set it", "", BEGAN + timedelta(days=9))
    return with_alarms(Calendar(at, "Ullage: home", (step,)), found, home)


def alarm(calendar: Calendar) -> Entry:
    (found,) = (one for one in calendar.entries if one.kind == "alarm")
    return found


def test_the_id_stays_while_the_day_moves() -> None:
    first, later = alarm(made(Standing(WARM), at=BEGAN)), alarm(made(Standing(WARM)))
    assert first.uid == later.uid
    assert (first.start, later.start) == (date(2026, 5, 1), date(2026, 5, 4))
    in_another_zone = replace(WARM, since=BEGAN.astimezone())
    assert alarm(made(Standing(in_another_zone))).uid == first.uid


def test_another_beginning_thing_or_household_is_another_entry() -> None:
    others = (
        made(Standing(WARM)),
        made(Standing(replace(WARM, since=BEGAN + timedelta(minutes=10)))),
        made(Standing(replace(WARM, key="warm:keg:K1"))),
        made(Standing(WARM), home="b"),
    )
    assert len({alarm(one).uid for one in others}) == len(others)


def test_one_that_was_seen_stands_where_it_began() -> None:
    seen = Standing(WARM, LATER, LATER + timedelta(days=1))
    assert alarm(made(seen)).start == date(2026, 5, 1)


def test_it_is_an_entry_that_calendars_read() -> None:
    worse = replace(WARM, key="pressure-high:keg:K1", kind="pressure-high", level="danger")
    file = icalendar.Calendar.from_ical(calendar_file(made(Standing(WARM), Standing(worse))))
    events = [one for one in file.walk("VEVENT") if one.get("uid").startswith("alarm-")]
    assert sorted(str(one["summary"]) for one in events) == [
        "Danger: pressure too high, fridge",
        "Warning: too warm, fridge",
    ]
    assert all("Cool it." in str(one["description"]) for one in events)
    assert all(one.decoded("dtstart") == date(2026, 5, 4) for one in events)


def test_entries_stay_in_their_order() -> None:
    starts = [
        one.start
        if isinstance(one.start, datetime)
        else datetime.combine(one.start, datetime.min.time(), UTC)
        for one in made(Standing(WARM)).entries
    ]
    assert len(starts) == 2
    assert all(sooner <= later for sooner, later in pairwise(starts))
