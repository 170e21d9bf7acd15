"""A moment that is expected, with its 80 % band; or in words why none can be told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import HIGH, LOW
from ullage.plan import clock


@dataclass(frozen=True, slots=True)
class Forecast:
    """When something is expected. One time in ten it comes before `early`, one in ten after `late`.

    A moment is `None` where it lies beyond what was looked at; `words` then says why, or what to
    write down so that it can be told.
    """

    at: datetime | None
    early: datetime | None
    late: datetime | None
    words: str = ""


def unknown(words: str) -> Forecast:
    """No moment, and why."""
    return Forecast(None, None, None, words)


def forecast(
    start: datetime, value_s: float, samples_s: NDArray[np.float64], longest_s: float, beyond: str
) -> Forecast:
    """The moment `value_s` after `start` (s) with the band of its samples.

    What lies more than `longest_s` ahead, or is infinite, is `None`; `beyond` says so in words.
    """
    low, high = np.quantile(samples_s, (LOW, HIGH), method="inverted_cdf")
    at = _moment(start, value_s, longest_s)
    return Forecast(
        at=at,
        early=_moment(start, min(float(low), value_s), longest_s),
        late=_moment(start, max(float(high), value_s), longest_s),
        words="" if at is not None else beyond,
    )


def _moment(start: datetime, seconds: float, longest_s: float) -> datetime | None:
    if not math.isfinite(seconds) or seconds > longest_s:
        return None
    return clock.after(start, 60.0 * math.ceil(seconds / 60.0))
