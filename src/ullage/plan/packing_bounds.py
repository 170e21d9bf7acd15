"""When discs cannot stand together, by arguments that leave no doubt.

Each argument drops something that only makes standing harder (heads, the step's corners, the other
discs), so what it refuses is impossible; what it lets pass may still not fit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from ullage.plan.packing import Box, Floor

Rule = Literal["height", "width", "pair", "count", "area", "cells"]
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Candidate:
    """A disc that wants to stand, and whether its height lets it stand on floor and step."""

    radius: float
    on_floor: bool = True
    on_step: bool = False


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why it is impossible: the rule, which candidates, what they need and what there is.

    Lengths for `height`, `width` and `pair`, numbers of discs for `count`, an area for `area`.
    """

    rule: Rule
    who: tuple[int, ...]
    needed: float
    there: float


def refusal(floor: Floor, candidates: Sequence[Candidate]) -> Refusal | None:
    """The first argument that refuses the candidates together; `None` where none does."""
    rules = (_alone, _pairs, _counts, _area)
    return next((found for rule in rules for found in rule(floor, candidates)), None)


def most_points(width: float, depth: float, apart: float) -> int:
    """How many points, all at least `apart` from each other, a rectangle can hold at most.

    N ≤ (2/√3) A / d² + P / (2 d) + 1 for a convex set of area A and perimeter P. No points where a
    side is negative. Source: N. Oler, Acta Mathematica 105 (1961) 19; from memory.

    >>> most_points(1.0, 1.0, 1.0), most_points(0.0, 2.0, 1.0), most_points(-0.1, 1.0, 1.0)
    (4, 3, 0)
    """
    if width < 0.0 or depth < 0.0:
        return 0
    bound = 2.0 / math.sqrt(3.0) * width * depth / apart**2 + (width + depth) / apart + 1.0
    return math.floor(bound + _ROUNDING)


def lower_floor(floor: Floor) -> Box:
    """The smallest box that holds all the floor beside the step."""
    if floor.step is None:
        return floor.box
    walls, step = floor.box, floor.step.box
    if step.left <= walls.left and step.right >= walls.right:
        if step.back >= walls.back:
            return Box(walls.left, walls.front, walls.right, step.front)
        if step.front <= walls.front:
            return Box(walls.left, step.back, walls.right, walls.back)
    if step.front <= walls.front and step.back >= walls.back:
        if step.right >= walls.right:
            return Box(walls.left, walls.front, step.left, walls.back)
        if step.left <= walls.left:
            return Box(step.right, walls.front, walls.right, walls.back)
    return walls


def _boxes(floor: Floor, one: Candidate) -> tuple[Box, ...]:
    """Where a candidate may stand by its height."""
    found = [lower_floor(floor)] if one.on_floor else []
    if one.on_step and floor.step is not None:
        found.append(floor.step.box.within(floor.box))
    return tuple(found)


def _alone(floor: Floor, candidates: Sequence[Candidate]) -> Iterator[Refusal]:
    for at, one in enumerate(candidates):
        boxes = _boxes(floor, one)
        if not boxes:
            yield Refusal("height", (at,), 0.0, 0.0)
            continue
        widest = max(min(box.width, box.depth) for box in boxes)
        if widest < 2.0 * one.radius - _ROUNDING:
            yield Refusal("width", (at,), 2.0 * one.radius, max(widest, 0.0))


def _pairs(floor: Floor, candidates: Sequence[Candidate]) -> Iterator[Refusal]:
    """Two discs need their radii's sum between their middles, in the box or across the diagonal."""
    for (a, one), (b, other) in combinations(enumerate(candidates), 2):
        both = one.radius + other.radius
        only_floor = not (one.on_step or other.on_step)
        box = lower_floor(floor) if only_floor else floor.box
        free = math.hypot(max(box.width - both, 0.0), max(box.depth - both, 0.0))
        if free < both - _ROUNDING:
            yield Refusal("pair", (a, b), both, free)


def _counts(floor: Floor, candidates: Sequence[Candidate]) -> Iterator[Refusal]:
    """Those at least as large as each radius, counted as if all were of that radius."""
    below = lower_floor(floor)
    step = None if floor.step is None else floor.step.box.within(floor.box)
    for radius in sorted({one.radius for one in candidates}, reverse=True):
        large = [at for at, one in enumerate(candidates) if one.radius >= radius]
        on_floor = tuple(at for at in large if not candidates[at].on_step)
        on_step = tuple(at for at in large if not candidates[at].on_floor)
        floors = _most(below, radius)
        steps = 0 if step is None else _most(step, radius)
        for who, room in (
            (tuple(large), min(floors + steps, _most(floor.box, radius))),
            (on_floor, floors),
            (on_step, steps),
        ):
            if len(who) > room:
                yield Refusal("count", who, len(who), room)


def _most(box: Box, radius: float) -> int:
    return most_points(box.width - 2.0 * radius, box.depth - 2.0 * radius, 2.0 * radius)


def _area(floor: Floor, candidates: Sequence[Candidate]) -> Iterator[Refusal]:
    needed = sum(math.pi * one.radius**2 for one in candidates)
    there = max(floor.box.width, 0.0) * max(floor.box.depth, 0.0)
    if needed > there + _ROUNDING:
        yield Refusal("area", tuple(range(len(candidates))), needed, there)
