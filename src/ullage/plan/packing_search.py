"""Find a placing of discs: many starts, each pushed apart until nothing overlaps, then checked.

The squared overlaps are a smooth function of the places, whose minimum is sought (`packing_field`).
Where some overlap remains, the body that overlaps most is lifted to an emptier place and the rest
pushed again, now and then all are thrown anew. What comes out is held to exact geometry; nothing
else is ever given. The seed is fixed: the same question has the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ullage.plan.packing import Body, Floor, Spot, Step, holds
from ullage.plan.packing_field import Field

SEED: Final = 20_260_115
STARTS: Final = 150
"""Pushes before the search gives up."""
AFRESH: Final = 6
"""After so many lifted bodies all are thrown anew."""
DONE: Final = 1e-13
"""Squared overlap, in mean radii, that the push leaves where a placing is found."""
SPREADS: Final = 7
MOST_AIR: Final = 0.5


def find(
    floor: Floor, bodies: Sequence[Body], starts: int = STARTS, seed: int = SEED
) -> tuple[Spot, ...] | None:
    """Find spots for all bodies, or `None`; what is given `holds`.

    Bodies up to about a dozen. `None` proves nothing.

    >>> from ullage.plan.packing import Box
    >>> square = Floor(Box(0.0, 0.0, 1.0, 1.0))
    >>> find(square, [Body(0.24, 1.0)] * 4) is not None
    True
    """
    if not bodies:
        return ()
    field = Field(floor, bodies)
    if not field.has_room:
        return None
    dice = np.random.default_rng(seed)
    places = field.thrown(dice)
    for start in range(starts):
        places, left = field.pushed(places)
        if left < DONE:
            spots = field.spots(places)
            if holds(floor, bodies, spots):
                return spots
        places = field.thrown(dice) if start % AFRESH == AFRESH - 1 else field.moved(places, dice)
    return None


def spread(
    floor: Floor, bodies: Sequence[Body], spots: Sequence[Spot]
) -> tuple[tuple[Spot, ...], float]:
    """Push a placing that holds further apart; give it and by how much it could be.

    By that room every radius may grow while every wall comes nearer, so things stand twice as much
    further from each other and from the walls. Found to about a hundredth of the mean radius.
    """
    best, room = tuple(spots), 0.0
    if not bodies:
        return best, room
    low, high = 0.0, MOST_AIR * float(np.mean([body.radius for body in bodies]))
    for _ in range(SPREADS):
        middle = 0.5 * (low + high)
        larger = tuple(_larger(body, middle) for body in bodies)
        nearer = _nearer(floor, middle)
        field = Field(nearer, larger)
        found = None
        if field.has_room:
            places, left = field.pushed(field.placed(best))
            found = field.spots(places) if left < DONE else None
        if found is not None and holds(nearer, larger, found):
            best, room, low = found, middle, middle
        else:
            high = middle
    return best, room


def _larger(body: Body, by: float) -> Body:
    head = body.head + by if body.head > 0.0 else 0.0
    return replace(body, radius=body.radius + by, head=head)


def _nearer(floor: Floor, by: float) -> Floor:
    """The floor with its walls moved in."""
    walls, step = floor.box.inset(by), floor.step
    if step is None:
        return Floor(walls)
    return Floor(walls, Step(step.box.within(walls), step.height))
