"""What is drunk from a cylinder's kegs, now and after them, and the gas that it takes.

Each litre drunk takes the gas that pushes it out. When a keg is kicked one more is filled, taken to
be like it: it is purged and carbonated from flat at once, and drunk at the rate of its tap, after a
gap. So as many kegs stay full as are now, whether one waits or none.

What a household drinks wanders about its usual over the months. A rate that was learnt in a few
weeks is that of a season; the usual is what a year of the log tells, as well as it does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.state import KegState
from ullage.cellar.track import FERMENTED_K
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.plan.blend_gas import push_kg
from ullage.plan.drinking import Rate
from ullage.plan.gas import KegUse, keg_uses
from ullage.plan.gatherings import Piece, party_samples

DAY_S: Final = 86_400.0
SEASONS_SD: Final = 0.2
"""How far what a household drinks wanders from its usual, as a share, one standard deviation: a
swing of 30 % from summer to winter is 0.3/√2 of it. Common practice, no source."""
SEASONS_S: Final = 60 * DAY_S
"""How long it stays so: two months; our choice."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class KegOn:
    """A keg that a cylinder feeds and that is drunk from, `begins_s` from now on.

    `next_rate`: how quickly the kegs after it are drunk, `None` as this one. `to_fill`: empty kegs
    that are filled soon besides the one that follows this. `each_fill_kg`: gas that making each new
    keg ready takes besides the purging of its headspace. `gap_s`: how long the tap is dry between
    two kegs, in the mean. `pieces`: gatherings ahead, by which more or less is drunk than usual.
    `co2_share`: CO2 in the gas that pushes it; a new keg on a blend comes carbonated, and purged,
    with straight CO2.
    """

    state: KegState
    target_vol: float
    gauge_pa: float
    ambient_pa: float
    rate: Rate
    beer_m3: float
    begins_s: float
    next_rate: Rate | None = None
    to_fill: float = 0.0
    each_fill_kg: float = 0.0
    gap_s: float = 0.0
    pieces: tuple[Piece, ...] = ()
    tap: str = ""
    co2_share: float = 1.0


@dataclass(frozen=True, slots=True)
class Usual:
    """What a household drinks usually over what it drinks now, and how long it was seen (s)."""

    over_now: float = 1.0
    seen_s: float = 40 * DAY_S

    @property
    def log_sd(self) -> float:
        """How well that is known: the mean of drinking that wanders, over the time it was seen.

        σ √((2 τ/T) (1 − (τ/T) (1 − e^(−T/τ)))), of a first-order autoregression.
        """
        share = SEASONS_S / max(self.seen_s, DAY_S)
        return SEASONS_SD * math.sqrt(2.0 * share * (1.0 - share * -math.expm1(-1.0 / share)))


AS_NOW: Final = Usual()


def gas_per_beer(keg: KegOn) -> tuple[float, float]:
    """Gas in kg for each m³ of beer: what pushes it out, and what a new keg of it takes besides.

    A new keg is filled as usual, purged, and brought from flat to this one's target; not so with a
    blend, which pushes alone.
    """
    kind = keg.state.kind
    if keg.co2_share < 1.0:
        whole = keg.ambient_pa + keg.gauge_pa
        pushed = push_kg(kind.usual_fill_m3, whole, keg.state.place_k, keg.co2_share)
        return pushed / kind.usual_fill_m3, keg.each_fill_kg / kind.usual_fill_m3
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
    each = carbonate + purge + keg.each_fill_kg
    return push / kind.usual_fill_m3, each / kind.usual_fill_m3


def season(times: Array, usual: Usual) -> Array:
    """By what factor is drunk more or less than now, in each stretch of time: back to the usual."""
    middle = 0.5 * (times[1:] + times[:-1])
    factor: Array = np.exp(math.log(usual.over_now) * -np.expm1(-middle / SEASONS_S))
    return factor


def season_samples(times: Array, count: int, usual: Usual, random: np.random.Generator) -> Array:
    """The same in samples: it wanders from what it is now, and is drawn back to the usual.

    A first-order autoregression of its logarithm, about a usual that is known only so well.
    """
    middle = math.log(usual.over_now) + usual.log_sd * random.standard_normal(count)
    away = -middle
    found = np.empty((len(times) - 1, count))
    for row, kept in enumerate(np.exp(-np.diff(times) / SEASONS_S)):
        away = kept * away + SEASONS_SD * np.sqrt(1.0 - kept**2) * random.standard_normal(count)
        found[row] = np.exp(middle + away)
    return found


def used_kg(keg: KegOn, drunk: Array) -> Array:
    """Gas (kg) that so much beer takes: its push, and what each new keg of it takes besides."""
    push, more = gas_per_beer(keg)
    fill = keg.state.kind.usual_fill_m3
    kicked = np.floor(np.maximum(drunk - keg.beer_m3 + fill, 0.0) / fill)
    filled = np.where(drunk > 0.0, kicked + keg.to_fill, 0.0)
    used: Array = push * drunk + more * fill * filled
    return used


def drunk_m3(keg: KegOn, times: Array, factor: Array) -> Array:
    """Beer drunk of a keg, and of those after it, by each time (m³): the best guess."""
    since, told = _usual_time(keg, times)
    own, after = keg.rate.drunk_m3_s.value, (keg.next_rate or keg.rate).drunk_m3_s.value
    kick = keg.beer_m3 / own
    after /= 1.0 + keg.gap_s * after / keg.state.kind.usual_fill_m3
    mean = own * np.minimum(since, kick) + after * np.maximum(since - kick, 0.0)
    drunk: Array = np.concatenate([[0.0], np.cumsum(np.diff(mean) * factor)]) + told
    return drunk


def _usual_time(keg: KegOn, times: Array) -> tuple[Array, Array]:
    """Seconds of usual drinking by each time, and beer (m³) of gatherings that was told in all."""
    since, told = np.maximum(times - keg.begins_s, 0.0), np.zeros(len(times))
    for one in keg.pieces:
        begin, end = max(one.begin_s, keg.begins_s), max(one.end_s, keg.begins_s)
        within = np.clip(times, begin, end) - begin
        since = since + (one.factor - 1.0) * within
        told = told + one.told_m3_s * within
    return since, told


def drunk_samples_m3(keg: KegOn, times: Array, factor: Array, random: np.random.Generator) -> Array:
    """The same in samples: rates as well as they are known, seasons, servings at random."""
    count = factor.shape[1]
    own = keg.rate.drunk_m3_s.value * _quick(keg.rate, count, random)
    if keg.next_rate is None or keg.next_rate is keg.rate:
        after = own
    else:
        after = keg.next_rate.drunk_m3_s.value * _quick(keg.next_rate, count, random)
    since, told = (one[:, None] for one in _usual_time(keg, times))
    kick = keg.beer_m3 / np.maximum(own, 1e-15)
    after = after / (1.0 + keg.gap_s * after / keg.state.kind.usual_fill_m3)
    mean = own * np.minimum(since, kick) + after * np.maximum(since - kick, 0.0)
    serving = keg.rate.serving_m3
    stretches = serving * random.poisson(np.diff(mean, axis=0) * factor / serving)
    drunk = np.concatenate([np.zeros((1, count)), np.cumsum(stretches, axis=0)])
    if not keg.pieces:
        return drunk
    parties: Array = drunk + told * party_samples(random, count)
    return parties


def _quick(rate: Rate, count: int, random: np.random.Generator) -> Array:
    return np.asarray(random.gamma(rate.shape, 1.0 / rate.shape, count), np.float64)
