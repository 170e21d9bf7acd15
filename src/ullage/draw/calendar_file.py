"""A calendar as iCalendar text (RFC 5545), as feeds and files carry it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

import icalendar

from ullage.plan.calendar import Calendar, Entry

MEDIA_TYPE: Final = "text/calendar; charset=utf-8"
READ_AGAIN: Final = timedelta(hours=6)
"""How often a calendar that follows the feed is asked to read it again (RFC 7986, 5.7)."""
PRODUCT: Final = "-//Ullage//Upkeep and plans//EN"


def calendar_file(calendar: Calendar) -> bytes:
    """The text of a calendar, in UTF-8 with CRLF line ends, lines folded at 75 bytes.

    Times are in UTC; whole days bear no zone, as a day is a day wherever its reader is.
    """
    file = icalendar.Calendar()
    file.add("prodid", PRODUCT)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    file.add("name", calendar.name)
    file.add("x-wr-calname", calendar.name)
    file.add("refresh-interval", READ_AGAIN, parameters={"VALUE": "DURATION"})
    for entry in calendar.entries:
        file.add_component(_event(entry, calendar))
    text: bytes = file.to_ical()
    return text


def _event(entry: Entry, calendar: Calendar) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", calendar.at.astimezone(UTC))
    event.add("summary", entry.title)
    event.add("description", entry.text)
    event.add("categories", [entry.kind.upper()])
    if isinstance(entry.start, datetime):
        event.add("dtstart", entry.start.astimezone(UTC))
        event.add("dtend", (entry.end or entry.start).astimezone(UTC))
    else:
        event.add("dtstart", entry.start)
        event.add("dtend", entry.start + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    return event
