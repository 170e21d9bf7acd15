"""Gas that is lost besides what the kegs take: how much of it there is, and how well that is known.

Common practice gives the share that venting, cleaning and small leaks take a first guess. Each
weighing of the cylinder teaches it, by least squares: what was not found between two moments at
which the contents were known is the share of what was taken between, give or take the errors of
both, which a moment in the middle shares with its neighbours, and the scale with all its weighings.
Where the household kept a share of its own, that holds and nothing is learnt again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import SEED
from ullage.cellar.events import Event
from ullage.cellar.household import Household, assumed
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped, CylinderWeighed
from ullage.cellar.state import CellarState, CylinderState
from ullage.physics.constants import (
    CYLINDER_SCALE,
    CYLINDER_WEIGHT_READ,
    GAS_HANDLING,
    RATED_FILL,
    Constant,
)
from ullage.plan.cylinder_ahead import Losses
from ullage.plan.gas_ahead_drunk import DAY_S
from ullage.plan.gas_ahead_unbooked import Unbooked, each_fill_kg, usual_fill_kg
from ullage.plan.unexplained import unexplained
from ullage.system.cylinder import full_kg

LIKELY: Final = 0.5
"""A leak this probable is counted on, and its stretches teach nothing of handling."""
SHARE_VARIES_SD: Final = 0.05
"""How far the share that goes besides differs from one weighing to the next; our choice."""
BEYOND_SDS: Final = 4.0
"""So many standard deviations off, a weighing tells of something else; our choice."""

How = Literal["weighed", "read", "connected", "swapped"]
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Mark:
    """A moment at which a cylinder's contents were known; `replayed_kg`: by replay before it."""

    at: datetime
    how: How
    held_kg: float
    replayed_kg: float | None
    sd_kg: float

    @property
    def by_scale(self) -> float:
        """1 where the scale and the tare told it."""
        return 1.0 if self.how == "weighed" else 0.0


@dataclass(frozen=True, slots=True)
class Between:
    """From one moment at which the contents were known to the next that was read.

    `taken_kg`: by what the log tells. `missing_kg`: what was not found besides.
    """

    begin: Mark
    end: Mark
    taken_kg: float
    missing_kg: float


@dataclass(frozen=True, slots=True)
class LeakSeen:
    """A leak of `kg_s`, give or take `sd_kg_s`, that is there with a `probability`."""

    kg_s: float
    sd_kg_s: float
    probability: float


@dataclass(frozen=True, slots=True)
class Known:
    """What the log of one cylinder comes to. `drawn_kg`: taken from it since `marks[-1]`."""

    marks: tuple[Mark, ...]
    stretches: tuple[Between, ...]
    unbooked: tuple[Unbooked, ...]
    drawn_kg: float
    each_fill_kg: float
    share: Constant
    leak: LeakSeen | None
    scale_sd_kg: float


def known_of(
    cylinder: CylinderState,
    facts: Sequence[Event],
    now: CellarState,
    told: Sequence[Unbooked],
    home: Household,
) -> Known:
    """What is known of one cylinder's gas, from the facts in order and what they come to.

    `now` is at the moment from which is looked ahead.
    """
    name = cylinder.name
    mine = tuple(one for one in told if one.cylinder == name)
    marks = _marks(cylinder, facts, now)
    kept, leak = home.learnt.known("handling"), _leak(name, facts, now, home)
    stretches = tuple(
        _between(before, after)
        for before, after in pairwise(marks)
        if after.replayed_kg is not None
    )
    scale = (home.learnt.known("scale", name) or CYLINDER_SCALE).sd
    usual = usual_fill_kg(now, name, assumed(home).ambient_pa)
    sound = stretches if leak is None or leak.probability < LIKELY else ()
    return Known(
        marks=marks,
        stretches=stretches,
        unbooked=mine,
        drawn_kg=float(np.mean(cylinder.drawn_kg)),
        each_fill_kg=each_fill_kg(mine, facts, name, usual),
        share=kept or share_of(sound, scale),
        leak=leak,
        scale_sd_kg=scale,
    )


def losses_of(known: Known, samples: int, at: datetime) -> Losses:
    """What goes besides from `at` on, and what has gone since the contents were last known."""
    random = np.random.default_rng(SEED + 1)
    last = known.marks[-1]
    share = max(known.share.value, 0.0)
    shares = np.maximum(share + known.share.sd * random.standard_normal(samples), 0.0)
    off = np.hypot(last.sd_kg, known.scale_sd_kg * last.by_scale)
    seconds = max((at - last.at).total_seconds(), 0.0)
    leak, leaks = _leaks(known.leak, random, samples)
    taken = known.drawn_kg
    return Losses(
        share=share,
        gone_kg=share * taken + leak * seconds,
        leak_kg_s=leak,
        share_samples=shares,
        gone_samples_kg=shares * taken + leaks * seconds + off * random.standard_normal(samples),
        leak_samples_kg_s=leaks,
    )


def share_of(stretches: Sequence[Between], scale_sd_kg: float = CYLINDER_SCALE.sd) -> Constant:
    """The share that goes besides, after what weighings found.

    What is far beyond it is no share of what the kegs took (a leak, a filling not written down) and
    teaches nothing here.
    """
    rows = [one for one in stretches if one.taken_kg > 0.0 and not is_beyond(one, scale_sd_kg)]
    if not rows:
        return GAS_HANDLING
    taken = np.array([one.taken_kg for one in rows])
    missing = np.array([one.missing_kg for one in rows])
    weighed = np.linalg.solve(_spread(rows, scale_sd_kg), np.stack([taken, missing], axis=1))
    prior = 1.0 / GAS_HANDLING.sd**2
    precision = prior + float(taken @ weighed[:, 0])
    value = (prior * GAS_HANDLING.value + float(taken @ weighed[:, 1])) / precision
    return Constant(value, precision**-0.5, "1", "what weighings of the cylinder did not find")


def is_beyond(one: Between, scale_sd_kg: float = CYLINDER_SCALE.sd) -> bool:
    """Whether more or less is missing than usual handling and the scales can make."""
    variance = float(_spread([one], scale_sd_kg)[0, 0]) + (GAS_HANDLING.sd * one.taken_kg) ** 2
    away = abs(one.missing_kg - GAS_HANDLING.value * one.taken_kg)
    return bool(away > BEYOND_SDS * math.sqrt(variance))


def _spread(rows: Sequence[Between], scale_sd_kg: float) -> Array:
    """The covariance of what is missing in stretches (kg²), moments and scale shared."""
    moments = sorted({mark.at for one in rows for mark in (one.begin, one.end)})
    shares = np.zeros((len(rows), len(moments)))
    variance = np.zeros(len(moments))
    scale = np.array([one.begin.by_scale - one.end.by_scale for one in rows])
    for row, one in enumerate(rows):
        for sign, mark in ((1.0, one.begin), (-1.0, one.end)):
            shares[row, moments.index(mark.at)] = sign
            variance[moments.index(mark.at)] = mark.sd_kg**2
    varies = np.diag([(SHARE_VARIES_SD * one.taken_kg) ** 2 for one in rows])
    found: Array = (shares * variance) @ shares.T + scale_sd_kg**2 * np.outer(scale, scale) + varies
    return found


def _leak(name: str, facts: Sequence[Event], now: CellarState, home: Household) -> LeakSeen | None:
    """The leak that the household keeps as its own, else what weighings tell of one."""
    kept = home.learnt.known("leak", name)
    if kept is not None:
        return LeakSeen(kept.value, kept.sd, 1.0)
    found = None if now.at is None else unexplained(facts, now, name, now.at)
    if found is None or found.rate_kg_day <= 0.0:
        return None
    days = found.missing_kg / found.rate_kg_day
    return LeakSeen(found.rate_kg_day / DAY_S, found.sd_kg / days / DAY_S, found.probability)


def _leaks(leak: LeakSeen | None, random: np.random.Generator, count: int) -> tuple[float, Array]:
    """What leaks (kg/s): the best guess, 0 where a leak is not likely, and samples."""
    if leak is None:
        return 0.0, np.zeros(count)
    size = np.maximum(leak.kg_s + leak.sd_kg_s * random.standard_normal(count), 0.0)
    there = random.random(count) < leak.probability
    return leak.kg_s if leak.probability >= LIKELY else 0.0, np.where(there, size, 0.0)


def _between(begin: Mark, end: Mark) -> Between:
    drawn = begin.held_kg - (end.held_kg if end.replayed_kg is None else end.replayed_kg)
    return Between(begin, end, drawn, begin.held_kg - end.held_kg - drawn)


def _marks(cylinder: CylinderState, facts: Sequence[Event], now: CellarState) -> tuple[Mark, ...]:
    """Every moment at which its contents were known; at least that of its state."""
    read = {
        one.at: one
        for one in now.residuals
        if one.keg == cylinder.name and one.quantity == "contents_kg"
    }
    sure = CYLINDER_WEIGHT_READ.value
    found = []
    for event in facts:
        if event.stream != f"cylinder:{cylinder.name}":
            continue
        if isinstance(event, CylinderConnected | CylinderSwapped):
            found.append(_put_in(event, cylinder))
        elif event.at in read:
            one = read[event.at]
            how: How = "weighed" if isinstance(event, CylinderWeighed) else "read"
            found.append(Mark(event.at, how, one.read, one.replayed, sure))
    return tuple(found) or (Mark(cylinder.known_at, "connected", cylinder.known_kg, None, sure),)


def _put_in(event: CylinderConnected | CylinderSwapped, cylinder: CylinderState) -> Mark:
    how: How = "connected" if isinstance(event, CylinderConnected) else "swapped"
    if event.contents_kg is not None:
        return Mark(event.at, how, event.contents_kg, None, CYLINDER_WEIGHT_READ.value)
    full = full_kg(cylinder.size, cylinder.co2_share)
    return Mark(event.at, how, full, None, RATED_FILL.value * full)
