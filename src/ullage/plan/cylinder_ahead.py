"""When a cylinder is empty: what carbonating takes by replay, what drinking takes as it goes on.

Each litre drunk takes the gas that pushes it out. When a keg is kicked the next is taken to be
like it: it is purged and carbonated from flat, counted litre by litre as it is drunk.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import SEED
from ullage.cellar.state import KegState
from ullage.cellar.track import FERMENTED_K
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.constants import GAS_HANDLING
from ullage.plan.drinking import Rate
from ullage.plan.forecast import Forecast, forecast, unknown
from ullage.plan.gas import KegUse, keg_uses

LONGEST_S: Final = 5 * 365 * 86_400.0
"""Nothing is told of what lies more than five years ahead."""
HALVINGS: Final = 50
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CylinderCourse:
    """What a cylinder holds at marks ahead (s, n of them) if nothing is drunk.

    `held_kg` (n) is the best guess, `samples_kg` (n, samples) its samples.
    """

    at: datetime
    marks_s: Sequence[float]
    held_kg: Array
    samples_kg: Array


@dataclass(frozen=True, slots=True)
class KegOn:
    """A keg that a cylinder feeds and that is drunk from, `begins_s` from now on."""

    state: KegState
    target_vol: float
    gauge_pa: float
    ambient_pa: float
    rate: Rate
    beer_m3: float
    begins_s: float


def empties(course: CylinderCourse, kegs: Sequence[KegOn]) -> Forecast:
    """When nothing is left in it; in words where no keg on it has a rate that is known."""
    if course.held_kg[0] <= 0.0:
        return unknown("by what is written it is empty already: weigh it, and look for a leak")
    if not kegs:
        return unknown("not enough written down to tell how quickly it is used")
    count = course.samples_kg.shape[1]
    random = np.random.default_rng(SEED)
    lost = np.maximum(GAS_HANDLING.value + GAS_HANDLING.sd * random.standard_normal(count), 0.0)
    quick = [np.asarray(random.gamma(keg.rate.shape, 1.0 / keg.rate.shape, count)) for keg in kegs]
    value = _emptied(
        course.marks_s,
        course.held_kg[:, None],
        [(keg, np.ones(1)) for keg in kegs],
        np.full(1, GAS_HANDLING.value),
    )
    samples = _emptied(course.marks_s, course.samples_kg, list(zip(kegs, quick, strict=True)), lost)
    return forecast(course.at, float(value[0]), samples, LONGEST_S, "it lasts over five years")


def gas_per_beer(keg: KegOn) -> tuple[float, float]:
    """CO2 in kg for each m³ of beer: what pushes it out, and what a new keg of it takes besides.

    A new keg is filled as usual, purged, and brought from flat to this one's target.
    """
    kind = keg.state.kind
    made_of = keg.state.beer or beer_physics.standard_beer()
    factor = float(beer_physics.solubility_factor(made_of))
    flat = float(solubility.equilibrium_volumes(keg.ambient_pa, FERMENTED_K, factor))
    use = KegUse(
        keg=keg.state.name,
        beer_m3=kind.usual_fill_m3,
        head_m3=kind.capacity_m3 - kind.usual_fill_m3,
        from_vol=flat,
        to_vol=keg.target_vol,
        gauge_pa=keg.gauge_pa,
        temperature_k=keg.state.place_k,
    )
    carbonate, push, purge = (one.mass_kg for one in keg_uses(use, keg.ambient_pa))
    return push / kind.usual_fill_m3, (carbonate + purge) / kind.usual_fill_m3


def _emptied(
    marks_s: Sequence[float], held_kg: Array, kegs: Sequence[tuple[KegOn, Array]], lost: Array
) -> Array:
    """Seconds until each column is used up, by halving; infinite beyond the longest."""
    low, high = np.zeros(held_kg.shape[1]), np.full(held_kg.shape[1], LONGEST_S)
    times = np.asarray(marks_s, np.float64)

    def left(seconds: Array) -> Array:
        used = sum((_used(keg, quick, seconds) for keg, quick in kegs), np.zeros(1))
        return _at(times, held_kg, seconds) - used * (1.0 + lost)

    never = left(high) > 0.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        some = left(middle) > 0.0
        low, high = np.where(some, middle, low), np.where(some, high, middle)
    return np.where(never, np.inf, high)


def _used(keg: KegOn, quick: Array, seconds: Array) -> Array:
    """CO2 that drinking a keg, and those after it, has taken by then (kg)."""
    push, more = gas_per_beer(keg)
    drunk = keg.rate.drunk_m3_s.value * quick * np.maximum(seconds - keg.begins_s, 0.0)
    used: Array = push * drunk + more * np.maximum(drunk - keg.beer_m3, 0.0)
    return used


def _at(times: Array, held_kg: Array, seconds: Array) -> Array:
    """What each column holds at its own time: straight between marks, as the last beyond them."""
    index = np.clip(np.searchsorted(times, seconds), 1, max(len(times) - 1, 1))
    if len(times) == 1:
        only: Array = held_kg[0]
        return only
    columns = np.arange(held_kg.shape[1])
    span = times[index] - times[index - 1]
    share = np.clip((seconds - times[index - 1]) / span, 0.0, 1.0)
    before, after = held_kg[index - 1, columns], held_kg[index, columns]
    held: Array = before + share * (after - before)
    return held
