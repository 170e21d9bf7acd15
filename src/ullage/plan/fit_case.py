"""A fit as geometry: who stands on the floor and who on the step, and where.

Each way to share floor and step that heights, counts and areas allow is tried; for each the places
are searched (`packing_search`) and held to exact geometry (`packing`). `packing_bounds` may prove
that there is nothing to find.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Final

from ullage.plan.fit_answer import FitQuestion, Head, Proof, Standing
from ullage.plan.fit_things import REGULATOR_RADIUS_M, Thing, floor_of, room_of, things_of
from ullage.plan.packing import Body, Floor, Spot, centre, discs_of
from ullage.plan.packing_bounds import Candidate, Refusal, refusal
from ullage.plan.packing_proof import proved_impossible
from ullage.plan.packing_search import find, spread

ROUNDS: Final = ((6, 10), (3, 60))
"""How many ways to share floor and step are tried, and pushes for each: few for many, then more."""
MOST_THINGS: Final = 14


@dataclass(frozen=True, slots=True)
class Layout:
    """A layout that holds, and how much further apart all in it could stand."""

    standing: tuple[Standing, ...]
    spare_m: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a case: a layout, or why there is none, or neither."""

    layout: Layout | None
    refused: Refusal | None


@dataclass(frozen=True, slots=True)
class Case:
    """A question ready for geometry: the floor and what is to stand on it."""

    floor: Floor
    things: tuple[Thing, ...]
    between_m: float
    height_m: float

    @classmethod
    def of(cls, question: FitQuestion) -> Case:
        """Make the case of a question. Raises `UnknownName`: a kind or size not known."""
        room = room_of(question.inside)
        floor = floor_of(room, question.between_m)
        return cls(floor, things_of(question), question.between_m, room.height_m)

    @property
    def lift_m(self) -> float:
        """How high the step is; 0 without one."""
        return 0.0 if self.floor.step is None else self.floor.step.height

    def refused(self) -> Refusal | None:
        """Why it is impossible, where that can be proved."""
        return refusal(self.floor, [self._candidate(thing) for thing in self.things])

    def _candidate(self, thing: Thing) -> Candidate:
        return Candidate(
            0.5 * (thing.diameter_m + self.between_m),
            thing.needs_m <= self.height_m,
            self.floor.step is not None and thing.needs_m + self.lift_m <= self.height_m,
        )

    def proved(self) -> bool:
        """Whether cells prove it impossible; never without `ullage[prove]`."""
        return proved_impossible(self.floor, [self._candidate(thing) for thing in self.things])

    def proof(self, refused: Refusal) -> Proof:
        """The refusal in the things' names; heights and widths without the clearance."""
        names = tuple(self.things[at].name for at in refused.who)
        if refused.rule == "height":
            thing = self.things[refused.who[0]]
            return Proof("height", names, thing.needs_m, self.height_m)
        return Proof(refused.rule, names, refused.needed, refused.there)

    def outcome(self) -> Outcome:
        """A layout, or a refusal that is proved, or neither. The same case has the same for ever.

        With `ullage[prove]` what is not found may be proved impossible by cells.
        """
        return _outcome(self)

    def searched(self) -> Layout | None:
        """Search for a layout, whatever was searched before."""
        ways = list(self._ways())
        for count, starts in ROUNDS:
            for way in ways[:count]:
                bodies = self._bodies(way)
                spots = find(self.floor, bodies, starts)
                if spots is not None:
                    return self._laid_out(bodies, spots)
        return None

    def _bodies(self, way: Sequence[bool]) -> tuple[Body, ...]:
        return tuple(
            thing.body(self.between_m, on_step)
            for thing, on_step in zip(self.things, way, strict=True)
        )

    def _laid_out(self, bodies: tuple[Body, ...], spots: tuple[Spot, ...]) -> Layout:
        spots, room = spread(self.floor, bodies, spots)
        rows = zip(self.things, bodies, spots, strict=True)
        standing = tuple(self._standing(*row) for row in rows)
        return Layout(standing, 2.0 * room)

    def _standing(self, thing: Thing, body: Body, spot: Spot) -> Standing:
        foot = self.lift_m if body.on_step else 0.0
        head = None
        if body.head > 0.0:
            disc = discs_of(Floor(self.floor.box), [body])[-1]
            x, y = centre(disc, spot)
            head = Head(x, y, REGULATOR_RADIUS_M, foot + disc.low, foot + disc.high)
        return Standing(
            name=thing.name,
            kind=thing.kind,
            title=thing.title,
            sort=thing.sort,
            x_m=spot.x,
            y_m=spot.y,
            foot_m=foot,
            diameter_m=thing.diameter_m,
            height_m=thing.height_m,
            top_m=foot + thing.needs_m,
            head=head,
        )

    def _ways(self) -> Iterator[tuple[bool, ...]]:
        """Who is on the step, in the ways that are not refused, the most even first."""
        kinds = Counter((thing.sort, thing.kind) for thing in self.things)
        ranges = [self._on_step(kind, count) for kind, count in kinds.items()]
        ways = [self._way(dict(zip(kinds, counts, strict=True))) for counts in product(*ranges)]
        possible = [way for way in ways if self._possible(way)]
        yield from sorted(possible, key=self._load)

    def _on_step(self, kind: tuple[str, str], count: int) -> range:
        thing = next(one for one in self.things if (one.sort, one.kind) == kind)
        candidate = self._candidate(thing)
        return range(0 if candidate.on_floor else count, (count if candidate.on_step else 0) + 1)

    def _way(self, counts: dict[tuple[str, str], int]) -> tuple[bool, ...]:
        left = dict(counts)
        found = []
        for thing in self.things:
            kind = (thing.sort, thing.kind)
            found.append(left[kind] > 0)
            left[kind] -= 1
        return tuple(found)

    def _possible(self, way: Sequence[bool]) -> bool:
        fixed = [
            Candidate(0.5 * (thing.diameter_m + self.between_m), not up, up)
            for thing, up in zip(self.things, way, strict=True)
        ]
        return refusal(self.floor, fixed) is None

    def _load(self, way: Sequence[bool]) -> float:
        """How full the fuller of floor and step is, by area."""
        if self.floor.step is None:
            return 0.0
        step = self.floor.step.box
        there = (step.width * step.depth, self.floor.box.width * self.floor.box.depth)
        areas = [0.25 * math.pi * (one.diameter_m + self.between_m) ** 2 for one in self.things]
        up = sum(area for area, high in zip(areas, way, strict=True) if high)
        return max(up / max(there[0], 1e-9), (sum(areas) - up) / max(there[1] - there[0], 1e-9))


@lru_cache(maxsize=128)
def _outcome(case: Case) -> Outcome:
    refused = case.refused()
    if refused is not None or len(case.things) > MOST_THINGS:
        return Outcome(None, refused)
    found = case.searched()
    if found is None and case.proved():
        return Outcome(None, Refusal("cells", tuple(range(len(case.things))), 0.0, 0.0))
    return Outcome(found, None)
