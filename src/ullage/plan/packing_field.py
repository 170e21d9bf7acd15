"""The overlaps of discs on a floor as a smooth function of their places, and what lessens them.

Its minimum is found by BFGS (SciPy; the variant for many unknowns calls threaded linear algebra and
crawls on a busy machine).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from ullage.plan.packing import Body, Disc, Floor, Spot, discs_of

Floats = NDArray[np.float64]
AIR: Final = 2e-5
"""Share of the mean radius by which bodies are pushed further apart than they must be."""
FAR: Final = 1e6
TRIES: Final = 40


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Which discs must keep apart, and how far, as columns."""

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    room: Floats


class Field:
    """The overlaps of a set of bodies as a function of their places.

    Places are one row of numbers in mean radii: every x, every y, then the turns of the heads.
    """

    def __init__(self, floor: Floor, bodies: Sequence[Body]) -> None:
        """Lay out the columns; lengths are counted in mean radii, plus a breath of air."""
        self.unit = float(np.mean([body.radius for body in bodies]))
        self.bodies = bodies
        discs = discs_of(floor, bodies)
        self.owner = np.array([disc.owner for disc in discs])
        self.radius = np.array([disc.radius for disc in discs]) / self.unit + AIR
        self.heads = len(discs) - len(bodies)
        self.reach = np.array([disc.reach for disc in discs[len(bodies) :]]) / self.unit
        self.pairs = self._pairs(discs)
        self.low, self.high = self._bounds(floor, discs)
        self.avoid = self._avoided(floor, discs)
        self.step = _open_sided(floor) / self.unit if floor.step is not None else np.zeros(4)

    @property
    def has_room(self) -> bool:
        """Whether each disc by itself fits between its walls."""
        return bool((self.low <= self.high).all())

    def thrown(self, dice: np.random.Generator) -> Floats:
        """All bodies anywhere that they may stand by themselves."""
        count = len(self.bodies)
        inside = dice.uniform(self.low[:, :count], self.high[:, :count])
        turns = dice.uniform(-np.pi, np.pi, self.heads)
        return np.concatenate([inside[0], inside[1], turns])

    def placed(self, spots: Sequence[Spot]) -> Floats:
        """The row of numbers for spots."""
        turned = [spots[owner].turn for owner in self.owner[len(self.bodies) :]]
        return np.array(
            [s.x / self.unit for s in spots] + [s.y / self.unit for s in spots] + turned
        )

    def spots(self, places: Floats) -> tuple[Spot, ...]:
        """The spots of a row of numbers."""
        count = len(self.bodies)
        turns = np.zeros(count)
        turns[self.owner[count:]] = places[2 * count :]
        rows = zip(places[:count], places[count : 2 * count], turns, strict=True)
        return tuple(Spot(float(x) * self.unit, float(y) * self.unit, float(t)) for x, y, t in rows)

    def pushed(self, places: Floats) -> tuple[Floats, float]:
        """Push apart what overlaps; give the places and the squared overlap that is left."""
        found = minimize(
            self._overlap,
            places,
            jac=True,
            method="BFGS",
            options={"maxiter": 150, "gtol": 1e-7},
        )
        return np.asarray(found.x, dtype=np.float64), float(found.fun)

    def moved(self, places: Floats, dice: np.random.Generator) -> Floats:
        """Lift the body that overlaps most, or another, to the emptiest of some random places."""
        count = len(self.bodies)
        share = self._shares(places)
        weight = share[:count] + 1e-3 * share.max() + 1e-12
        lifted = int(dice.choice(count, p=weight / weight.sum()))
        tried = dice.uniform(self.low[:, lifted], self.high[:, lifted], (TRIES, 2))
        others = [at for at in range(count) if at != lifted]
        apart = (
            np.hypot(tried[:, :1] - places[others], tried[:, 1:] - places[count:][others])
            - self.radius[others]
        )
        at = tried[apart.min(axis=1).argmax()] if others else tried[0]
        found = places.copy()
        found[lifted], found[count + lifted] = at
        if self.heads:
            found[2 * count :] = dice.uniform(-np.pi, np.pi, self.heads)
        return found

    def _middles(self, places: Floats) -> tuple[Floats, Floats]:
        count = len(self.bodies)
        x, y = places[:count], places[count : 2 * count]
        if not self.heads:
            return x, y
        turn, owner = places[2 * count :], self.owner[count:]
        return (
            np.concatenate([x, x[owner] + self.reach * np.cos(turn)]),
            np.concatenate([y, y[owner] + self.reach * np.sin(turn)]),
        )

    def _overlap(self, places: Floats) -> tuple[float, Floats]:
        """The sum of squared overlaps and its slope."""
        x, y = self._middles(places)
        slope_x, slope_y = np.zeros(len(x)), np.zeros(len(x))
        total = self._walls(x, y, slope_x, slope_y) + self._each_other(x, y, slope_x, slope_y)
        if len(self.avoid):
            total += self._off_the_step(x, y, slope_x, slope_y)
        return total, self._gathered(places, slope_x, slope_y)

    def _walls(self, x: Floats, y: Floats, slope_x: Floats, slope_y: Floats) -> float:
        total = 0.0
        for middle, slope, low, high in (
            (x, slope_x, self.low[0], self.high[0]),
            (y, slope_y, self.low[1], self.high[1]),
        ):
            over = np.maximum(middle - high, 0.0) - np.maximum(low - middle, 0.0)
            np.add(slope, 2.0 * over, out=slope)
            total += float(over @ over)
        return total

    def _each_other(self, x: Floats, y: Floats, slope_x: Floats, slope_y: Floats) -> float:
        first, second = self.pairs.first, self.pairs.second
        dx, dy = x[first] - x[second], y[first] - y[second]
        apart = np.sqrt(dx * dx + dy * dy) + 1e-12
        over = np.maximum(self.pairs.room - apart, 0.0)
        pull = -2.0 * over / apart
        count = len(x)
        for slope, d in ((slope_x, dx), (slope_y, dy)):
            one, other = (np.bincount(side, pull * d, count) for side in (first, second))
            np.add(slope, one - other, out=slope)
        return float(over @ over)

    def _off_the_step(self, x: Floats, y: Floats, slope_x: Floats, slope_y: Floats) -> float:
        """Push out of the step's open sides, by the signed distance from its outline."""
        left, front, right, back = self.step
        here_x, here_y = x[self.avoid], y[self.avoid]
        across = np.maximum(left - here_x, here_x - right)
        along = np.maximum(front - here_y, here_y - back)
        sign_x = np.where(left - here_x > here_x - right, -1.0, 1.0)
        sign_y = np.where(front - here_y > here_y - back, -1.0, 1.0)
        out_x, out_y = np.maximum(across, 0.0), np.maximum(along, 0.0)
        away = np.sqrt(out_x * out_x + out_y * out_y)
        corner = away > 0.0
        distance = np.where(corner, away, np.maximum(across, along))
        length = np.where(corner, away, 1.0)
        toward_x = np.where(corner, out_x / length, across >= along) * sign_x
        toward_y = np.where(corner, out_y / length, across < along) * sign_y
        over = np.maximum(self.radius[self.avoid] - distance, 0.0)
        slope_x[self.avoid] -= 2.0 * over * toward_x
        slope_y[self.avoid] -= 2.0 * over * toward_y
        return float(over @ over)

    def _gathered(self, places: Floats, slope_x: Floats, slope_y: Floats) -> Floats:
        """The slopes of the discs as slopes of the bodies' places and turns."""
        count = len(self.bodies)
        if not self.heads:
            return np.concatenate([slope_x, slope_y])
        found = np.zeros(len(places))
        found[:count], found[count : 2 * count] = slope_x[:count], slope_y[:count]
        owner, turn = self.owner[count:], places[2 * count :]
        np.add.at(found, owner, slope_x[count:])
        np.add.at(found, count + owner, slope_y[count:])
        found[2 * count :] = self.reach * (
            slope_y[count:] * np.cos(turn) - slope_x[count:] * np.sin(turn)
        )
        return found

    def _shares(self, places: Floats) -> Floats:
        """How much each body has to do with the overlaps."""
        x, y = self._middles(places)
        share = np.zeros(len(self.bodies))
        first, second = self.pairs.first, self.pairs.second
        over = np.maximum(self.pairs.room - np.hypot(x[first] - x[second], y[first] - y[second]), 0)
        for side in (first, second):
            np.add.at(share, self.owner[side], over)
        for middle, low, high in ((x, self.low[0], self.high[0]), (y, self.low[1], self.high[1])):
            beyond = np.maximum(middle - high, 0.0) + np.maximum(low - middle, 0.0)
            np.add.at(share, self.owner, beyond)
        return share

    def _pairs(self, discs: Sequence[Disc]) -> _Pairs:
        near = [(a, b) for a, b in combinations(range(len(discs)), 2) if discs[a].beside(discs[b])]
        first, second = (np.array([pair[side] for pair in near], dtype=np.intp) for side in (0, 1))
        return _Pairs(first, second, self.radius[first] + self.radius[second])

    def _bounds(self, floor: Floor, discs: Sequence[Disc]) -> tuple[Floats, Floats]:
        """Between which x and y each disc's middle must be: rows x and y, a column for each."""
        boxes = [
            floor.step.box
            if floor.step is not None and self.bodies[disc.owner].on_step and at < len(self.bodies)
            else floor.box
            for at, disc in enumerate(discs)
        ]
        low = np.array([[b.left for b in boxes], [b.front for b in boxes]]) / self.unit
        high = np.array([[b.right for b in boxes], [b.back for b in boxes]]) / self.unit
        return low + self.radius, high - self.radius

    def _avoided(self, floor: Floor, discs: Sequence[Disc]) -> NDArray[np.intp]:
        """The discs that must stay out of the step."""
        if floor.step is None:
            return np.array([], dtype=np.intp)
        on_floor = [
            at
            for at, disc in enumerate(discs)
            if disc.low < floor.step.height
            and not (self.bodies[disc.owner].on_step and at < len(self.bodies))
        ]
        return np.array(on_floor, dtype=np.intp)


def _open_sided(floor: Floor) -> Floats:
    """The step's outline, reaching far beyond the walls that it touches: nothing goes that way."""
    assert floor.step is not None
    walls, step = floor.box, floor.step.box
    return np.array(
        [
            step.left if step.left > walls.left else -FAR,
            step.front if step.front > walls.front else -FAR,
            step.right if step.right < walls.right else FAR,
            step.back if step.back < walls.back else FAR,
        ]
    )
