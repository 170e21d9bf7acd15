"""Alarms in the calendar: one entry each while it holds, and none once it is over.

Its id is made of what is wrong and since when, so that a calendar which reads the feed again keeps
one entry and moves it. It stands on today, where it is seen; one that was seen stands on the day it
began.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC

from ullage.plan.alarms_answer import WORDS, Standing
from ullage.plan.calendar import Calendar, Entry, uid, with_entries


def with_alarms(calendar: Calendar, found: Iterable[Standing], home: str = "") -> Calendar:
    """A calendar with the alarms that hold at its moment; `home` as its other entries have."""
    return with_entries(calendar, tuple(_entries(calendar, found, home)))


def _entries(calendar: Calendar, found: Iterable[Standing], home: str) -> Iterator[Entry]:
    here = calendar.at.tzinfo
    today = calendar.at.astimezone().date()
    for one in found:
        alarm = one.alarm
        since = alarm.since.astimezone(UTC)
        began = since.astimezone(here).date()
        mind = f" {alarm.caution.text}" if alarm.caution else ""
        yield Entry(
            uid=uid("alarm", alarm.key, since.isoformat(), home=home),
            kind="alarm",
            title=f"{WORDS[alarm.level]}: {alarm.title.lower()}, {alarm.subject}",
            text=f"{alarm.text} {alarm.do}{mind}",
            start=began if one.quiet else today,
        )
