"""Labels never cover each other."""

from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from ullage.draw.labels import LEVELS, Span, place_above, spread

WIDTH = 252.0
NAMES = st.lists(st.sampled_from(["dip tube", "line", "shank", "line in tower"]), max_size=5)
SHARES = st.lists(st.floats(0.02, 1.0), min_size=5, max_size=5)


def spans(names: list[str], shares: list[float]) -> list[Span]:
    total, at, found = sum(shares[: len(names)]), 0.0, []
    for name, share in zip(names, shares, strict=False):
        long = share / total * WIDTH
        found.append(Span(name, at, at + long))
        at += long
    return found


@given(NAMES, SHARES)
def test_no_name_overlaps_another(names: list[str], shares: list[float]) -> None:
    labels = place_above(spans(names, shares), WIDTH, 11)
    assert len(labels) == len(names)
    for one, other in combinations(labels, 2):
        if one.level == other.level < LEVELS:
            assert one.right <= other.left or other.right <= one.left


@given(NAMES, SHARES)
def test_no_leader_crosses_a_name(names: list[str], shares: list[float]) -> None:
    for one, other in combinations(place_above(spans(names, shares), WIDTH, 11), 2):
        low, high = sorted((one, other), key=lambda label: label.level)
        if low.level < high.level < LEVELS:
            assert not low.left < high.x < low.right


@given(st.lists(st.floats(0, 188), max_size=6))
def test_spread_keeps_the_order_and_the_gap(wanted: list[float]) -> None:
    places = spread(wanted, 13, 4, 184)
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    for before, after in pairwise(order):
        assert places[after] - places[before] >= 13 - 1e-9
