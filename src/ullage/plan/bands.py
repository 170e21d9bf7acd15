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
