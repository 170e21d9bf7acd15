"""Prove that discs cannot stand together, by trying every place for every middle in small squares.

Where a disc's middle may be is cut into cells. Two cells exclude each other when discs in them
overlap wherever in the cells their middles are. If no choice of cells, one for each disc, is free
of such pairs, then there is no layout at all: every layout would be such a choice. All doubt is in
favour of standing, and what is left out (heads) only makes standing easier, so the proof is sound.

Needs the extra `ullage[prove]`, the CP-SAT solver of OR-Tools; without it nothing is proved here.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.plan.packing import Box, Floor
from ullage.plan.packing_bounds import Candidate, lower_floor

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
CUTS: Final = (8, 12, 16, 20)
"""Into how many cells the longest side is cut, coarse first."""
MOST_CELLS: Final = 280
MARGIN: Final = 1e-9
"""Metres by which discs must overlap at least: far more than floating point can be wrong."""
EFFORT: Final = 10.0
"""The solver's deterministic time for each cut, so that the same question has the same answer."""


def can_prove() -> bool:
    """Whether the solver is installed."""
    return find_spec("ortools") is not None


def proved_impossible(floor: Floor, candidates: Sequence[Candidate]) -> bool:
    """Whether it is proved that the candidates cannot stand together.

    `False` means that nothing is proved, be it for want of the solver.
    """
    if not can_prove():
        return False
    kinds = Counter(candidates)
    for cut in CUTS:
        cells = _cells(floor, tuple(kinds), cut)
        if cells is None or len(cells.kind) > MOST_CELLS:
            return False
        if not _may_stand(cells, tuple(kinds.values())):
            return True
    return False


@dataclass(frozen=True, slots=True)
class _Cells:
    """Cells as columns: for which kind, its radius, and the sides of the cell."""

    kind: NDArray[np.intp]
    radius: Floats
    sides: Floats

    def clashes(self) -> Bools:
        """Which cells exclude each other, shape (n, n); a cell excludes itself."""
        left, front, right, back = self.sides
        across = np.maximum(right[:, None] - left, right - left[:, None])
        along = np.maximum(back[:, None] - front, back - front[:, None])
        found: Bools = np.hypot(across, along) < self.radius[:, None] + self.radius - MARGIN
        return found


def _cells(floor: Floor, kinds: Sequence[Candidate], cut: int) -> _Cells | None:
    """Cut all places of all kinds; `None` where a cell is so large that it may hold two."""
    places = [(at, one, box) for at, one in enumerate(kinds) for box in _places(floor, one)]
    longest = max((max(box.width, box.depth) for *_, box in places), default=0.0)
    size = max(longest / cut, MARGIN)
    kind: list[int] = []
    rows: list[tuple[float, float, float, float]] = []
    for at, one, box in places:
        for cell in _cut(box, size):
            if not _in_the_step(floor, one, box, cell):
                kind.append(at)
                rows.append(cell)
    radius = np.array([kinds[at].radius for at in kind])
    sides = np.array(rows, dtype=np.float64).reshape(-1, 4).T
    found = _Cells(np.array(kind, dtype=np.intp), radius, sides)
    return found if bool(found.clashes().diagonal().all()) else None


def _places(floor: Floor, one: Candidate) -> Iterator[Box]:
    """Where a kind's middle may be: over the floor, and over the step."""
    if one.on_floor:
        yield lower_floor(floor).inset(one.radius)
    if one.on_step and floor.step is not None:
        yield floor.step.box.within(floor.box).inset(one.radius)


def _cut(box: Box, size: float) -> Iterator[tuple[float, float, float, float]]:
    if box.width < 0.0 or box.depth < 0.0:
        return
    xs = np.linspace(box.left, box.right, max(math.ceil(box.width / size), 1) + 1)
    ys = np.linspace(box.front, box.back, max(math.ceil(box.depth / size), 1) + 1)
    for left, right in pairwise(xs):
        for front, back in pairwise(ys):
            yield float(left), float(front), float(right), float(back)


def _in_the_step(
    floor: Floor, one: Candidate, box: Box, cell: tuple[float, float, float, float]
) -> bool:
    """Whether a disc on the floor would be in the step wherever in the cell its middle is.

    The distance from a box is greatest at a corner of the cell.
    """
    on_floor = one.on_floor and box == lower_floor(floor).inset(one.radius)
    if floor.step is None or not on_floor:
        return False
    step, (left, front, right, back) = floor.step.box, cell
    farthest = max(
        math.hypot(max(step.left - x, x - step.right, 0.0), max(step.front - y, y - step.back, 0.0))
        for x in (left, right)
        for y in (front, back)
    )
    return farthest < one.radius - MARGIN


def _may_stand(cells: _Cells, counts: Sequence[int]) -> bool:
    """Whether cells can be chosen, so many of each kind, none excluding another, or who knows."""
    from ortools.sat.python import cp_model  # noqa: PLC0415  (an extra)

    model = cp_model.CpModel()
    chosen = [model.new_bool_var("") for _ in cells.kind]
    for at, count in enumerate(counts):
        model.add(sum(chosen[cell] for cell in np.flatnonzero(cells.kind == at)) == count)
    for together in _cliques(cells):
        model.add_at_most_one(chosen[cell] for cell in together)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = EFFORT
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    return bool(solver.solve(model) != cp_model.INFEASIBLE)


def _cliques(cells: _Cells) -> Iterator[list[int]]:
    """Sets of cells that all exclude each other, until every such pair is in one of them."""
    clash = cells.clashes()
    covered = np.eye(len(clash), dtype=bool)
    x, y = cells.sides[0] + cells.sides[2], cells.sides[1] + cells.sides[3]
    for first in range(len(clash)):
        while (left := np.flatnonzero(clash[first] & ~covered[first])).size:
            members = [first, int(left[left.size // 2])]
            free = clash[members[0]] & clash[members[1]]
            free[members] = False
            while free.any():
                near = np.flatnonzero(free)
                away = (x[near] - x[members].mean()) ** 2 + (y[near] - y[members].mean()) ** 2
                members.append(int(near[away.argmin()]))
                free &= clash[members[-1]]
                free[members] = False
            covered[np.ix_(members, members)] = True
            yield members
