"""What a scale tells: a pour where the weight falls and stands still again, and a weight at rest.

Readings that lie within three times the noise of each other are one rest. A rest counts once it has
stood for a little; a rest that is lighter than the one before, by as much as a pour takes, is a
pour. What falls or rises further was lifted, put on or leant against: it is no pour, and the new
rest is where counting goes on from. A rest follows slow drift, so that drift never adds up to a
pour; the daily weighing tells what is there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.samples import Sample

LEAST_SAMPLES: Final = 3
LEAST_REST: Final = timedelta(seconds=10)
SPARSE_REST: Final = timedelta(seconds=60)
"""A rest counts after three readings in ten seconds, or two in a minute from a slow scale."""
WEIGHED_AFTER: Final = timedelta(minutes=30)
"""So long at rest, a weight may be written down: once a day, counted in UTC."""
LONGEST_GAP: Final = timedelta(hours=12)
"""After a longer silence nobody can tell what became of the difference."""
MEMORY: Final = 60
"""Readings that the mean of a rest remembers."""
LEAST_POUR_KG: Final = 0.05
MOST_POUR_KG: Final = 3.0
"""Half a small glass, and a large jug; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Scale:
    """What is known of a scale: its noise (kg), below what weight nothing stands on it (kg), and
    whether what falls may be a pour."""

    noise_kg: float
    least_kg: float
    pours: bool


@dataclass(frozen=True, slots=True)
class Rest:
    """Readings that agree: when they began and were last, how many, their mean in kg."""

    since: datetime
    last: datetime
    count: int
    mean_kg: float

    @property
    def counts(self) -> bool:
        """Whether it has stood for long enough."""
        stood = self.last - self.since
        return (self.count >= LEAST_SAMPLES and stood >= LEAST_REST) or stood >= SPARSE_REST


@dataclass(frozen=True, slots=True)
class WeightState:
    """Where the following of a scale stands: the last rest that counted (kg), the one that may
    come to count, and the last day (ISO 8601, UTC) of which a weight was told."""

    before_kg: float | None = None
    rest: Rest | None = None
    day: str = ""


@dataclass(frozen=True, slots=True)
class Fell:
    """The weight fell by a pour, in kg, and stood still again at this moment."""

    at: datetime
    kg: float


@dataclass(frozen=True, slots=True)
class Stood:
    """The weight has stood still for a while, in kg."""

    at: datetime
    kg: float


def follow_weight(
    state: WeightState, samples: Iterable[Sample], scale: Scale
) -> tuple[WeightState, list[Fell | Stood]]:
    """Follow a scale through samples in their order: where it stands then, and what was found.

    The same samples give the same findings, in however many portions they come.
    """
    found: list[Fell | Stood] = []
    for one in samples:
        state = _after(state, one, scale, found)
    return state, found


def _after(state: WeightState, one: Sample, scale: Scale, found: list[Fell | Stood]) -> WeightState:
    rest = state.rest
    if rest is not None and one.at - rest.last > LONGEST_GAP:
        state, rest = replace(state, before_kg=None), None
    if rest is None or abs(one.value - rest.mean_kg) > 3.0 * scale.noise_kg:
        return replace(state, rest=Rest(one.at, one.at, 1, one.value))
    count = rest.count + 1
    mean = rest.mean_kg + (one.value - rest.mean_kg) / min(count, MEMORY)
    now = Rest(rest.since, one.at, count, mean)
    if not now.counts:
        return replace(state, rest=now)
    if now.mean_kg < scale.least_kg:  # nothing stands on it
        return replace(state, rest=now, before_kg=None)
    if not rest.counts:
        _tell_fall(state.before_kg, now, scale, found)
    day = _tell_rest(state.day, now, found)
    return WeightState(now.mean_kg, now, day)


def _tell_fall(before_kg: float | None, now: Rest, scale: Scale, found: list[Fell | Stood]) -> None:
    least = max(LEAST_POUR_KG, 4.0 * scale.noise_kg)
    if scale.pours and before_kg is not None and least <= before_kg - now.mean_kg <= MOST_POUR_KG:
        found.append(Fell(now.since, before_kg - now.mean_kg))


def _tell_rest(told: str, now: Rest, found: list[Fell | Stood]) -> str:
    """Tell the first long rest of a day; gives the last day that was told of."""
    day = now.last.date().isoformat()
    if day <= told or now.last - now.since < WEIGHED_AFTER:
        return told
    found.append(Stood(now.last, now.mean_kg))
    return day
