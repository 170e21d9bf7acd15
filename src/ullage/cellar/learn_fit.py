"""Unknowns fitted to readings: least squares on what they show, with the priors as readings of 0.

The sum of w(r) over the readings, r their distance in standard deviations, and of z² over the
unknowns is made least. w is that of Student's t with four degrees of freedom, so that a reading far
off pulls less the farther it lies. What shares no unknown is fitted by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from ullage.cellar.learn_terms import Reading, Term, Unknown

Array = NDArray[np.float64]

FREEDOM: Final = 4.0
"""Degrees of freedom of the t distribution: few, as hands and cheap gauges err; our choice."""
CALM: Final = 1.0986
"""Weight of a reading that is where it should be: so the spread is right where all errors are
normal, as then a reading weighs 0.8427 of it on average and tells 0.9259 of what it could."""
STEP_Z: Final = 0.02
ROUGH: Final = 1e-2
CLOSE: Final = 1e-3
"""Where turning stops, as shares of what is made least: a spread is known far less well."""
NEAR_Z: Final = 0.05
"""A slope is taken anew where an unknown moved farther than this."""
TURNS: Final = 60
MANY: Final = 12
"""So many unknowns are solved for step by step, which wants no decomposition of all slopes."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A reading after the fit.

    `shown`: what it should have shown. `off`: how far it lies from that, in standard deviations.
    `weight`: 1 for one that is where it should be. `slope`: by how many of its standard deviations
    it would move with each unknown of the block (n).
    """

    reading: Reading
    shown: float
    off: float
    weight: float
    slope: Array

    @property
    def pull(self) -> float:
        """What it counts for in the fit."""
        return CALM * self.weight


@dataclass(frozen=True)
class Block:
    """Unknowns that were fitted together: `z` (n) and its `covariance` (n, n), and the readings."""

    unknowns: tuple[Unknown, ...]
    z: Array
    covariance: Array
    readings: tuple[Fitted, ...]

    @cached_property
    def index(self) -> dict[Unknown, int]:
        """Where each unknown stands."""
        return {one: place for place, one in enumerate(self.unknowns)}


def slopes(term: Term, unknowns: tuple[Unknown, ...], z: Array) -> Array:
    """By how much what a term's readings show moves with each unknown (m, n), in their sd."""
    task = _Task((term,), unknowns)
    return task.slope(z, task.off(z))


def fit(terms: Iterable[Term]) -> tuple[Block, ...]:
    """Fit each set of terms that share unknowns."""
    return tuple(_solved(_Task(some, _unknowns(some))) for some in _parted(list(terms)))


@dataclass(frozen=True)
class _Task:
    """Terms and the unknowns in the order in which they are counted.

    `known` remembers each term's slope and where it was taken: near there it is the same.
    """

    terms: tuple[Term, ...]
    unknowns: tuple[Unknown, ...]
    known: dict[int, tuple[Array, Array]] = field(default_factory=dict)

    @cached_property
    def columns(self) -> tuple[NDArray[np.intp], ...]:
        """Where each term's unknowns stand."""
        place = {one: column for column, one in enumerate(self.unknowns)}
        return tuple(
            np.array([place[one] for one in term.unknowns], np.intp) for term in self.terms
        )

    def off(self, z: Array) -> Array:
        """How far what each reading shows lies above what it should, in its sd (m)."""
        return np.concatenate(
            [_off(term, z[mine]) for term, mine in zip(self.terms, self.columns, strict=True)]
        )

    def slope(self, z: Array, off: Array) -> Array:
        """Its change with each unknown (m, n): only the terms that an unknown is in are asked."""
        found, row = np.zeros((len(off), len(self.unknowns))), 0
        for number, (term, mine) in enumerate(zip(self.terms, self.columns, strict=True)):
            rows = slice(row, row + len(term.readings))
            found[rows, mine] = self._slope(number, z[mine], off[rows])
            row = rows.stop
        return found

    def _slope(self, number: int, z: Array, off: Array) -> Array:
        term, before = self.terms[number], self.known.get(number)
        if before is not None and np.max(np.abs(before[0] - z), initial=0.0) < NEAR_Z:
            return before[1]
        moved = z + STEP_Z * np.eye(len(z))
        slope = np.stack([(_off(term, one) - off) / STEP_Z for one in moved], axis=1)
        self.known[number] = (z, slope)
        return slope


def _off(term: Term, z: Array) -> Array:
    """How far a term's readings lie above what they should show, in their sd."""
    pairs = zip(term.unknowns, z.tolist(), strict=True)
    shown = term.predicted({one: one.at(at) for one, at in pairs})
    readings = zip(shown, term.readings, strict=True)
    return np.array([(at - one.read) / one.sd for at, one in readings])


def _solved(task: _Task) -> Block:
    """Started gently, so that one wild reading among the first does not lead astray."""
    gentle = _least(task, np.zeros(len(task.unknowns)), _gentle, ROUGH)
    z = _least(task, gentle, _far_off_is_wrong, CLOSE)
    off = task.off(z)
    weights = FREEDOM / (FREEDOM + off**2)
    task.known.clear()
    slope = task.slope(z, off)
    information = np.eye(len(z)) + (slope * (CALM * weights)[:, None]).T @ slope
    covariance = np.asarray(np.linalg.inv(information), np.float64)
    readings = [one for term in task.terms for one in term.readings]
    fitted = tuple(
        Fitted(one, one.read + float(far) * one.sd, float(-far), float(weight), row)
        for one, far, weight, row in zip(readings, off, weights, slope, strict=True)
    )
    return Block(task.unknowns, z, covariance, fitted)


def _least(task: _Task, begin: Array, loss: Callable[[Array, int], Array], close: float) -> Array:
    """Where the loss of the readings and the priors together is least, from a beginning."""
    count, prior = sum(len(term.readings) for term in task.terms), np.eye(len(begin))

    last: list[tuple[Array, Array]] = []

    def residuals(z: Array) -> Array:
        off = task.off(z)
        last[:] = [(z.copy(), off)]
        return np.concatenate([off, z])

    def jacobian(z: Array) -> Array:
        off = last[0][1] if np.array_equal(last[0][0], z) else task.off(z)
        return np.vstack([task.slope(z, off), prior])

    def lost(square: Array) -> Array:
        return loss(square, count)

    found = least_squares(
        residuals,
        begin,
        jacobian,
        loss=lost,  # type: ignore[arg-type]  # three rows for it are not known to its stubs
        xtol=close,
        ftol=None,
        tr_solver="lsmr" if len(begin) > MANY else "exact",
        gtol=close,
        max_nfev=TURNS,
    )
    z: Array = found.x
    return z


def _far_off_is_wrong(square: Array, count: int) -> Array:
    """The t distribution's loss of the readings, and that of the priors as it is."""
    shrunk = FREEDOM / (FREEDOM + square)
    loss = np.stack(
        [
            CALM * FREEDOM * np.log1p(square / FREEDOM),
            CALM * shrunk,
            -CALM * shrunk**2 / FREEDOM,
        ]
    )
    return _with_prior(loss, square, count)


def _gentle(square: Array, count: int) -> Array:
    """A loss that grows as the distance once that is above 1, and has one least value only."""
    root = np.sqrt(1.0 + square)
    return _with_prior(np.stack([2.0 * (root - 1.0), 1.0 / root, -0.5 / root**3]), square, count)


def _with_prior(loss: Array, square: Array, count: int) -> Array:
    loss[0, count:], loss[1, count:], loss[2, count:] = square[count:], 1.0, 0.0
    return loss


def _unknowns(terms: Sequence[Term]) -> tuple[Unknown, ...]:
    return tuple(dict.fromkeys(one for term in terms for one in term.unknowns))


def _parted(terms: Sequence[Term]) -> list[tuple[Term, ...]]:
    """Sets of terms that share no unknown with another set."""
    sets: list[tuple[set[Unknown], list[Term]]] = []
    for term in terms:
        known, mine = set(term.unknowns), [term]
        apart = []
        for unknowns, others in sets:
            if known & unknowns:
                known |= unknowns
                mine = [*others, *mine]
            else:
                apart.append((unknowns, others))
        sets = [*apart, (known, mine)]
    return [tuple(mine) for _, mine in sets]
