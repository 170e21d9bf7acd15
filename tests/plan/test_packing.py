"""Circles: published packings are reached, placed ones found, and nothing ever overlaps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.plan.packing import Body, Box, Floor, Spot, Step, centre, discs_of, faults, holds
from ullage.plan.packing_search import find, spread

UNIT = Floor(Box(0.0, 0.0, 1.0, 1.0))

# published: best known radius of n equal circles in a unit square, E. Specht's tables (from
# memory). 2, 4 and 9 are analytic too: 1 / (2 + √2), 1/4, 1/6.
BEST_KNOWN = {
    2: 0.292893,
    3: 0.254333,
    4: 0.25,
    5: 0.207107,
    6: 0.187681,
    7: 0.174458,
    8: 0.170541,
    9: 1.0 / 6.0,
}


@pytest.mark.parametrize(("count", "radius"), BEST_KNOWN.items())
def test_equal_circles_in_a_square_come_near_the_best_known(count: int, radius: float) -> None:
    bodies = [Body(0.995 * radius, 1.0)] * count
    spots = find(UNIT, bodies)
    assert spots is not None
    assert holds(UNIT, bodies, spots)


@pytest.mark.parametrize(("count", "radius"), BEST_KNOWN.items())
def test_nothing_better_than_the_best_known_is_claimed(count: int, radius: float) -> None:
    assert find(UNIT, [Body(1.001 * radius, 1.0)] * count, starts=8) is None


def _placed(seed: int) -> tuple[Floor, list[Body]]:
    """Three to nine circles of different size put on a floor by hand, with a breath between."""
    dice = np.random.default_rng(seed)
    floor = Floor(Box(0.0, 0.0, float(dice.uniform(0.8, 1.4)), float(dice.uniform(0.6, 1.0))))
    wanted, found = int(dice.integers(3, 10)), list[tuple[float, float, float]]()
    while len(found) < wanted:
        x, y = dice.uniform(0.0, floor.box.right), dice.uniform(0.0, floor.box.back)
        walls = min(x, floor.box.right - x, y, floor.box.back - y)
        others = min((math.hypot(x - a, y - b) - r for a, b, r in found), default=math.inf)
        r = 0.98 * min(walls, others, dice.uniform(0.08, 0.2))
        if r > 0.05:
            found.append((x, y, r))
    return floor, [Body(r, 1.0) for _, _, r in found]


def test_mixed_circles_that_are_known_to_stand_are_found() -> None:
    # analytic: each case was placed by construction, so each has a layout; 99 % of 200
    cases = [_placed(seed) for seed in range(200)]
    layouts = [(floor, bodies, find(floor, bodies)) for floor, bodies in cases]
    assert sum(spots is not None for *_, spots in layouts) >= 198
    assert all(spots is None or holds(floor, bodies, spots) for floor, bodies, spots in layouts)


def _overlap(floor: Floor, bodies: Sequence[Body], spots: Sequence[Spot]) -> float:
    """The deepest overlap by plain arithmetic of our own."""
    discs = discs_of(floor, bodies)
    at = [centre(disc, spots[disc.owner]) for disc in discs]
    worst = -math.inf
    for (a, one), (b, other) in combinations(enumerate(discs), 2):
        if one.owner != other.owner and one.low < other.high and other.low < one.high:
            worst = max(worst, one.radius + other.radius - math.dist(at[a], at[b]))
    for disc, (x, y) in zip(discs, at, strict=True):
        box = floor.box
        gap = min(x - box.left, box.right - x, y - box.front, box.back - y)
        worst = max(worst, disc.radius - gap)
    return worst


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.4, 2.0),
    st.floats(0.4, 1.5),
    st.lists(st.floats(0.05, 0.25), min_size=1, max_size=7),
    st.sampled_from(["none", "back", "right", "corner"]),
    st.booleans(),
)
def test_what_is_found_never_overlaps(
    width: float, depth: float, radii: list[float], step: str, headed: bool
) -> None:
    box = {
        "back": Box(0.0, 0.7 * depth, width, depth),
        "right": Box(0.75 * width, 0.0, width, depth),
        "corner": Box(0.6 * width, 0.6 * depth, width, depth),
    }.get(step)
    floor = Floor(Box(0.0, 0.0, width, depth), None if box is None else Step(box, 0.25))
    bodies = [Body(r, 0.6, box is not None and at % 3 == 2) for at, r in enumerate(radii)]
    if headed:
        bodies.append(Body(0.06, 0.4, False, 0.08, 0.07, 0.3, 0.5))
    spots = find(floor, bodies, starts=6)
    if spots is None:
        return
    assert not list(faults(floor, bodies, spots))
    # independent: written here once more, in floating point
    assert _overlap(floor, bodies, spots) <= 1e-12
    further, room = spread(floor, bodies, spots)
    assert room >= 0.0
    assert holds(floor, bodies, further)


def test_the_same_question_has_the_same_answer() -> None:
    bodies = [Body(0.18, 1.0)] * 5
    assert find(UNIT, bodies) == find(UNIT, bodies)


def test_touching_is_allowed_and_a_hair_less_is_not() -> None:
    two = (Body(0.25, 1.0), Body(0.25, 1.0))
    assert holds(UNIT, two, (Spot(0.25, 0.5), Spot(0.75, 0.5)))
    assert not holds(UNIT, two, (Spot(0.25, 0.5), Spot(math.nextafter(0.75, 0.0), 0.5)))
    assert not holds(UNIT, two, (Spot(math.nextafter(0.25, 0.0), 0.5), Spot(0.75, 0.5)))


STEPPED = Floor(Box(0.0, 0.0, 1.0, 1.0), Step(Box(0.0, 0.7, 1.0, 1.0), 0.25))


def test_on_the_step_means_wholly_on_it() -> None:
    body = Body(0.1, 0.5, on_step=True)
    assert holds(STEPPED, [body], [Spot(0.5, 0.85)])
    assert not holds(STEPPED, [body], [Spot(0.5, 0.75)])


def test_on_the_floor_means_out_of_the_step() -> None:
    assert holds(STEPPED, [Body(0.1, 0.5)], [Spot(0.5, 0.59)])
    assert not holds(STEPPED, [Body(0.1, 0.5)], [Spot(0.5, 0.65)])
    assert not holds(STEPPED, [Body(0.1, 0.5)], [Spot(0.5, 0.85)])


def test_a_head_may_hang_over_the_step_and_over_what_is_lower() -> None:
    cylinder = Body(0.06, 0.45, False, 0.1, 0.08, 0.35, 0.5)
    assert holds(STEPPED, [cylinder], [Spot(0.5, 0.6, math.pi / 2)])
    low, high = Body(0.1, 0.3), Body(0.1, 0.6)
    beside = Spot(0.68, 0.3)
    assert holds(UNIT, [cylinder, low], [Spot(0.5, 0.3, 0.0), beside])
    assert not holds(UNIT, [cylinder, high], [Spot(0.5, 0.3, 0.0), beside])
    assert holds(UNIT, [cylinder, high], [Spot(0.5, 0.3, math.pi), beside])


def test_spreading_finds_the_room_there_is() -> None:
    # analytic: one circle of 0.2 in a unit square may grow by 0.3 in its middle; the search stops
    # at half a mean radius, here 0.1
    spots, room = spread(UNIT, [Body(0.2, 1.0)], [Spot(0.2, 0.2)])
    assert room == pytest.approx(0.1, abs=2e-3)
    assert holds(UNIT, [Body(0.2 + room, 1.0)], spots)
