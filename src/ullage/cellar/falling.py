"""A head that stands above its regulator: a check valve keeps the gas until the beer has taken it.

What the head loses the beer gains, so while the head falls the gap between what the beer could hold
and what it holds falls, too: nearly in a straight line with the level, from that under the head to
that under the regulator. With gap = Δ₀ − m (c − c₀) the law of the four thirds stays closed:
Δ^(−1/3) = Δ₀^(−1/3) + m g, with the growth g = r t/3.
"""

from __future__ import annotations

import math

import numpy as np

from ullage.physics.numbers import Numbers

LEAST_VOL = 1e-12
"""A rise smaller than this is none."""


def fall_one(before: float, gap: float, rise: float, growth: float) -> tuple[float, float] | None:
    """What the level gains by a head that falls, and the growth left once it has fallen.

    before, gap: Δ at the present level under the head and under the regulator, volumes; rise:
    volumes that the beer gains until it has fallen; growth: r t/3. What is left is negative where
    time does not suffice. `None` where the beer takes no gas, or is full before.
    """
    after = gap - rise
    if after <= 0.0 or before <= 0.0:
        return None
    begun = 1.0 / math.cbrt(before)
    steep = max((before - after) / max(rise, LEAST_VOL), 1.0)
    left = growth - max(1.0 / math.cbrt(after) - begun, 0.0) / steep
    if left > 0.0:
        return rise, left
    root = begun + steep * growth
    return (before - 1.0 / (root * root * root)) / steep, left


def fall(before: Numbers, gap: Numbers, rise: Numbers, growth: Numbers) -> tuple[Numbers, Numbers]:
    """`fall_one` for samples, in each of which the beer takes the gas and is not full before."""
    after = gap - rise
    begun = 1.0 / np.cbrt(before)
    steep = np.maximum((before - after) / np.maximum(rise, LEAST_VOL), 1.0)
    left = growth - np.maximum(1.0 / np.cbrt(after) - begun, 0.0) / steep
    root = begun + steep * growth
    partly = (before - 1.0 / (root * root * root)) / steep
    return np.where(left > 0.0, rise, partly)[()], left
