"""Amounts in both systems of units, and the names of parts, in what replay says."""

from __future__ import annotations

import doctest

import pytest

from tests.cellar.logs import COLD_K, FILL_M3, day
from ullage.cellar import amounts, naming
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, KegCleaned, KegWeighed, Poured, Shaken
from ullage.cellar.replay import replay

NAME = "Keg 1"


@pytest.mark.parametrize("module", [amounts, naming])
def test_docstrings_are_true(module: object) -> None:
    tried = doctest.testmod(module)  # type: ignore[arg-type]
    assert tried.attempted > 0
    assert tried.failed == 0


def log(*more: Event) -> list[Event]:
    """A keg that says in its name what it is, clean and empty."""
    return [
        KegAcquired(at=day(-2), keg=NAME, keg_kind="ball-lock-5gal", place="fridge"),
        KegCleaned(at=day(-1), keg=NAME),
        *more,
    ]


def fill(volume_m3: float = FILL_M3, days: float = 0.0) -> Filled:
    return Filled(at=day(days), keg=NAME, batch="pale", volume_m3=volume_m3, temperature_k=COLD_K)


SAID: list[tuple[list[Event], str]] = [
    ([KegAcquired(at=day(0), keg=NAME, keg_kind="ball-lock-5gal", place="fridge")], "is in the"),
    ([Shaken(at=day(0), keg=NAME, duration_s=60.0)], "holds no beer then"),
    ([KegWeighed(at=day(0), keg=NAME, gross_kg=9.0)], "holds no beer then"),
    # analytic: 8.33 L are 8.33 / 3.785 = 2.2 US gallons, 1 L is 0.26
    ([fill(0.001), Poured(at=day(0), keg=NAME, volume_m3=0.00833)], "8.3 L (2.2 gal) was poured"),
    ([fill(0.00833), fill(days=1.0)], "was thought to hold 8.3 L (2.2 gal) still"),
    ([fill(0.03)], "30 L (7.93 gal) is more than Keg 1 holds, 19."),
]


@pytest.mark.parametrize(("events", "words"), SAID, ids=[words for _, words in SAID])
def test_a_keg_is_not_called_keg_twice(events: list[Event], words: str) -> None:
    told = [one for one in replay(log(*events)).warnings if words in one]
    assert len(told) == 1
    assert "keg keg" not in told[0].casefold()
    assert NAME in told[0]
