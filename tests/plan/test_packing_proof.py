"""What is proved impossible is so: nothing that is known to stand is ever refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.test_fit import asked, inside
from tests.plan.test_packing import BEST_KNOWN, UNIT
from ullage.plan import packing_proof
from ullage.plan.fit import fit
from ullage.plan.packing import Body, Box, Floor, Step
from ullage.plan.packing_bounds import Candidate, refusal
from ullage.plan.packing_proof import proved_impossible
from ullage.plan.packing_search import find

needs_solver = pytest.mark.skipif(
    not packing_proof.can_prove(), reason="the extra prove is not installed"
)


@needs_solver
@pytest.mark.parametrize(("count", "radius"), list(BEST_KNOWN.items())[:6])
def test_the_best_known_packings_are_not_refused(count: int, radius: float) -> None:
    # published radii are rounded up in the sixth place at most
    assert not proved_impossible(UNIT, [Candidate(radius - 1e-6)] * count)


@needs_solver
@pytest.mark.parametrize(("count", "radius"), [(2, 1 / (2 + math.sqrt(2))), (3, 0.254333)])
def test_a_little_more_is_proved_impossible(count: int, radius: float) -> None:
    # published: both are proved to be the best; 8 % more is beyond what cells of 1/20 blur
    assert proved_impossible(UNIT, [Candidate(1.08 * radius)] * count)


@needs_solver
@settings(max_examples=12, deadline=None)
@given(
    st.floats(0.5, 1.5),
    st.lists(st.floats(0.12, 0.3), min_size=1, max_size=3),
    st.sampled_from(["none", "back", "corner"]),
)
def test_what_is_found_is_never_proved_impossible(
    width: float, radii: list[float], step: str
) -> None:
    box = {"back": Box(0.0, 0.6, width, 1.0), "corner": Box(0.5 * width, 0.5, width, 1.0)}.get(step)
    floor = Floor(Box(0.0, 0.0, width, 1.0), None if box is None else Step(box, 0.2))
    ups = [box is not None and at % 2 == 1 for at in range(len(radii))]
    bodies = [Body(r, 1.0, up) for r, up in zip(radii, ups, strict=True)]
    if find(floor, bodies, starts=4) is not None:
        assert not proved_impossible(floor, [Candidate(r, True, box is not None) for r in radii])


@needs_solver
def test_it_answers_where_the_bounds_cannot() -> None:
    # by hand: five of 8.5 in and 1/4 in between want a square of 21.1 in (published r = 0.207107 of
    # the side), so 20 in are too few; the bound on points lets five pass
    candidates = [Candidate(4.375 * 0.0254)] * 5
    floor = Floor(Box(0.0, 0.0, 19.75 * 0.0254, 19.75 * 0.0254))
    assert refusal(floor, candidates) is None
    answer = fit(asked(inside(20, 20, 32), 5))
    assert answer.verdict == "does not fit"
    assert answer.proof is not None
    assert answer.proof.rule == "cells"
    assert answer.most[0].count == 4
    assert answer.most[0].proved


def test_without_the_solver_nothing_is_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packing_proof, "can_prove", lambda: False)
    assert not proved_impossible(UNIT, [Candidate(0.6)] * 3)
    # another clearance than anywhere else here: answers are remembered
    answer = fit(asked(inside(20, 20, 32), 5, between_m=0.0065))
    assert answer.verdict == "not found"
    assert answer.proof is None
