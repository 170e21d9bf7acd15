"""Which way is advised, and the plain word where none makes the date.

Ranked in this order: makes the date even if this keg is slow; makes it as kegs usually are; nothing
to get first; the fewest visits; the least gas. Holding is one visit: so without a date no way that
is later and asks more of the hand is advised where gas can stay on the keg. Nor is a cure by dozens
of vents where some beer poured off first saves most of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from ullage.plan.answers import Method, Schedule
from ullage.plan.schedule import Wanted


def advised(ways: Sequence[Schedule], wanted: Wanted) -> Method | None:
    """The cheapest way that makes the date, even if this keg is slow; else as it usually is.

    Cheapest: nothing to get first, then the fewest visits, then the least gas. Without a date all
    that get there compete; where none makes the date, the soonest is advised, one that needs
    nothing before one that does.
    """
    able = [one for one in ways if one.ready_at is not None]
    if not able:
        return None
    by = wanted.by
    sure = [one for one in able if by is not None and one.ready_slow and one.ready_slow <= by]
    likely = [one for one in able if one.makes_date]
    if by is None or sure or likely:
        return min(sure or likely or able, key=_cost).method
    return min(able, key=lambda one: (bool(one.needs), one.ready_at or by)).method


def _cost(one: Schedule) -> tuple[bool, int, float]:
    return bool(one.needs), one.visits, one.gas_kg


def none_makes_it(ways: Sequence[Schedule], wanted: Wanted) -> str | None:
    """What is possible where no way makes the date; `None` where one does, or none is asked."""
    by = wanted.by
    if by is None or not ways or by < wanted.start or any(one.makes_date for one in ways):
        return None
    possible = [one for one in ways if not one.needs] or list(ways)
    nearest = min(possible, key=lambda one: abs(level_at(one, by) - wanted.target_vol))
    said = (
        f"No way here makes the date. By then the nearest is {level_at(nearest, by):.2f} volumes "
        f"({nearest.method})."
    )
    able = [one for one in possible if one.ready_at is not None]
    if not able:
        return said
    soonest = min(able, key=lambda one: one.ready_at or by)
    return f"{said} The soonest it can be ready is {soonest.ready_at:%a %d %b %H:%M}."


def level_at(schedule: Schedule, when: datetime) -> float:
    """The level (volumes) that a schedule has reached at a moment, between its course's points."""
    for before, after in pairwise(schedule.course):
        if before.at <= when <= after.at and after.at > before.at:
            share = (when - before.at) / (after.at - before.at)
            return before.reached_vol + share * (after.reached_vol - before.reached_vol)
    return schedule.course[-1].reached_vol
