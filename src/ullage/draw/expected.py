"""A moment that is expected, with its 80 % band, said as people do.

"Fri 4 Dec (Thu 3 to Sat 5 Dec)". Moments are written in the offset that they bear.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final

from ullage.draw.theme import day_text
from ullage.plan.answers import Schedule, Step
from ullage.plan.forecast import Forecast

HOURS_MATTER: Final = timedelta(days=3)
HOURS_KNOWN: Final = timedelta(hours=12)
"""A moment whose band is wider is told as a day: its hour is not known."""
DAYS_MATTER: Final = timedelta(days=200)


def expected_text(when: Forecast, now: datetime) -> str:
    """The moment with its band, or why there is none.

    With the hour where all of it is soon and known to half a day, else the day; the month long
    after.
    """
    if when.at is None:
        return when.words or "not within four weeks"
    if when.at <= now:
        return "now"
    soon = when.late is not None and when.late - now <= HOURS_MATTER and hour_known(when, now)
    value = near_text(when.at, now) if soon else _far_text(when.at, now)
    between = _hours(when, now) if soon else _days(when, now)
    return f"{value} ({between})" if between else value


def hour_known(when: Forecast, now: datetime | None = None) -> bool:
    """Whether its band is half a day at most, so that an hour can be told of it.

    `now`: what lay before it is no part of the band.
    """
    early = when.at if when.early is None else when.early
    if early is None or when.late is None:
        return False
    begin = early if now is None else max(early, now)
    return when.late - begin <= HOURS_KNOWN


def step_text(step: Step, of: Schedule, say: Callable[[datetime], str]) -> str:
    """When a step of a way is: as `say` has it, or the day alone of what comes of itself.

    That is the level being reached, whose hour is seldom known; all else is done at its hour.
    """
    comes = not step.acts and step.at == of.ready_at
    known = hour_known(Forecast(of.ready_at, of.ready_early, of.ready_late))
    if not comes or known:
        return say(step.at)
    return day_text(step.at.astimezone(), of.course[0].at.astimezone())


def days_text(when: Forecast, beside: datetime | None = None) -> str:
    """Its band in whole days: `Thu 3 to Sat 5 Dec`; "" where it all lies in one.

    With years where they are not that of `beside`, the moment at which it is read.
    """
    return _band(
        when,
        lambda moment: day_text(moment, beside),
        lambda early, late: day_range(early, late, beside),
    )


def sure_text(between: str) -> str:
    """A band with how sure it is, where both its ends are told: `80 % sure: Thu 3 to Sat 5 Dec`."""
    return f"80 % sure: {between}" if " to " in between else between


def day_range(early: datetime, late: datetime, beside: datetime | None = None) -> str:
    """Whole days from one to another; the month once where both share it, the year likewise.

    >>> from datetime import datetime
    >>> day_range(datetime(2026, 12, 3), datetime(2026, 12, 5))
    'Thu 3 to Sat 5 Dec'
    >>> day_range(datetime(2026, 11, 30), datetime(2026, 12, 5))
    'Mon 30 Nov to Sat 5 Dec'
    >>> day_range(datetime(2027, 1, 1), datetime(2027, 1, 5), datetime(2026, 12, 3))
    'Fri 1 to Tue 5 Jan 2027'
    """
    shared = early.year == late.year
    begin, end = day_text(early, late if shared else beside), day_text(late, beside)
    if early.date() == late.date():
        return end
    if (early.year, early.month) == (late.year, late.month):
        return f"{begin.rsplit(' ', 1)[0]} to {end}"
    return f"{begin} to {end}"


def near_text(when: datetime, now: datetime) -> str:
    """A moment as near as matters: with the hour soon, the day later, the month long after."""
    if when - now <= HOURS_MATTER:
        return f"{day_text(when, now)} {when:%H:%M}"
    return _far_text(when, now)


def _far_text(when: datetime, now: datetime) -> str:
    return day_text(when, now) if when - now <= DAYS_MATTER else f"{when:%B %Y}"


def _hours(when: Forecast, now: datetime) -> str:
    def between(early: datetime, late: datetime) -> str:
        begin = "now" if early <= now else near_text(early, now)
        same = early.date() == late.date()
        return f"{begin} to {f'{late:%H:%M}' if same else near_text(late, now)}"

    return _band(when, lambda moment: near_text(moment, now), between)


def _days(when: Forecast, now: datetime) -> str:
    def between(early: datetime, late: datetime) -> str:
        if late - now <= DAYS_MATTER:
            return f"now to {day_text(late, now)}" if early <= now else day_range(early, late, now)
        begin, end = _far_text(early, now), _far_text(late, now)
        same = early - now > DAYS_MATTER and early.year == late.year
        return f"{early:%B} to {end}" if same else f"{begin} to {end}"

    return _band(when, lambda moment: _far_text(moment, now), between)


def _band(
    when: Forecast,
    say: Callable[[datetime], str],
    between: Callable[[datetime, datetime], str],
) -> str:
    """The band in words; "" where they say no more than the moment."""
    at, early, late = when.at, when.early, when.late
    if at is None:
        return ""
    first = at if early is None else early
    same = say(first) == say(at)
    if late is None:
        return "or later" if same else f"{say(first)} or later"
    if same and say(late) == say(at):
        return ""
    return f"perhaps as late as {say(late)}" if first == at else between(first, late)
