"""Carried on from what was replayed before: the same to the last bit as from the beginning."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from datetime import timedelta

import pytest
from benchmarks.year import year

from ullage.cellar import carried as module
from ullage.cellar.carried import LAGS, MOST, carried
from ullage.cellar.events import Event, in_order
from ullage.cellar.household import Household, assumed, sampled
from ullage.cellar.keg_events import Poured
from ullage.cellar.replay import replay
from ullage.cellar.state import CellarState
from ullage.cellar.state_text import to_text

HOME = Household(altitude_m=120.0)
SAMPLES = 5


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    module._kept.clear()
    yield
    module._kept.clear()


@pytest.fixture
def replays(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many facts were replayed, each time."""
    counted: list[int] = []

    def count(events: Sequence[Event], one: object, begun: CellarState) -> CellarState:
        counted.append(len(events))
        return replay(events, one, begun)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "replay", count)
    return counted


def same(told: Sequence[Event], home: Household = HOME) -> None:
    """Both states are those of a replay from the beginning, and so is what readings were off by."""
    one, many = carried(told, home), carried(told, home, SAMPLES)
    whole, wide = replay(told, assumed(home)), replay(told, sampled(home, SAMPLES))
    assert to_text(one, many) == to_text(whole, wide)
    assert one.residuals == whole.residuals


def test_a_log_that_grows_entry_by_entry() -> None:
    log = in_order(year(21))
    for count in range(len(log) - 25, len(log) + 1):
        same(log[:count])


def test_whatever_is_taken_back_or_written_later() -> None:
    """Any entry of the log may go or come, near its end or at its beginning."""
    chance = random.Random(7)
    log = list(in_order(year(21)))
    pours = [one for one in log if isinstance(one, Poured)]
    for _ in range(12):
        told = list(log)
        for gone in chance.sample(pours, 2):
            told.remove(gone)
        at = chance.choice(pours).at + timedelta(seconds=1)
        told.append(chance.choice(pours).model_copy(update={"at": at, "id": f"{at:%H%M%S}"}))
        same(told)
    same(log[:5])
    same([])
    same(log)


def test_another_household_is_no_continuation() -> None:
    log = in_order(year(10))
    for altitude_m in (0.0, 1500.0, 0.0):
        same(log, Household(altitude_m=altitude_m))


def test_one_entry_more_is_all_that_is_replayed(replays: list[int]) -> None:
    log = list(in_order(year(30)))
    carried(log[:-1], HOME)
    assert sum(replays) == len(log) - 1
    replays.clear()
    carried(log, HOME)
    assert replays == [1]
    replays.clear()
    carried(log, HOME)
    assert replays == []


def test_one_taken_back_costs_no_more_than_what_came_after(replays: list[int]) -> None:
    """analytic: the state kept next before the 30th from the end is at most 50 + 30 behind it."""
    log = list(in_order(year(30)))
    for count in range(len(log) - 60, len(log) + 1):
        carried(log[:count], HOME)
    replays.clear()
    carried([*log[:-30], *log[-29:]], HOME)
    assert sum(replays) <= LAGS[2] + 30


def test_few_states_are_kept() -> None:
    log = list(in_order(year(30)))
    for count in range(len(log) - 80, len(log) + 1):
        carried(log[:count], HOME)
    for keg in range(3 * MOST):
        carried(log[:3], HOME, of=f"K{keg}")
    assert len(module._kept) == MOST
    assert all(len(one.states) <= 1 + 2 * len(LAGS) for one in module._kept.values())
