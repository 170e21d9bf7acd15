"""The sharing as a puzzle in numbers: beers over pressures, regulators, groups and their cost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
EDGE: Final = 1.0 + 1e-9
"""Tolerances from which a beer is outside."""
CLOSE: Final = 1e-9
"""Costs that are nearer than this are the same."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One regulator: which kegs may hang on it, and how many of the pressures it may be set to."""

    reach: tuple[bool, ...]
    limit: int


@dataclass(frozen=True, slots=True)
class Puzzle:
    """`off` (kegs, pressures): how far off each beer comes to lie, in tolerances.

    Infinite where its own rating forbids the pressure. `kinds`: the regulators, the first `there`
    of which exist; where more are asked for, the next ones are bought, in their order.
    """

    gauges_pa: Array
    off: Array
    kinds: tuple[Kind, ...]
    there: int

    @property
    def alike(self) -> bool:
        """Whether all regulators may do the same."""
        return all(all(one.reach) and one.limit >= self.off.shape[1] for one in self.kinds)

    def count(self, regulators: int) -> int:
        """How many of the regulators may be chosen from when so many may be used."""
        return min(max(self.there, regulators), len(self.kinds))


@dataclass(frozen=True, slots=True)
class Group:
    """Kegs (by index) on one regulator (by index) at one of the pressures (by index)."""

    regulator: int
    pressure: int
    kegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The best there is: its groups, beers outside, tolerances of the worst, sum of squares."""

    groups: tuple[Group, ...]
    outside: int
    worst: float
    loss: float


def found_of(off: Array, groups: Iterable[Group]) -> Found:
    """What some groups cost."""
    kept = tuple(sorted(groups, key=lambda one: one.pressure))
    away = np.array([abs(off[keg, one.pressure]) for one in kept for keg in one.kegs])
    return Found(kept, int(np.sum(away > EDGE)), float(away.max()), float(np.sum(away * away)))
