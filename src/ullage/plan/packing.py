"""Discs on a floor with a step: whether a placing holds, in exact arithmetic.

Pure geometry in one unit of length, metres where it is used. Seen from above, the floor is a box;
`x` runs from its left to its right, `y` from its front to its back. A step is a box within it that
stands up from the floor to some height. A disc is a cylinder's circle between two heights; a body
may have two: its base, and a head that reaches out to the side (a regulator on a cylinder).
Clearances are the caller's: larger radii, smaller boxes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle seen from above."""

    left: float
    front: float
    right: float
    back: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def depth(self) -> float:
        """From front to back."""
        return self.back - self.front

    def inset(self, by: float) -> Box:
        """Give the box with each side moved in; what remains may be less than nothing."""
        return Box(self.left + by, self.front + by, self.right - by, self.back - by)

    def within(self, walls: Box) -> Box:
        """Give the part of the box that lies within others' walls."""
        return Box(
            max(self.left, walls.left),
            max(self.front, walls.front),
            min(self.right, walls.right),
            min(self.back, walls.back),
        )


@dataclass(frozen=True, slots=True)
class Step:
    """A step on the floor: its outline seen from above and how high it is."""

    box: Box
    height: float


@dataclass(frozen=True, slots=True)
class Floor:
    """What there is to stand on."""

    box: Box
    step: Step | None = None


@dataclass(frozen=True, slots=True)
class Body:
    """What is to stand: a disc of a height, on the floor or on the step.

    `reach`: how far from its axis the middle of its head is; `head`: the head's radius, 0 without
    one; `head_low`, `head_high`: between which heights above its foot the head is.
    """

    radius: float
    height: float
    on_step: bool = False
    reach: float = 0.0
    head: float = 0.0
    head_low: float = 0.0
    head_high: float = 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a body's axis is, and which way its head looks, in radians from `x` towards `y`."""

    x: float
    y: float
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Disc:
    """One circle of a body, between two heights above the floor. `owner`: the body's index."""

    owner: int
    radius: float
    reach: float
    low: float
    high: float

    def beside(self, other: Disc) -> bool:
        """Whether the two share a height, so that they must not share a place."""
        return self.owner != other.owner and self.low < other.high and other.low < self.high


def discs_of(floor: Floor, bodies: Sequence[Body]) -> tuple[Disc, ...]:
    """All circles of the bodies: every base in the bodies' order, then the heads."""
    lift = floor.step.height if floor.step is not None else 0.0
    feet = [lift if body.on_step else 0.0 for body in bodies]
    bases = [
        Disc(at, body.radius, 0.0, foot, foot + body.height)
        for at, (body, foot) in enumerate(zip(bodies, feet, strict=True))
    ]
    heads = [
        Disc(at, body.head, body.reach, foot + body.head_low, foot + body.head_high)
        for at, (body, foot) in enumerate(zip(bodies, feet, strict=True))
        if body.head > 0.0
    ]
    return (*bases, *heads)


def centre(disc: Disc, spot: Spot) -> tuple[float, float]:
    """Where a disc's middle is when its body stands at a spot."""
    if disc.reach == 0.0:
        return spot.x, spot.y
    return spot.x + disc.reach * math.cos(spot.turn), spot.y + disc.reach * math.sin(spot.turn)


def holds(floor: Floor, bodies: Sequence[Body], spots: Sequence[Spot]) -> bool:
    """Whether all bodies stand so: within the walls, not in the step, none in another.

    Exact: coordinates and radii are taken as the fractions that they are, so nothing is rounded.
    Touching is allowed.

    >>> two = (Body(0.25, 1.0), Body(0.25, 1.0))
    >>> unit = Floor(Box(0.0, 0.0, 1.0, 1.0))
    >>> holds(unit, two, (Spot(0.25, 0.25), Spot(0.75, 0.25)))
    True
    >>> holds(unit, two, (Spot(0.25, 0.25), Spot(0.7499999999, 0.25)))
    False
    """
    return not any(faults(floor, bodies, spots))


def faults(floor: Floor, bodies: Sequence[Body], spots: Sequence[Spot]) -> Iterator[str]:
    """Say what is wrong with a placing, one thing at a time; nothing where it holds."""
    discs = discs_of(floor, bodies)
    middles = [_exact(centre(disc, spots[disc.owner])) for disc in discs]
    for at, (disc, middle) in enumerate(zip(discs, middles, strict=True)):
        body = bodies[disc.owner]
        if not _within(floor.box, disc, middle):
            yield f"disc {at} is in a wall"
        if floor.step is None:
            continue
        if body.on_step and at < len(bodies):
            if not _within(floor.step.box, disc, middle):
                yield f"disc {at} is not wholly on the step"
        elif disc.low < floor.step.height and not _outside(floor.step.box, disc, middle):
            yield f"disc {at} is in the step"
    for (a, disc), (b, other) in combinations(enumerate(discs), 2):
        if disc.beside(other) and not _apart(disc, middles[a], other, middles[b]):
            yield f"discs {a} and {b} are in one another"


_Exact = tuple[Fraction, Fraction]


def _exact(point: tuple[float, float]) -> _Exact:
    return Fraction(point[0]), Fraction(point[1])


def _within(box: Box, disc: Disc, middle: _Exact) -> bool:
    x, y = middle
    r = Fraction(disc.radius)
    return (
        x - r >= Fraction(box.left)
        and x + r <= Fraction(box.right)
        and y - r >= Fraction(box.front)
        and y + r <= Fraction(box.back)
    )


def _outside(box: Box, disc: Disc, middle: _Exact) -> bool:
    """Whether a disc does not reach into a box."""
    x, y = middle
    across = max(Fraction(box.left) - x, x - Fraction(box.right))
    along = max(Fraction(box.front) - y, y - Fraction(box.back))
    r = Fraction(disc.radius)
    if across < 0 and along < 0:
        return False
    return max(across, Fraction(0)) ** 2 + max(along, Fraction(0)) ** 2 >= r * r


def _apart(disc: Disc, middle: _Exact, other: Disc, its: _Exact) -> bool:
    dx, dy = middle[0] - its[0], middle[1] - its[1]
    room = Fraction(disc.radius) + Fraction(other.radius)
    return dx * dx + dy * dy >= room * room
