"""The ends of an 80 % band, open ones too."""

from __future__ import annotations

import numpy as np
import pytest

from ullage.plan.bands import ends

EVEN = np.arange(1.0, 1001.0)


def test_one_in_ten_lies_beyond_each_end() -> None:
    # analytic: of 1 to 1000 the tenth and the ninetieth percentile
    assert ends(EVEN) == (100.0, 900.0)


def test_where_none_can_be_sooner_two_in_ten_are_later() -> None:
    # analytic: 300 of them lie at the least, so 80 % reach to the eightieth percentile
    assert ends(np.maximum(EVEN, 300.0), 300.0) == (300.0, 800.0)
    assert ends(np.maximum(EVEN, 50.0), 50.0) == (100.0, 900.0)


@pytest.mark.parametrize(("never", "low", "high"), [(50, 100.0, 900.0), (150, 200.0, np.inf)])
def test_where_many_never_come_two_in_ten_are_sooner(never: int, low: float, high: float) -> None:
    # analytic: beyond one in ten infinite there is no late end; 80 % begin at the twentieth
    some = np.where(1000 - never < EVEN, np.inf, EVEN)
    assert ends(some) == (low, high)
