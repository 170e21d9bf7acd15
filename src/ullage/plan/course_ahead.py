"""When levels at marks in time first come within their tolerance: the best guess and samples."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Seconds until something comes about: the best guess and samples; infinite where never."""

    value_s: float
    samples_s: Array

    def not_before(self, least_s: float) -> Crossing:
        """The same, but no sooner than that."""
        return Crossing(max(self.value_s, least_s), np.maximum(self.samples_s, least_s))


def first_within(
    marks_s: Sequence[float], levels: Array, samples: Array, near: tuple[float, float]
) -> Crossing:
    """Seconds until a level first lies between the two of `near`, straight between the marks.

    `levels` (n) and `samples` (n, columns) are volumes of CO2 at the n marks (s, increasing). A
    level that passes from below to above between two marks was within on its way.
    """
    times = np.asarray(marks_s, np.float64)
    return Crossing(float(_first(times, levels[:, None], near)[0]), _first(times, samples, near))


def _first(times: Array, levels: Array, near: tuple[float, float]) -> Array:
    low, high = near
    inside = (levels[0] >= low) & (levels[0] <= high)
    edge = np.where(levels[0] < low, low, high)
    reached = np.where(levels[0] < low, levels >= low, levels <= high)
    index = np.maximum(np.argmax(reached, axis=0), 1) if len(times) > 1 else None
    if index is None:
        return np.where(inside, times[0], np.inf)
    columns = np.arange(levels.shape[1])
    before, after = levels[index - 1, columns], levels[index, columns]
    step = np.where(after == before, 1.0, after - before)
    share = np.clip((edge - before) / step, 0.0, 1.0)
    crossed = times[index - 1] + share * (times[index] - times[index - 1])
    found: Array = np.where(inside, times[0], np.where(reached.any(axis=0), crossed, np.inf))
    return found
