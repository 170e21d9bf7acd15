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
COUNTED_FROM: Final = datetime(2020, 1, 1, tzinfo=UTC)
"""Revisions are numbered by their second since then: a later one has the larger number, and until
2088 it is an INTEGER (RFC 5545, 3.3.8)."""


def calendar_file(calendar: Calendar) -> bytes:
    """The text of a calendar, in UTF-8 with CRLF line ends, lines folded at 75 bytes.

    Times are in UTC; whole days bear no zone, as a day is a day wherever its reader is. There is no
    METHOD, so DTSTAMP tells when an entry was last revised (RFC 5545, 3.8.7.2), as LAST-MODIFIED
    does, and SEQUENCE grows with it: an entry that says the same as before is the same to the byte.
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
    revised_at = (entry.changed_at or calendar.at).astimezone(UTC).replace(microsecond=0)
    event.add("dtstamp", revised_at)
    event.add("last-modified", revised_at)
    event.add("sequence", max(round((revised_at - COUNTED_FROM).total_seconds()), 0))
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
