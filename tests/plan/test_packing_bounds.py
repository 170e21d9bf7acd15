"""What is refused is impossible: no bound refuses what is known to stand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.test_packing import BEST_KNOWN, UNIT
from ullage.plan.packing import Body, Box, Floor, Step
from ullage.plan.packing_bounds import Candidate, lower_floor, most_points, refusal
from ullage.plan.packing_search import find


@pytest.mark.parametrize(("count", "radius"), BEST_KNOWN.items())
def test_the_best_known_packings_are_not_refused(count: int, radius: float) -> None:
    # published radii are rounded up in the sixth place at most
    assert refusal(UNIT, [Candidate(radius - 1e-6)] * count) is None


def test_two_that_cannot_pass_each_other_are_refused() -> None:
    # analytic: two equal circles in a unit square have r ≤ 1 / (2 + √2)
    best = 1.0 / (2.0 + math.sqrt(2.0))
    assert refusal(UNIT, [Candidate(best - 1e-9)] * 2) is None
    found = refusal(UNIT, [Candidate(best + 1e-6)] * 2)
    assert found is not None
    assert found.rule == "pair"


def test_too_wide_and_too_high_are_refused() -> None:
    wide = refusal(UNIT, [Candidate(0.6)])
    assert wide is not None
    assert (wide.rule, wide.needed, wide.there) == ("width", 1.2, 1.0)
    high = refusal(UNIT, [Candidate(0.1), Candidate(0.1, on_floor=False)])
    assert high is not None
    assert (high.rule, high.who) == ("height", (1,))


def test_too_many_are_refused() -> None:
    found = refusal(UNIT, [Candidate(0.2)] * 7)
    assert found is not None
    assert found.rule == "count"
    # analytic, by hand: middles in a square of 0.6, 0.4 apart: 1.1547 · 2.25 + 3 + 1 = 6.598
    assert found.there == 6


def test_points_of_a_triangular_lattice_meet_the_bound() -> None:
    # analytic: on a segment of length 3 four points stand 1 apart
    assert most_points(3.0, 0.0, 1.0) == 4
    assert most_points(2.999, 0.0, 1.0) == 3


@pytest.mark.parametrize(
    ("step", "left"),
    [
        (Box(0.0, 0.7, 1.0, 1.0), Box(0.0, 0.0, 1.0, 0.7)),
        (Box(0.0, 0.0, 1.0, 0.3), Box(0.0, 0.3, 1.0, 1.0)),
        (Box(0.7, 0.0, 1.0, 1.0), Box(0.0, 0.0, 0.7, 1.0)),
        (Box(0.0, 0.0, 0.3, 1.0), Box(0.3, 0.0, 1.0, 1.0)),
        (Box(0.7, 0.7, 1.0, 1.0), UNIT.box),
    ],
)
def test_the_floor_beside_a_step(step: Box, left: Box) -> None:
    assert lower_floor(Floor(UNIT.box, Step(step, 0.2))) == left


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.5, 1.5),
    st.lists(st.floats(0.06, 0.3), min_size=1, max_size=6),
    st.sampled_from([None, 0.7, 0.5]),
)
def test_what_is_found_was_not_refused(
    width: float, radii: list[float], step_from: float | None
) -> None:
    step = None if step_from is None else Step(Box(0.0, step_from, width, 1.0), 0.2)
    floor = Floor(Box(0.0, 0.0, width, 1.0), step)
    ups = [step is not None and at % 2 == 1 for at in range(len(radii))]
    bodies = [Body(r, 1.0, up) for r, up in zip(radii, ups, strict=True)]
    if find(floor, bodies, starts=4) is not None:
        candidates = [Candidate(r, True, step is not None) for r in radii]
        assert refusal(floor, candidates) is None
