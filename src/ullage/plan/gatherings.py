"""Parties and seasons of the log, and beer drunk in time when they lie ahead.

What is drunk at one instead of the usual is told in all or as a factor. Times are cut into pieces
in each of which the rate of drinking stays the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.events import Event, in_order
from ullage.cellar.other_events import Gathering

PARTY_SHAPE: Final = 16.0
"""Shape of the gamma of what is drunk at a gathering over what was expected: a quarter either way,
one standard deviation. Common practice, no source."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Piece:
    """A time from `begin_s` to `end_s` in which beer is drunk `factor` times as usual.

    `told_m3_s`: a rate on top of that, of a gathering whose beer was told in all.
    """

    begin_s: float
    end_s: float
    factor: float
    told_m3_s: float


def gatherings(log: Iterable[Event]) -> tuple[Gathering, ...]:
    """Those that stand, by when they begin: a planned one that was told as a fact is left out."""
    found = [one for one in in_order(log) if isinstance(one, Gathering)]
    told = {(one.about, one.at.date()) for one in found if not one.planned}
    done = {one.does for one in found if one.does is not None}
    return tuple(
        one
        for one in found
        if not one.planned or (one.id not in done and (one.about, one.at.date()) not in told)
    )


def pieces(held: Sequence[Gathering], at: datetime, share: float = 1.0) -> tuple[Piece, ...]:
    """The time from `at` on, cut where gatherings begin and end; the last piece has no end.

    `share`: which part of a gathering's beer comes from here. Where two with a factor meet, the
    factors multiply; while one with its beer told lasts, nothing usual is drunk.
    """
    windows = [
        (max((one.at - at).total_seconds(), 0.0), (one.ends - at).total_seconds(), one)
        for one in held
        if one.ends > at
    ]
    edges = sorted({0.0, *(edge for begin, end, _ in windows for edge in (begin, end))})
    found = []
    for begin, end in zip(edges, [*edges[1:], np.inf], strict=True):
        here = [one for first, last, one in windows if first <= begin and last > begin]
        factor, told = 1.0, 0.0
        for one in here:
            factor *= 0.0 if one.factor is None else one.factor
            if one.beer_m3 is not None:
                told += share * one.beer_m3 / (one.ends - one.at).total_seconds()
        found.append(Piece(begin, float(end), factor, told))
    return tuple(found)


def drunk_by(
    cut: Sequence[Piece], begin_s: Array, beer_m3: Array, usual_m3_s: Array, party: Array
) -> Array:
    """Seconds from the first piece's begin until each sample's beer is drunk, from `begin_s` on.

    `party` scales what was told of gatherings. Arrays of one length, or that broadcast; infinite
    where it never is. With one piece it is `begin_s + beer_m3 / usual_m3_s`.
    """
    begin, left, usual, scale = np.broadcast_arrays(begin_s, beer_m3, usual_m3_s, party)
    left = left.astype(np.float64)
    found = np.full(left.shape, np.inf)
    for piece in cut:
        first = np.maximum(begin, piece.begin_s)
        rate = usual * piece.factor + scale * piece.told_m3_s
        runs = np.where(rate > 0.0, left / np.where(rate > 0.0, rate, 1.0), np.inf)
        here = np.isinf(found) & (first < piece.end_s) & (first + runs <= piece.end_s)
        found = np.where(here & np.isfinite(runs), first + runs, found)
        if np.isfinite(piece.end_s):
            left = np.maximum(left - rate * np.maximum(piece.end_s - first, 0.0), 0.0)
    return found


def party_samples(random: np.random.Generator, count: int) -> Array:
    """How much more or less than expected is drunk at gatherings: `count` samples about 1."""
    return np.asarray(random.gamma(PARTY_SHAPE, 1.0 / PARTY_SHAPE, count), np.float64)
