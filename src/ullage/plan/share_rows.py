"""The best row of pressures for regulators that are all alike: dynamic programming on the gauge.

See `ullage.plan.share_search` for what is best and why neighbours are enough.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ullage.plan.share_puzzle import CLOSE, Array


def best_row(away: Array, most: int, edge: float) -> list[int]:
    """The indices of the best at most `most` pressures, rising.

    `away` (beers, pressures): how far off each beer comes to lie, falling to its least and rising
    from there; infinite where it is forbidden. From `edge` on a beer is outside. Of rows that cost
    the same the shortest.
    """
    outside, worst, total = _between(away, edge)
    ends = _ends(outside, worst, most, greatest=True)
    at_most = min(ends, key=lambda one: (one[0], one[1]))[1]
    kept = np.where(worst <= at_most + CLOSE, outside, np.inf)
    best = None
    for fewest, least, row in _ends(kept, total, most, greatest=False):
        if best is None or (fewest, least + CLOSE) < best[:2]:
            best = (fewest, least, row)
    assert best is not None
    return best[2]


def _between(away: Array, edge: float) -> tuple[Array, Array, Array]:
    """What the beers cost whose own best lies after pressure `a` and not after pressure `b`.

    (a, b) of all pressures with nothing before the first and nothing after the last.
    """
    beers, pressures = away.shape
    wide = np.full((beers, pressures + 2), np.inf)
    wide[:, 1:-1] = away
    outside, worst, total = (np.zeros((pressures + 2, pressures + 2)) for _ in range(3))
    for row, home in zip(wide, np.argmin(wide, axis=1), strict=True):
        nearer = np.minimum(row[:home, None], row[None, home:])
        outside[:home, home:] += np.where(np.isfinite(nearer), nearer > edge, np.inf)
        np.maximum(worst[:home, home:], nearer, out=worst[:home, home:])
        total[:home, home:] += nearer * nearer
    barred = np.tri(pressures + 2, dtype=bool)
    outside[barred] = np.inf
    return outside, worst, total


def _ends(
    outside: Array, other: Array, most: int, *, greatest: bool
) -> Iterator[tuple[float, float, list[int]]]:
    """For 1, 2, … `most` pressures in a row: beers outside, what else it costs, the row."""
    fewest, least = np.full(len(outside), np.inf), np.full(len(outside), np.inf)
    fewest[0], least[0] = 0.0, 0.0
    came: list[NDArray[np.intp]] = []
    for step in range(most + 1):
        count = fewest[:, None] + outside
        cost = np.maximum(least[:, None], other) if greatest else least[:, None] + other
        fewest = count.min(axis=0)
        cost = np.where(count == fewest, cost, np.inf)
        came.append(np.argmin(cost, axis=0))
        least = cost.min(axis=0)
        if step > 0:
            yield float(fewest[-1]), float(least[-1]), _row(came)


def _row(came: list[NDArray[np.intp]]) -> list[int]:
    at, found = len(came[0]) - 1, list[int]()
    for step in reversed(came):
        at = int(step[at])
        found.append(at - 1)
    return found[-2::-1]
