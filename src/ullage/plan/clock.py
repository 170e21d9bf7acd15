"""Moments by the clock on the wall: a time later, noon of a day, with daylight saving counted.

A start of a `ZoneInfo` keeps its zone; any other start is told in this machine's local time. Every
moment given here bears a fixed offset, so that two of them subtract to the true time between: two
moments of one `ZoneInfo` do not when the clocks change in between.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo

NOON = time(12)


def local_now() -> datetime:
    """This moment, with the offset of this machine's zone."""
    return datetime.now(UTC).astimezone()


def after(start: datetime, seconds: float) -> datetime:
    """So many seconds later, with the offset that holds there by then.

    >>> from zoneinfo import ZoneInfo
    >>> start = datetime(2026, 10, 31, 18, tzinfo=ZoneInfo("America/Chicago"))
    >>> after(start, 86_400.0).isoformat()
    '2026-11-01T17:00:00-06:00'
    """
    return _told(start.astimezone(UTC) + timedelta(seconds=seconds), start)


def noon(day: date, start: datetime) -> datetime:
    """Noon of that day in the zone of `start`."""
    return at_time(day, NOON, start)


def at_time(day: date, hour: time, start: datetime) -> datetime:
    """That time of that day by the clock in the zone of `start`."""
    return _told(datetime.combine(day, hour, _zone(start)).astimezone(UTC), start)


def _told(moment: datetime, start: datetime) -> datetime:
    there = moment.astimezone(_zone(start))
    return there.replace(tzinfo=timezone(there.utcoffset() or timedelta(0)))


def _zone(start: datetime) -> tzinfo | None:
    """The zone of a start; `None`: this machine's, whose offset may change with the seasons."""
    return None if isinstance(start.tzinfo, timezone) else start.tzinfo
