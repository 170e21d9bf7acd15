"""An answer with its 80 % band, from samples."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import HIGH, LOW
from ullage.physics.numbers import Numbers
from ullage.plan.answers import Band


def band(value: float, samples: NDArray[np.float64]) -> Band:
    """The 80 % band of `samples` around the answer `value`."""
    low, high = np.quantile(samples, (LOW, HIGH))
    return Band(float(value), float(min(low, value)), float(max(high, value)))


def one_sided(band: Band, places: int = 0) -> str:
    """A band as a range where its value is the best that may be, "" where it lies within.

    >>> one_sided(Band(11.2, 6.9, 11.2)), one_sided(Band(11.2, 6.9, 13.0))
    ('7 to 11', '')
    """
    if band.value < band.high or band.low == band.high:
        return ""
    return f"{band.low:.{places}f} to {band.high:.{places}f}"


def band_of(value: Numbers, samples: Numbers) -> Band:
    """The same of what replay has: one number, and its samples or one where nothing is unsure."""
    return band(float(value), np.atleast_1d(np.asarray(samples, dtype=np.float64)))


def ends(samples: NDArray[np.float64], least: float = -np.inf) -> tuple[float, float]:
    """The two ends of the 80 % band of `samples`, of which none can lie below `least`.

    One in ten lies below the first and one in ten above the second. Where more than one in ten lies
    at `least`, or is infinite, the band is open there, so that two in ten lie beyond its other end:
    it holds eight in ten in any case. `samples` may be infinite.
    """
    low, high = (float(np.quantile(samples, part, method="inverted_cdf")) for part in (LOW, HIGH))
    if low <= least:
        return low, float(np.quantile(samples, HIGH - LOW, method="inverted_cdf"))
    if np.isinf(high):
        return float(np.quantile(samples, 1.0 - (HIGH - LOW), method="inverted_cdf")), high
    return low, high
