"""The best groups on regulators that differ: dynamic programming over all sets of kegs.

A set is a whole number whose bits are its kegs. See `ullage.plan.share_search` for what is best.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ullage.plan.share_puzzle import CLOSE, EDGE, Array, Found, Group, Kind, Puzzle, found_of

Whole = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Cost:
    """For every set of kegs: beers outside, and what else it costs (the worst, or the sum)."""

    outside: Array
    other: Array


@dataclass(frozen=True, slots=True)
class Pairs:
    """Every set with each part of it, and the `rest`; `starts`: where each set begins."""

    sets: Whole
    part: Whole
    rest: Whole
    starts: Whole

    @classmethod
    def of(cls, sets: Whole, part: Whole, count: int) -> Pairs:
        """Of sets in their order, each with its parts."""
        return cls(sets, part, sets ^ part, np.searchsorted(sets, np.arange(count)))

    def within(self, fine: NDArray[np.bool_]) -> Pairs:
        """Those alone whose part is fine; no part at all always is."""
        kept = np.flatnonzero(fine[self.part])
        if 2 * len(kept) > len(self.part):
            return self
        return Pairs.of(self.sets[kept], self.part[kept], len(fine))


@dataclass(frozen=True, slots=True)
class Tables:
    """For every set of kegs at every pressure: beers outside, the worst, the sum of squares."""

    outside: Array
    most: Array
    total: Array

    @classmethod
    def of(cls, away: Array) -> Tables:
        """Of how far off each keg's beer lies at each pressure."""
        outside, most, total = (np.zeros((1, away.shape[1])) for _ in range(3))
        for row in away:
            out = np.where(np.isfinite(row), row > EDGE, np.inf)
            outside = np.concatenate((outside, outside + out))
            most = np.concatenate((most, np.maximum(most, row)))
            total = np.concatenate((total, total + row * row))
        return cls(outside, most, total)

    def worst(self, limit: int) -> Cost:
        """Each set's fewest outside, and with so few the least worst."""
        return _least(self.outside[:, :limit], self.most[:, :limit])

    def sums(self, limit: int, worst: float) -> Cost:
        """Each set's fewest outside and then the least sum, with nothing worse than `worst`."""
        most = self.most[:, :limit]
        rows = np.flatnonzero(most.min(axis=1) <= worst + CLOSE)
        cost = Cost(*(np.full(len(most), np.inf) for _ in range(2)))
        fine = np.where(most[rows] <= worst + CLOSE, self.outside[rows, :limit], np.inf)
        found = _least(fine, self.total[rows, :limit])
        cost.outside[rows], cost.other[rows] = found.outside, found.other
        return cost

    def pressure(self, limit: int, part: int, worst: float) -> int:
        """The pressure that `sums` chose for a set."""
        fine = self.most[part, :limit] <= worst + CLOSE
        outside = np.where(fine, self.outside[part, :limit], np.inf)
        return int(np.argmin(np.where(outside == outside.min(), self.total[part, :limit], np.inf)))


@dataclass(frozen=True, slots=True)
class Sets:
    """A puzzle with the tables of its sets, and the first turn made, which all counts share."""

    puzzle: Puzzle
    tables: Tables
    first: Together

    @classmethod
    def of(cls, puzzle: Puzzle) -> Sets:
        """Make the tables and the first turn."""
        tables = Tables.of(np.abs(puzzle.off))
        each = {limit: tables.worst(limit) for limit in {one.limit for one in puzzle.kinds}}
        costs = [_barred(each[one.limit], one) for one in puzzle.kinds]
        return cls(puzzle, tables, Together(puzzle.kinds, costs, greatest=True))

    def best(self, regulators: int) -> Found | None:
        """The best with at most so many regulators; `None` where wishes ask for more."""
        there = self.puzzle.count(regulators)
        outside, worst = self.first.whole(there, regulators)
        if not np.isfinite(outside):
            return None
        kinds = self.puzzle.kinds[:there]
        each = {one: self.tables.sums(one, worst) for one in {one.limit for one in kinds}}
        costs = [_barred(each[one.limit], one) for one in kinds]
        second = Together(kinds, costs, greatest=False)
        groups = [
            Group(at, self.tables.pressure(kinds[at].limit, part, worst), tuple(_members(part)))
            for at, part in second.parts(there, regulators)
        ]
        return found_of(self.puzzle.off, groups)


class Together:
    """Sets put together over regulators, one after the other, as far as they are asked for."""

    def __init__(self, kinds: Sequence[Kind], costs: Sequence[Cost], *, greatest: bool) -> None:
        """Of what each set costs on each; `greatest`: of the other costs, else their sum."""
        self._costs, self._greatest = costs, greatest
        self._pairs = [
            _pairs(len(one.reach), one.reach).within(np.isfinite(cost.outside))
            for one, cost in zip(kinds, costs, strict=True)
        ]
        nothing = np.full_like(costs[0].outside, np.inf)
        nothing[0] = 0.0
        self._nothing = Cost(nothing, nothing)
        self._kept: dict[tuple[int, int], Cost] = {}

    def whole(self, regulators: int, used: int) -> tuple[float, float]:
        """What all kegs cost on the first so many regulators with at most `used` of them used."""
        before, here = self._two(regulators, used)
        _, outside, other = self._part(regulators - 1, here, len(here.outside) - 1)
        return min((outside, other), (float(before.outside[-1]), float(before.other[-1])))

    def parts(self, regulators: int, used: int) -> list[tuple[int, int]]:
        """Which set hangs on which regulator then; those left empty are left out."""
        found, rest = list[tuple[int, int]](), len(self._nothing.outside) - 1
        for at in reversed(range(regulators)):
            without, here = self._two(at + 1, used)
            part, outside, other = self._part(at, here, rest)
            if not _is_better(outside, other, without.outside[rest], without.other[rest]):
                continue
            found.append((at, part))
            used, rest = used - 1, rest ^ part
        return [one for one in found if one[1]]

    def _two(self, regulators: int, used: int) -> tuple[Cost, Cost]:
        """What sets cost without the last of so many, and what the last would be put on."""
        return self._best(regulators - 1, used), self._best(regulators - 1, used - 1)

    def _best(self, regulators: int, used: int) -> Cost:
        """What every set costs at least on the first so many, with at most `used` of them used."""
        used = min(used, regulators)
        if used <= 0:
            return self._nothing
        key = (regulators, used)
        if key not in self._kept:
            without = self._best(regulators - 1, used)
            self._kept[key] = self._better(without, self._joined(regulators - 1, used))
        return self._kept[key]

    def _joined(self, at: int, used: int) -> Cost:
        before, cost, pairs = self._best(at, used - 1), self._costs[at], self._pairs[at]
        if used == 1:
            return cost
        outside, other = self._sum(before, cost, pairs.rest, pairs.part)
        fewest = np.minimum.reduceat(outside, pairs.starts)
        other[outside > fewest[pairs.sets]] = np.inf
        return Cost(fewest, np.minimum.reduceat(other, pairs.starts))

    def _sum(self, one: Cost, two: Cost, rest: Whole, part: Whole) -> tuple[Array, Array]:
        first, second = one.other[rest], two.other[part]
        both = np.maximum(first, second) if self._greatest else first + second
        return one.outside[rest] + two.outside[part], both

    @staticmethod
    def _better(one: Cost, two: Cost) -> Cost:
        """The better of two for each set; the first where they are alike: it uses fewer."""
        takes = _is_better(two.outside, two.other, one.outside, one.other)
        return Cost(
            np.where(takes, two.outside, one.outside), np.where(takes, two.other, one.other)
        )

    def _part(self, at: int, before: Cost, whole: int) -> tuple[int, float, float]:
        """The part of a set that one regulator takes best over what came before, and the cost."""
        pairs = self._pairs[at]
        begin = pairs.starts[whole]
        end = pairs.starts[whole + 1] if whole + 1 < len(pairs.starts) else len(pairs.part)
        parts = pairs.part[begin:end]
        outside, other = self._sum(before, self._costs[at], whole ^ parts, parts)
        best = int(np.argmin(np.where(outside == outside.min(), other, np.inf)))
        return int(parts[best]), float(outside[best]), float(other[best])


def _is_better(
    outside: Array | float, other: Array | float, than: Array | float, than_other: Array | float
) -> NDArray[np.bool_]:
    fewer, same = np.less(outside, than), np.equal(outside, than)
    return np.asarray(fewer | (same & np.less(other, np.subtract(than_other, CLOSE))))


def _least(outside: Array, other: Array) -> Cost:
    """The best pressure of each set."""
    fewest = outside.min(axis=1)
    least = np.where(outside == fewest[:, None], other, np.inf).min(axis=1)
    return Cost(fewest, least)


def _barred(cost: Cost, kind: Kind) -> Cost:
    """The same, without end for sets with a keg that the regulator does not reach."""
    beyond = sum(1 << at for at, reached in enumerate(kind.reach) if not reached)
    barred = (np.arange(len(cost.outside)) & beyond) != 0
    return Cost(np.where(barred, np.inf, cost.outside), np.where(barred, np.inf, cost.other))


@lru_cache(maxsize=6)  # 13 MB each, at most
def _pairs(kegs: int, reach: tuple[bool, ...]) -> Pairs:
    """Every set of the kegs with every part of it that a regulator reaches, by the set."""
    sets, part = np.zeros(1, np.intp), np.zeros(1, np.intp)
    for keg in range(kegs):
        bit = 1 << keg
        grown = (sets, sets | bit, sets | bit) if reach[keg] else (sets, sets | bit)
        parts = (part, part, part | bit) if reach[keg] else (part, part)
        sets, part = np.concatenate(grown), np.concatenate(parts)
    order = np.argsort(sets, kind="stable")
    return Pairs.of(sets[order], part[order], 1 << kegs)


def forget() -> None:
    """Forget the pairs that were kept, so that the next question is worked out from nothing."""
    _pairs.cache_clear()


def _members(whole: int) -> Iterable[int]:
    return (keg for keg in range(whole.bit_length()) if whole >> keg & 1)
