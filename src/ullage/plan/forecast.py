"""A moment that is expected, with its 80 % band; or in words why none can be told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import HIGH, LOW
from ullage.plan import clock
from ullage.plan.bands import ends


@dataclass(frozen=True, slots=True)
class Forecast:
    """When something is expected: eight times in ten it comes between `early` and `late`.

    One in ten comes before, one in ten after; where it cannot come before, two in ten come after.
    A moment is `None` where it lies beyond what was looked at; `words` then says why, or what to
    write down so that it can be told.
    """

    at: datetime | None
    early: datetime | None
    late: datetime | None
    words: str = ""

    def here(self) -> Forecast:
        """The same by the clock of this machine."""
        at, early, late = (
            None if one is None else one.astimezone() for one in (self.at, self.early, self.late)
        )
        return Forecast(at, early, late, self.words)


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
    return _between(start, value_s, (float(low), float(high)), longest_s, beyond)


def ready_forecast(
    start: datetime,
    value_s: float,
    samples_s: NDArray[np.float64],
    least_s: float,
    longest_s: float,
    beyond: str,
) -> Forecast:
    """The same of what cannot come before `least_s`, or may never come: see `bands.ends`."""
    seen = np.where(samples_s > longest_s, np.inf, samples_s)
    return _between(start, value_s, ends(seen, least_s), longest_s, beyond)


def _between(
    start: datetime, value_s: float, ends_s: tuple[float, float], longest_s: float, beyond: str
) -> Forecast:
    low, high = ends_s
    at = _moment(start, value_s, longest_s)
    return Forecast(
        at=at,
        early=_moment(start, min(low, value_s), longest_s),
        late=_moment(start, max(high, value_s), longest_s),
        words="" if at is not None else beyond,
    )


def _moment(start: datetime, seconds: float, longest_s: float) -> datetime | None:
    if not math.isfinite(seconds) or seconds > longest_s:
        return None
    return clock.after(start, 60.0 * math.ceil(seconds / 60.0))
