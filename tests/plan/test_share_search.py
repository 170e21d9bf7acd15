"""The exact search against trying everything, its two ways against each other, and its laws."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ullage.errors import OutOfRange
from ullage.plan.share_puzzle import EDGE, Found, Kind, Puzzle
from ullage.plan.share_search import along, every, search

Array = NDArray[np.float64]
Price = tuple[float, float, float]
CLOSE = 1e-7
BOUNDED = settings(max_examples=60, deadline=None, derandomize=True)


@st.composite
def beers(draw: st.DrawFn) -> Array:
    """Up to six beers over up to seven pressures: rising, bent, some cut off by a rating."""
    kegs, steps = draw(st.integers(1, 6)), draw(st.integers(1, 7))
    at = np.arange(steps, dtype=np.float64)
    rows = []
    for _ in range(kegs):
        own = draw(st.floats(-2.0, 8.0))
        slope = draw(st.sampled_from([0.25, 0.5, 1.0, 3.0]))
        bend = draw(st.sampled_from([0.0, 0.01, 0.03]))
        row = slope * ((at - own) - bend * (at**2 - own**2))
        row[draw(st.integers(1, steps)) :] = np.inf
        rows.append(row)
    return np.array(rows)


@st.composite
def puzzles(draw: st.DrawFn) -> Puzzle:
    """The same on up to three regulators that differ in reach and rating, up to three of them."""
    off = draw(beers())
    kegs, steps = off.shape
    there = draw(st.integers(1, 3))
    kinds = tuple(
        Kind(
            reach=tuple(draw(st.booleans()) or draw(st.booleans()) for _ in range(kegs)),
            limit=draw(st.integers(1, steps)),
        )
        for _ in range(draw(st.integers(there, 3)))
    )
    return Puzzle(np.arange(steps, dtype=np.float64), off, kinds, there)


def price(found: Found) -> Price:
    return float(found.outside), found.worst, found.loss


def assert_same(found: Found | None, cheapest: Price | None) -> None:
    if cheapest is None or found is None:
        assert (found, cheapest) == (None, None)
        return
    assert price(found) == pytest.approx(cheapest, abs=CLOSE)


def hangings(puzzle: Puzzle, most: int) -> Iterator[tuple[int, ...]]:
    """Every way to hang every keg on a regulator that reaches it, at most `most` of them used."""
    count = puzzle.count(most)
    may = [
        [at for at in range(count) if puzzle.kinds[at].reach[keg]] for keg in range(len(puzzle.off))
    ]
    return (way for way in itertools.product(*may) if len(set(way)) <= most)


def by_every_hanging(puzzle: Puzzle, most: int) -> Price | None:
    """Trying everything: every partition, and for each every setting of its regulators."""
    best: Price | None = None
    away = np.abs(puzzle.off)
    for way in hangings(puzzle, most):
        used = sorted(set(way))
        limits = [range(puzzle.kinds[at].limit) for at in used]
        for gauges in itertools.product(*limits):
            set_to = dict(zip(used, gauges, strict=True))
            off = np.array([away[keg, set_to[at]] for keg, at in enumerate(way)])
            if not np.isfinite(off).all():
                continue
            cost = float((off > EDGE).sum()), round(float(off.max()), 9), float((off**2).sum())
            best = cost if best is None else min(best, cost)
    return best


@given(beers(), st.integers(1, 3))
@BOUNDED
def test_alike_regulators_are_shared_as_well_as_by_every_row_of_pressures(
    off: Array, regulators: int
) -> None:
    # independent: every row of pressures, each beer on the best of them
    best: Price | None = None
    away = np.abs(off)
    for row in itertools.combinations_with_replacement(range(off.shape[1]), regulators):
        least = away[:, list(row)].min(axis=1)
        if np.isfinite(least).all():
            cost = (
                float((least > EDGE).sum()),
                round(float(least.max()), 9),
                float((least**2).sum()),
            )
            best = cost if best is None else min(best, cost)
    assert_same(along(off, regulators), best)


@given(puzzles(), st.integers(1, 3))
@BOUNDED
def test_differing_regulators_are_shared_as_well_as_by_every_partition(
    puzzle: Puzzle, regulators: int
) -> None:
    if puzzle.off.shape[0] > 4 or puzzle.off.shape[1] > 5:  # or trying everything takes minutes
        puzzle = Puzzle(
            puzzle.gauges_pa[:5],
            puzzle.off[:4, :5],
            tuple(Kind(one.reach[:4], min(one.limit, 5)) for one in puzzle.kinds),
            puzzle.there,
        )
    # independent: every partition over the regulators with every setting of each
    found = every(puzzle, [regulators])[regulators]
    assert_same(found, by_every_hanging(puzzle, regulators))
    if found is None:
        return
    for group in found.groups:
        kind = puzzle.kinds[group.regulator]
        assert group.pressure < kind.limit
        assert all(kind.reach[keg] for keg in group.kegs)
    hung = sorted(keg for group in found.groups for keg in group.kegs)
    assert hung == list(range(len(puzzle.off)))
    assert len({group.regulator for group in found.groups}) == len(found.groups) <= regulators


@given(beers(), st.integers(1, 4))
@BOUNDED
def test_both_ways_agree_where_regulators_are_alike(off: Array, regulators: int) -> None:
    kinds = (Kind((True,) * len(off), off.shape[1]),) * regulators
    puzzle = Puzzle(np.arange(off.shape[1], dtype=np.float64), off, kinds, regulators)
    assert puzzle.alike
    # independent: the two ways share no step of their reckoning
    assert_same(every(puzzle, [regulators])[regulators], price(along(off, regulators)))


@given(beers())
@BOUNDED
def test_one_regulator_more_is_never_worse(off: Array) -> None:
    prices = [price(along(off, count)) for count in (1, 2, 3, 4)]
    for fewer, more in itertools.pairwise(prices):
        assert more[0] <= fewer[0]
        if more[0] == fewer[0]:
            assert more[1] <= fewer[1] + CLOSE


@given(st.lists(st.floats(0.0, 40.0), min_size=2, max_size=12), st.integers(1, 4))
@BOUNDED
def test_at_one_temperature_the_groups_are_neighbours(wants: list[float], regulators: int) -> None:
    # analytic: with one slope each beer goes to the nearer pressure, so groups are runs in order
    at = np.arange(41, dtype=np.float64)
    found = along(np.array([0.7 * (at - one) for one in sorted(wants)]), regulators)
    runs = [group.kegs for group in found.groups]
    assert [keg for run in runs for keg in run] == sorted(keg for run in runs for keg in run)
    assert all(run == tuple(range(run[0], run[-1] + 1)) for run in runs)


def test_two_beers_on_one_regulator_meet_half_way() -> None:
    # analytic: equal slopes, so the worst is least in the middle between 4 and 10
    at = np.arange(20, dtype=np.float64)
    found = along(np.array([(at - 4.0) / 4.0, (at - 10.0) / 4.0]), 1)
    assert [group.pressure for group in found.groups] == [7]
    assert price(found) == pytest.approx((0.0, 0.75, 2 * 0.75**2))


def test_the_fewest_outside_comes_before_the_worst() -> None:
    # analytic: half way to the third all three would lie outside; so the pair is kept whole
    at = np.arange(30, dtype=np.float64)
    found = along(np.array([at - 5.0, at - 6.0, at - 20.0]), 1)
    assert found.outside == 1
    assert found.groups[0].pressure == 6  # within for both of the pair, and nearest to the third


def test_what_gains_nothing_is_not_used() -> None:
    at = np.arange(10, dtype=np.float64)
    off = np.array([at - 3.0, at - 3.0])
    assert len(along(off, 2).groups) == 1
    kinds = (Kind((True, True), 10), Kind((True, False), 10))
    found = every(Puzzle(at, off, kinds, 2), [2])[2]
    assert found is not None
    assert len(found.groups) == 1


def test_wishes_that_want_more_regulators_have_no_answer() -> None:
    at = np.arange(5, dtype=np.float64)
    kinds = (Kind((True, False), 5), Kind((False, True), 5))
    answers = search(Puzzle(at, np.array([at - 1.0, at - 3.0]), kinds, 2), [1, 2])
    assert answers[1] is None
    assert answers[2] is not None


def test_more_kegs_than_can_be_tried_are_refused() -> None:
    at = np.arange(5, dtype=np.float64)
    off = np.array([at - 1.0] * 13)
    kinds = (Kind((True,) * 13, 4), Kind((True,) * 13, 5))
    with pytest.raises(OutOfRange, match="12 at most"):
        search(Puzzle(at, off, kinds, 2), [2])
    alike = (Kind((True,) * 13, 5),) * 2
    assert search(Puzzle(at, off, alike, 2), [2])[2] is not None
