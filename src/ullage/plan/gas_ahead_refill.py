"""The day to have a cylinder refilled or swapped by: a little before it may be empty.

One time in ten it is empty before the early end of its band. The day is the lead time before that,
and not in the middle of a carbonation that is planned: before it begins, or after it has ended.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Shaken, ToppedUp
from ullage.plan import clock
from ullage.plan.followed import Followed
from ullage.plan.forecast import Forecast
from ullage.plan.gas_ahead_answer import Refill
from ullage.plan.spoken import date_text, part

LEAD_S: Final = 7 * 86_400.0
"""How long before it may be empty a cylinder is due for its refill; our choice."""
DATE_CHANCE: Final = 0.1
"""The chance of running dry that the day is set for: the early end of the 80 % band."""
BEFORE: Final = timedelta(days=1)
"""So long before a carbonation begins the gas should be there; our choice."""
FORCED: Final = (GasOn, ToppedUp, Shaken)


@dataclass(frozen=True, slots=True)
class Forcing:
    """A carbonation that is planned for a keg, from its first step to its last."""

    keg: str
    begins: datetime
    ends: datetime


def refill_of(
    log: Sequence[Event], ahead: Followed, kegs: Sequence[str], empty: Forecast, lead_s: float
) -> Refill:
    """The day, of a cylinder that feeds `kegs`; `None` where it cannot be told when it is empty."""
    early = empty.early or empty.at
    if early is None:
        return Refill(None, False, None, None, empty.words)
    due = clock.after(early, -lead_s)
    by = max(due, ahead.at)
    across = next((one for one in forcings(log, ahead, kegs) if one.begins < by < one.ends), None)
    if across is None:
        return Refill(by, due <= ahead.at, None, None, "")
    return _around(across, by, early, ahead.at)


def forcings(log: Sequence[Event], ahead: Followed, kegs: Sequence[str]) -> list[Forcing]:
    """The carbonations whose steps wait, each from its plan's first step, done or not."""
    waiting = {event.plan for event in ahead.coming if event.plan is not None}
    found = []
    for plan in sorted(waiting):
        steps = [event for event in log if event.planned and event.plan == plan]
        mine = [event for event in steps if event.subject in kegs]
        if not any(isinstance(event, FORCED) for event in mine):
            continue
        last = max(event.at for event in ahead.coming if event.plan == plan)
        found.append(Forcing(mine[0].subject, min(event.at for event in mine), last))
    return sorted(found, key=lambda one: one.begins)


def _around(across: Forcing, by: datetime, early: datetime, at: datetime) -> Refill:
    """A day that leaves the carbonation in peace, and why."""
    keg = part("keg", across.keg)
    span = f"{_day(across.begins, at)} to {_day(across.ends, at)}"
    if across.begins - BEFORE > at:
        before = across.begins - BEFORE
        words = f"{keg} is to be carbonated {span}, across that day: have it there before."
        return Refill(before, False, across.keg, across.ends, words)
    if across.ends < early:
        words = f"{keg} is being carbonated until {_day(across.ends, at)}: swap it after that."
        return Refill(across.ends, False, across.keg, across.ends, words)
    words = (
        f"{keg} is being carbonated until {_day(across.ends, at)}, and it may not last so long: "
        "have a spare at hand, or shut the gas of that keg while the cylinder is away."
    )
    return Refill(by, by <= at, across.keg, across.ends, words)


def _day(moment: datetime, at: datetime) -> str:
    return date_text(moment.astimezone(), at)
