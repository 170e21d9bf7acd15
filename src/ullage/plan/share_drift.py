"""How beers drift from what they hold at the pressures they get: by replay, being drunk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Final

from ullage.plan.share_answer import Drift, DriftPoint
from ullage.plan.share_points import Point
from ullage.plan.share_replay import DAY_S, LAST_M3, Drunk, begun, drunk, pours
from ullage.system.model import System

DAYS: Final = 28
TOLD: Final = (1, 2, 4, 7, 14, 21, DAYS)
"""Days whose level is told."""
BEGIN: Final = datetime(2026, 1, 1, tzinfo=UTC)
"""Any moment will do: only what passes after it counts."""


def drifts(
    system: System, points: Sequence[Point], gauges_pa: Mapping[str, float]
) -> tuple[Drift, ...]:
    """Each keg begun as it is, its gas left on at its pressure (Pa gauge), and drunk.

    One of which nobody told what it holds begins at its target.

    A head that stands above its regulator is kept in by its check valve; it is the pours that
    bring it down, so a beer that is drunk slowly loses slowly.
    """
    levels = {one.keg: _now(system, one) for one in points}
    cellar = begun(system, gauges_pa, levels, BEGIN)
    drawn = [event for one in points for event in pours(system, one.keg, BEGIN, DAYS * DAY_S)]
    rows: dict[str, list[float]] = {name: [level] for name, level in levels.items()}
    marks = [BEGIN + timedelta(days=day) for day in range(1, DAYS + 1)]
    for state in cellar.at(marks, drawn):
        for name, row in rows.items():
            if float(state.kegs[name].beer_m3) > LAST_M3:
                row.append(float(state.kegs[name].level_vol))
    return tuple(
        _drift(one, gauges_pa[one.keg], rows[one.keg], drunk(system, one.keg)) for one in points
    )


def _drift(point: Point, gauge_pa: float, row: list[float], drinking: Drunk) -> Drift:
    """A drift from its level on each day that there was beer."""
    last = len(row) - 1
    outside = abs(row[0] - point.target_vol) > point.near_vol
    leaves = None if outside else _leaves(point, row)
    moved = row[-1] - row[0]
    if leaves is not None:
        edge = point.tolerance_vol if _above(point, row) else -point.tolerance_vol
        moved = point.target_vol + edge - row[0]
    return Drift(
        keg=point.keg,
        beer=point.beer,
        target_vol=point.target_vol,
        comes_to_vol=point.level(gauge_pa),
        drunk_m3_s=drinking.rate_m3_s,
        assumed=drinking.assumed,
        leaves_s=None if leaves is None else leaves * DAY_S,
        moved_vol=moved,
        moved_s=DAY_S * (last if leaves is None else leaves),
        last_vol=row[-1],
        last_s=last * DAY_S,
        emptied=last < DAYS,
        course=tuple(DriftPoint(day * DAY_S, row[day]) for day in TOLD if day <= last),
        start_vol=row[0],
        outside=outside,
        enters_s=_enters(point, row) if outside else None,
    )


def _now(system: System, point: Point) -> float:
    held = system.keg(point.keg).carbonation
    return point.target_vol if held is None else held


def _enters(point: Point, row: Sequence[float]) -> float | None:
    """Seconds until it comes within its tolerance; `None`: not in the days looked at."""
    for day, (before, after) in enumerate(pairwise(row)):
        was, gone = (abs(one - point.target_vol) for one in (before, after))
        if gone <= point.near_vol:
            return DAY_S * (day + (was - point.near_vol) / (was - gone))
    return None


def _above(point: Point, row: Sequence[float]) -> bool:
    """Whether it leaves its tolerance upward."""
    first = next(level for level in row if abs(level - point.target_vol) > point.near_vol)
    return first > point.target_vol


def _leaves(point: Point, row: Sequence[float]) -> float | None:
    """The day on which it passes the edge of its tolerance; `None`: not in the days looked at."""
    for day, (before, after) in enumerate(pairwise(row)):
        gone = abs(after - point.target_vol)
        if gone > point.near_vol:
            was = abs(before - point.target_vol)
            return day + (point.near_vol - was) / (gone - was)
    return None
