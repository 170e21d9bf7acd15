"""What a cylinder will hold and when it is empty: carbonating by replay, drinking as it goes on.

What the kegs take is worked out in `gas_ahead_drunk`; what goes besides (venting, cleaning,
small leaks) is a share of all that, in `gas_ahead_losses`. Samples carry what is not known: how
quickly is drunk now, how that wanders over the months, that people drink in servings at random,
what the cylinder holds now, and the share that goes besides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import SEED
from ullage.physics.constants import GAS_HANDLING
from ullage.plan.course_ahead import Crossing
from ullage.plan.forecast import Forecast, forecast, unknown
from ullage.plan.gas_ahead_drunk import (
    AS_NOW,
    DAY_S,
    KegOn,
    Usual,
    drunk_m3,
    drunk_samples_m3,
    season,
    season_samples,
    used_kg,
)

WEEK_S: Final = 7 * DAY_S
LONGEST_S: Final = 5 * 365 * DAY_S
"""Nothing is told of what lies more than five years ahead."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CylinderCourse:
    """What a cylinder holds at marks ahead (s, n of them) if nothing is drunk, by the log.

    `held_kg` (n) is the best guess, `samples_kg` (n, samples) its samples.
    """

    at: datetime
    marks_s: Sequence[float]
    held_kg: Array
    samples_kg: Array


@dataclass(frozen=True, slots=True)
class Losses:
    """What goes besides what the log has the kegs take: the best guess, and samples or one number.

    `gone_kg`: since the contents were last known. `share`: of all that the kegs will take.
    `leak_kg_s`: at all times, whatever they take.
    """

    share: float = GAS_HANDLING.value
    gone_kg: float = 0.0
    leak_kg_s: float = 0.0
    share_samples: Array | None = None
    gone_samples_kg: Array | None = None
    leak_samples_kg_s: Array | None = None


USUAL: Final = Losses()


@dataclass(frozen=True, slots=True)
class GasCourse:
    """What a cylinder will hold, at `times_s` (n, from now on): best guess (n), samples (n, m).

    `gone` is when nothing is left; both are below zero after that.
    """

    at: datetime
    times_s: Array
    left_kg: Array
    samples_kg: Array
    gone: Crossing

    def at_times(self, seconds: Array) -> tuple[Array, Array]:
        """What is left at other times (s): best guess and samples, straight between; 0 once dry."""
        left = np.interp(seconds, self.times_s, self.left_kg)
        wide = [np.interp(seconds, self.times_s, one) for one in self.samples_kg.T]
        return np.maximum(left, 0.0), np.maximum(np.stack(wide, axis=1), 0.0)

    def used_in(self, seconds: float) -> tuple[float, Array]:
        """What goes in so many seconds (kg) if the gas never ends: best guess and samples."""
        left = float(np.interp(seconds, self.times_s, self.left_kg))
        wide = [np.interp(seconds, self.times_s, one) for one in self.samples_kg.T]
        return self.left_kg[0] - left, self.samples_kg[0] - np.array(wide)

    def chance_dry(self, seconds: float) -> float:
        """The share of samples in which it is empty by then."""
        return float(np.mean(self.gone.samples_s <= seconds))


def empties(
    course: CylinderCourse,
    kegs: Sequence[KegOn],
    losses: Losses = USUAL,
    usual: Usual = AS_NOW,
) -> Forecast:
    """When nothing is left in it; in words where no keg on it has a rate that is known."""
    return empty_of(course, kegs, gas_course(course, kegs, losses, usual))


def empty_of(course: CylinderCourse, kegs: Sequence[KegOn], found: GasCourse) -> Forecast:
    """The same of a course that was worked out."""
    if course.held_kg[0] <= 0.0:
        return unknown("by what is written it is empty already: weigh it, and look for a leak")
    if not kegs and not np.isfinite(found.gone.value_s):
        return unknown("not enough written down to tell how quickly it is used")
    gone, beyond = found.gone, "it lasts over five years"
    return forecast(course.at, gone.value_s, gone.samples_s, LONGEST_S, beyond)


def gas_course(
    course: CylinderCourse,
    kegs: Sequence[KegOn],
    losses: Losses = USUAL,
    usual: Usual = AS_NOW,
) -> GasCourse:
    """What it will hold week by week for five years, or less where it is empty sooner."""
    count = course.samples_kg.shape[1]
    random = np.random.default_rng(SEED)
    share = _shares(losses, count, random)
    times = _times(course, kegs, leaks=losses.leak_kg_s > 0.0)
    factor, wander = season(times, usual), season_samples(times, count, usual, random)
    used, used_samples = np.zeros(len(times)), np.zeros((len(times), count))
    for keg in kegs:
        used += used_kg(keg, drunk_m3(keg, times, factor))
        used_samples += used_kg(keg, drunk_samples_m3(keg, times, wander, random))
    gone, leak = losses.gone_samples_kg, losses.leak_samples_kg_s
    left = _left(course, times, course.held_kg[:, None], used[:, None], losses.share)
    left = left[:, 0] - losses.gone_kg - losses.leak_kg_s * times
    wide = _left(course, times, course.samples_kg, used_samples, share)
    wide = wide - (losses.gone_kg if gone is None else gone)
    wide = wide - times[:, None] * (losses.leak_kg_s if leak is None else leak)
    crossing = Crossing(float(_emptied(times, left[:, None])[0]), _emptied(times, wide))
    return GasCourse(course.at, times, left, wide, crossing)


def _shares(losses: Losses, count: int, random: np.random.Generator) -> Array:
    """Samples of the share that goes besides; where it has none, of common practice."""
    if losses.share_samples is not None:
        return losses.share_samples
    guess = GAS_HANDLING.value + GAS_HANDLING.sd * random.standard_normal(count)
    found: Array = np.maximum(guess, 0.0)
    return found


def _times(course: CylinderCourse, kegs: Sequence[KegOn], *, leaks: bool) -> Array:
    """Now, the marks of the course, each week after, and where the use of a keg bends (s)."""
    bends = [keg.begins_s for keg in kegs]
    bends += [keg.begins_s + keg.beer_m3 / keg.rate.drunk_m3_s.value for keg in kegs]
    bends += [edge for keg in kegs for one in keg.pieces for edge in (one.begin_s, one.end_s)]
    last = [LONGEST_S] if kegs or leaks else [course.marks_s[-1]]
    weeks = np.arange(0.0, last[0], WEEK_S)
    found = np.unique(np.concatenate([course.marks_s, weeks, bends, last]))
    kept: Array = found[(found >= 0.0) & (found <= LONGEST_S)]
    return kept


def _left(
    course: CylinderCourse, times: Array, held_kg: Array, used_kg: Array, share: float | Array
) -> Array:
    """What is left at each time: what carbonating and drinking take goes with its share."""
    held = np.stack([np.interp(times, course.marks_s, one) for one in held_kg.T], axis=1)
    left: Array = held[0] - (1.0 + share) * (held[0] - held + used_kg)
    return left


def _emptied(times: Array, left: Array) -> Array:
    """Seconds until each column first has nothing left, straight between; infinite if never."""
    dry = left <= 0.0
    at = np.argmax(dry, axis=0)
    columns = np.arange(left.shape[1])
    before, after = left[np.maximum(at - 1, 0), columns], left[at, columns]
    span = np.where(before > after, before - after, 1.0)
    begin = times[np.maximum(at - 1, 0)]
    share = np.clip(before / span, 0.0, 1.0)
    found: Array = np.where(
        dry.any(axis=0), np.where(at == 0, 0.0, begin + share * (times[at] - begin)), np.inf
    )
    return found
