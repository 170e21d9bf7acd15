"""The exact search: which pressures, and which beer at which of them.

**What is best.** A beer that comes to lie `x` tolerances off its target (|x| at most 1: within)
costs three things, weighed one after the other: whether it is outside, how far off the worst one
is, and the sum of x². Pressures are those that a gauge shows, so there are finitely many and the
answer is exact.

**Alike regulators** (`along`). Given the pressures, each beer is served best, in all three at
once, by the one that leaves the least |x|. A beer's level rises with pressure, so |x| falls until
its own best pressure and rises after it (that is all that is asked of it; where Henry's law is a
straight line, x² is convex as well): the best of several pressures is one of the two next to its
own. So the cost of a row of pressures is a sum over neighbours, and the best row is found by
dynamic programming along the gauge, (pressures)² × regulators (`ullage.plan.share_rows`).

At one temperature every beer's level is a constant times one and the same rising function of
pressure; a beer goes to whichever pressure is nearer to its own in that function, so the best
groups are runs of the kegs ordered by the pressure that they want. Where kegs stand in several
places the curves differ by a hair, and the search does not rely on it.

**Regulators that differ** (`every`), by a wish, a place or a rating: then runs are no longer
best. Each set of kegs is given its best pressure on each regulator, and the sets are put together
by dynamic programming over all sets and their parts (3ⁿ, `ullage.plan.share_sets`), up to 12 kegs.

**In two turns.** The number outside adds up over the groups and the worst is their greatest: one
turn finds the best pair. The sum gains nothing from a group's worst being less than that of all,
so it is sought in a second turn, among pressures that leave nothing worse than that.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np

from ullage.errors import OutOfRange
from ullage.plan.share_puzzle import EDGE, Array, Found, Group, Puzzle, found_of
from ullage.plan.share_rows import best_row
from ullage.plan.share_sets import Sets

MOST_KEGS: Final = 12
"""More kegs are not shared out over regulators that differ: too many ways to try them all."""


def search(puzzle: Puzzle, counts: Iterable[int]) -> dict[int, Found | None]:
    """The best with at most so many regulators, for each count; `None`: wishes ask for more.

    Raises `OutOfRange` for more kegs than can be tried.
    """
    if puzzle.alike:
        return {count: along(puzzle.off, count) for count in counts}
    return every(puzzle, counts)


def along(off: Array, regulators: int) -> Found:
    """The best with at most so many regulators that are all alike, along the gauge."""
    row = best_row(np.abs(off), min(regulators, *off.shape), EDGE)
    at = np.argmin(np.abs(off[:, row]), axis=1)
    groups = (
        Group(number, pressure, tuple(int(keg) for keg in np.flatnonzero(at == number)))
        for number, pressure in enumerate(row)
    )
    return found_of(off, [one for one in groups if one.kegs])


def every(puzzle: Puzzle, counts: Iterable[int]) -> dict[int, Found | None]:
    """The same for regulators that differ, over all ways to group the kegs."""
    kegs = len(puzzle.off)
    if kegs > MOST_KEGS:
        raise OutOfRange(
            f"{kegs} kegs on regulators that differ (by a wish, a place or a rating) can be hung "
            f"in too many ways to try them all: {MOST_KEGS} at most; leave the wishes out"
        )
    sets = Sets.of(puzzle)
    return {count: sets.best(count) for count in counts}
