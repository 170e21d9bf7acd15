"""An answer with its 80 % band, from samples."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import HIGH, LOW
from ullage.plan.answers import Band


def band(value: float, samples: NDArray[np.float64]) -> Band:
    """The 80 % band of `samples` around the answer `value`."""
    low, high = np.quantile(samples, (LOW, HIGH))
    return Band(float(value), float(min(low, value)), float(max(high, value)))


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
