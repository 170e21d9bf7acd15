"""A flow meter followed: pours are the rises of its total."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.cellar.samples import Sample
from ullage.plan.sensed_flow import LEAST_POUR_M3, Flowed, FlowState, follow_flow

T0 = datetime(2026, 3, 1, tzinfo=UTC)
LATE = T0 + timedelta(days=2)


def at(seconds: float) -> datetime:
    return T0 + timedelta(seconds=seconds)


def totals(*told: tuple[float, float]) -> list[Sample]:
    return [Sample("m", "flow", "tap:left", at(s), litres * 1e-3) for s, litres in told]


def flowed(*told: tuple[float, float], until: datetime = LATE) -> list[Flowed]:
    return follow_flow(FlowState(), totals(*told), until)[1]


def test_a_pour_is_a_rise_with_quiet_after_it() -> None:
    (one,) = flowed((0, 7.0), (100, 7.1), (102, 7.25), (104, 7.4), (300, 7.4))
    assert one.at == at(100)
    assert one.m3 == pytest.approx(0.4e-3)


def test_it_is_over_only_after_a_while() -> None:
    told = ((0, 7.0), (100, 7.2))
    assert flowed(*told, until=at(130)) == []
    assert len(flowed(*told, until=at(160))) == 1


def test_two_with_quiet_between_are_two() -> None:
    found = flowed((0, 0.0), (10, 0.3), (100, 0.7), (200, 0.7))
    assert [one.m3 for one in found] == pytest.approx([0.3e-3, 0.4e-3])


def test_drips_are_added_to_the_next_pour() -> None:
    found = flowed((0, 0.0), (100, 0.005), (300, 0.01), (600, 0.31))
    assert [one.at for one in found] == [at(600)]
    assert [one.m3 for one in found] == pytest.approx([0.31e-3])


def test_a_meter_that_counts_anew_pours_nothing_by_that() -> None:
    found = flowed((0, 500.0), (100, 0.2), (300, 0.5))
    assert [one.m3 for one in found] == pytest.approx([0.3e-3])


def test_a_pour_before_it_counted_anew_is_told() -> None:
    found = flowed((0, 1.0), (10, 1.4), (20, 0.0), (100, 0.0))
    assert [one.m3 for one in found] == pytest.approx([0.4e-3])


@given(
    st.lists(st.tuples(st.integers(1, 200), st.integers(0, 300)), max_size=60),
    st.lists(st.integers(0, 60), max_size=4),
)
def test_no_beer_is_lost_or_made(steps: list[tuple[int, int]], cuts: list[int]) -> None:
    seconds, total, told = 0, 0, [(0.0, 0.0)]
    for wait, millilitres in steps:
        seconds, total = seconds + wait, total + millilitres
        told.append((float(seconds), total * 1e-3))
    samples = totals(*told)
    state, parts = FlowState(), []
    edges = [0, *sorted(cuts), len(samples)]
    for begin, end in pairwise(edges):
        some = samples[begin:end]
        if some:
            state, more = follow_flow(state, some, some[-1].at)
            parts += more
    state, more = follow_flow(state, [], LATE)
    parts += more
    assert parts == flowed(*told)
    # conserved: all that went through is told, but for less than the least pour at the end
    assert total * 1e-6 - sum(one.m3 for one in parts) == pytest.approx(
        LEAST_POUR_M3 / 2, abs=LEAST_POUR_M3 / 2 + 1e-9
    )
