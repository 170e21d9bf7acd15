"""What a way with the gas off is told by: the course of its keg, and when it is at its level."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ullage.cellar.course import DAY_S
from ullage.cellar.draws import draws
from ullage.cellar.track import KegCase
from ullage.plan import clock
from ullage.plan.answers import Band, CoursePoint
from ullage.plan.schedule import HORIZON_S, Wanted
from ullage.plan.sealed import Array, Nature, SealedKeg, band_of, later, nature

SAMPLES = 200
"""Enough for a band: its edges move by a tenth of its width with another seed."""
SHOWN_S = 14 * DAY_S


def known(case: KegCase) -> Nature:
    """What is not known of this keg, with few samples: many steps follow each."""
    return nature(case, draws(case.samples or SAMPLES, case.spread))


def usual_only(case: KegCase) -> Nature:
    """The usual keg alone, for a search."""
    return nature(case, draws(0, case.spread))


def left_alone(kegs: Sequence[SealedKeg], until_s: float) -> list[SealedKeg]:
    """The kegs of a way so far, then the last of them at each day until a time."""
    found = list(kegs)
    first = math.floor(found[-1].at_s / DAY_S) + 1
    for mark in np.arange(first * DAY_S, until_s + 1.0, DAY_S).tolist():
        found.append(later(found[-1], mark))
    return found


def shown_until(ready_s: float) -> float:
    """Seconds to which a course is told: two weeks, or two days beyond ready."""
    ready = ready_s if math.isfinite(ready_s) else 0.0
    return max(SHOWN_S, math.ceil(min(ready, HORIZON_S - 2 * DAY_S) / DAY_S + 2) * DAY_S)


def course_points(wanted: Wanted, kegs: Sequence[SealedKeg]) -> tuple[CoursePoint, ...]:
    """One point for each moment; of several at one moment, as after a charge, the last."""
    by_time = {keg.at_s: keg for keg in kegs}
    return tuple(_point(wanted, keg) for keg in by_time.values())


def _point(wanted: Wanted, keg: SealedKeg) -> CoursePoint:
    level = band_of(keg.level_vol)
    return CoursePoint(
        at=clock.after(wanted.start, keg.at_s),
        reached_vol=level.value,
        reached_low_vol=level.low,
        reached_high_vol=level.high,
        gauge_pressure_pa=float(keg.head_pa[0]) - keg.case.ambient_pa,
        temperature_k=keg.temperature_k,
    )


def first_risen(kegs: Sequence[SealedKeg], level_vol: float) -> Band:
    """Seconds until each column first holds a level, between the moments told; or infinite."""
    return band_of(_first([keg.at_s for keg in kegs], [keg.level_vol for keg in kegs], level_vol))


def first_fallen(kegs: Sequence[SealedKeg], level_vol: float) -> Band:
    """Seconds until each column has first come down to a level; or infinite."""
    levels = [-keg.level_vol for keg in kegs]
    return band_of(_first([keg.at_s for keg in kegs], levels, -level_vol))


def _first(times: list[float], levels: list[Array], wanted: float) -> Array:
    found = np.where(levels[0] >= wanted, times[0], np.inf)
    for i in range(1, len(times)):
        before, after = levels[i - 1], levels[i]
        passes = np.isinf(found) & (after >= wanted)
        rise = np.where(after > before, after - before, 1.0)
        share = np.clip((wanted - before) / rise, 0.0, 1.0)
        found = np.where(passes, times[i - 1] + share * (times[i] - times[i - 1]), found)
    return found
