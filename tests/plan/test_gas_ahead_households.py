"""The day the gas is gone, told ahead to 200 invented households, against what truly happened."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from tests.plan.households import BEGIN, Household, household
from ullage.plan.look_ahead import look_ahead

HOUSEHOLDS = 200
LEAST_DAYS = 40.0


def told(one: Household, seed: int) -> tuple[float, float, float, float] | None:
    """Days from a random moment of a cylinder's life: the truth, and early, likely, late.

    `None` where the gas is gone too soon or too late to ask; what is told as beyond five years is
    as long.
    """
    if not LEAST_DAYS <= one.empty_day < np.inf:
        return None
    share = np.random.default_rng(10_000 + seed).uniform(0.3, 0.8)
    day = max(21, int(one.empty_day * share))
    at = BEGIN + timedelta(days=day + 0.99)
    (cylinder,) = look_ahead([event for event in one.log if event.at <= at], at).cylinders
    empty = cylinder.empty

    def days(moment: object) -> float:
        return 1825.0 if moment is None else (moment - at) / timedelta(days=1)  # type: ignore[operator]

    return one.empty_day - day - 0.99, days(empty.early), days(empty.at), days(empty.late)


def test_the_band_of_the_day_holds_the_truth_four_times_in_five() -> None:
    found = [told(household(seed), seed) for seed in range(HOUSEHOLDS)]
    rows = np.array([row for row in found if row is not None])
    truth, early, likely, late = rows.T
    inside = np.mean((early <= truth) & (truth <= late))
    # independent: the gas of each household was counted by hand, litre by litre. Nine in ten of
    # them empty their cylinder within the time that is simulated
    assert len(rows) >= 0.9 * HOUSEHOLDS
    # analytic: an 80 % band holds four in five; 200 draws of that differ by 3 % or so (one standard
    # deviation), so 72 to 88 % is what a true band may show. Measured: 81 %
    assert 0.72 <= inside <= 0.88
    # analytic: what misses lies on both sides, one in ten each, give or take twice 2 %
    assert np.mean(truth < early) == pytest.approx(0.1, abs=0.05)
    assert np.mean(truth > late) == pytest.approx(0.1, abs=0.05)
    # analytic: the likely day is neither early nor late as a rule
    assert np.median(truth / np.maximum(likely, 1.0)) == pytest.approx(1.0, abs=0.08)
