"""Thinning samples as they age: no extreme is lost, and doing it again changes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from itertools import groupby
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import delete

from tests.cellar.conftest import OpenStore
from tests.cellar.test_samples import PROBE, cold, every, keep
from ullage.cellar import samples_thin
from ullage.cellar.samples import Sample
from ullage.cellar.samples_thin import GRAINS, came_late, due, thin
from ullage.cellar.store import Store
from ullage.cellar.tables import SAMPLE, SAMPLE_MARK

NOW = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(days=60)
ORIGIN = datetime(1970, 1, 1, tzinfo=UTC)
FEW = settings(max_examples=60, deadline=None)
_DAY = 86_400.0
TOLD = st.lists(
    st.tuples(
        st.integers(0, 60 * 86_400) | st.integers(0, 3_600),
        st.integers(0, 20).map(float),
    ),
    max_size=80,
    unique_by=lambda one: one[0],
)


@pytest.fixture(scope="module")
def one_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store that each example empties: to make one takes longer than the example."""
    with Store.open(str(tmp_path_factory.mktemp("thin") / "log.db")) as store:
        yield store


def thinned(store: Store, now: datetime = NOW) -> int:
    with store.writing() as connection:
        return thin(connection, store.cellar, PROBE, now)


def by_hand(told: Sequence[Sample], now: datetime = NOW) -> list[Sample]:
    """What thinning is to leave, worked out plainly: the coarsest grain that a sample is old for
    decides, and the finer ones before it take nothing that the coarser one would keep."""
    left = sorted(told, key=lambda one: one.at)
    for grain in GRAINS:
        edge = ORIGIN + (now - grain.age - ORIGIN) // grain.width * grain.width
        kept = [one for one in left if one.at >= edge]
        old = [one for one in left if one.at < edge]
        for _, group in groupby(old, key=lambda one: (one.at - ORIGIN) // grain.width):
            some = list(group)
            low, high = min(one.value for one in some), max(one.value for one in some)
            first_low = next(one for one in some if one.value == low)
            first_high = next(one for one in some if one.value == high)
            kept += [one for one in some if one in (some[0], some[-1], first_low, first_high)]
        left = sorted(kept, key=lambda one: one.at)
    return left


@FEW
@given(told=TOLD)
def test_every_extreme_is_kept_and_nothing_else(
    one_store: Store, told: list[tuple[int, float]]
) -> None:
    made = begun(one_store, told)
    gone = thinned(one_store)
    left = [*every(one_store, PROBE)]
    assert left == by_hand(made)
    assert gone == len(made) - len(left)
    for width in (timedelta(hours=1), timedelta(days=1)):  # any stretch made of whole ones
        for pick in (min, max):
            assert extremes(left, width, pick) == extremes(made, width, pick)
    assert thinned(one_store) == 0
    assert [*every(one_store, PROBE)] == left


def begun(store: Store, told: Sequence[tuple[int, float]]) -> list[Sample]:
    """Empty the store and keep these."""
    with store.writing() as connection:
        connection.execute(delete(SAMPLE))
        connection.execute(delete(SAMPLE_MARK))
    made = [cold(seconds, value) for seconds, value in told]
    keep(store, *made)
    return made


def extremes(
    told: Sequence[Sample], width: timedelta, pick: Callable[[list[float]], float]
) -> dict[int, float]:
    found: dict[int, list[float]] = {}
    for one in told:
        found.setdefault((one.at - ORIGIN) // width, []).append(one.value)
    return {number: pick(values) for number, values in found.items()}


@FEW
@given(told=TOLD, days=st.lists(st.integers(1, 59), max_size=4))
def test_step_by_step_leaves_what_at_once_would(
    one_store: Store, told: list[tuple[int, float]], days: list[int]
) -> None:
    made = begun(one_store, told)
    for day in sorted(days):
        thinned(one_store, NOW - timedelta(days=60 - day))
    thinned(one_store)
    assert [*every(one_store, PROBE)] == by_hand(made)


def test_on_both_databases(store: Store) -> None:
    made = [cold(index * 7.0, float(index * 37 % 101)) for index in range(3_000)]
    keep(store, *made)
    assert thinned(store) > 2_000
    assert [*every(store, PROBE)] == by_hand(made)


def test_the_young_are_left_alone(store: Store) -> None:
    keep(store, *(cold(60 * _DAY - index, float(index)) for index in range(1, 200)))
    assert thinned(store) == 0
    assert len(every(store, PROBE)) == 199


def test_a_pass_takes_in_so_many_and_the_next_goes_on(
    open_store: OpenStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(samples_thin, "AT_ONCE", 500)
    store = open_store(f"{tmp_path}/log.db")
    made = [cold(index * 7.0, float(index * 37 % 101)) for index in range(3_000)]
    keep(store, *made)
    passes = 0
    while True:
        with store.reading() as connection:
            if not due(connection, store.cellar, PROBE, NOW):
                break
        thinned(store)
        passes += 1
    assert passes > 3
    assert [*every(store, PROBE)] == by_hand(made)


def test_what_comes_late_is_thinned_too(store: Store) -> None:
    first = [cold(index, 5.0) for index in range(0, 300, 2)]
    late = [cold(index, 6.0 + index) for index in range(1, 300, 2)]
    keep(store, *first)
    thinned(store)
    with store.writing() as connection:
        came_late(connection, store.cellar, PROBE, late[0].at)
    keep(store, *late)
    assert thinned(store) > 0
    assert max(one.value for one in every(store, PROBE)) == 6.0 + 299
    assert len(every(store, PROBE)) <= 4
