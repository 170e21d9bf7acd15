"""Moments with their bands, and what has none."""

from __future__ import annotations

import numpy as np

from tests.cellar.logs import NOON, day
from ullage.plan.forecast import forecast, unknown

DAY_S = 86_400.0


def test_a_moment_has_the_band_of_its_samples() -> None:
    samples = np.linspace(1.0, 3.0, 201) * DAY_S
    found = forecast(NOON, 2.0 * DAY_S, samples, 28 * DAY_S, "beyond")
    # analytic: the tenth and the ninetieth hundredth of one to three days, to one sample in 200
    assert found.at == day(2)
    assert found.early is not None
    assert found.late is not None
    assert abs(found.early - day(1.2)).total_seconds() <= 900.0
    assert abs(found.late - day(2.8)).total_seconds() <= 900.0
    assert found.words == ""


def test_what_lies_beyond_has_no_moment() -> None:
    samples = np.array([1.0 * DAY_S] * 2 + [np.inf] * 8)
    found = forecast(NOON, 3.0 * DAY_S, samples, 28 * DAY_S, "beyond")
    assert (found.early, found.at, found.late) == (day(1), day(3), None)
    never = forecast(NOON, np.inf, samples, 28 * DAY_S, "beyond")
    assert (never.at, never.words) == (None, "beyond")
    assert unknown("why").words == "why"
