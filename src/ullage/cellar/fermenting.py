"""Yeast in a keg: how much gas it makes in a time, and how the time is cut for it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np

from ullage.cellar.state import Assumed, KegState
from ullage.physics import shut_keg, solubility
from ullage.physics.constants import CO2_VOLUME_DENSITY
from ullage.physics.fermentation import making_rate

MADE_AT_ONCE_VOL, MADE_UNDER_A_VALVE_VOL = 0.015, 0.005
"""Volumes made in one stretch at most. Making and giving off take turns, which errs by about a
third of it where a valve keeps the pressure, and far less in a shut keg."""
SPENT_VOL = 1e-4
"""Less than this (a hundredth of a percent of full carbonation) is made at once."""
FARTHEST_PA = 0.999 * solubility.HARD_PRESSURE_PA
HOTTEST_K = solubility.HARD_TEMPERATURE_K[1]
"""As warm as beer may be and what it holds still be known: 50 °C."""
ROOM_K = 293.15
"""As warm as a keg may come to stand where its fridge fails or it is carried out: 20 °C."""
USUAL_MOST_VOL = 4.0
"""Volumes above which hardly a beer is meant to come; common practice, no source."""
ALLOWED_OVER_VOL = 0.5
"""Volumes by which sugar may pass what is wanted before a word is lost on it; our own choice."""
QUIET_VOL_PER_S = 0.003 / 86_400.0
"""Beer that makes less than this gives off no bubbles."""


def works(keg: KegState, warmest_k: float) -> bool:
    """Whether yeast makes gas in it, at the warmest it gets."""
    return bool(np.any(np.greater(keg.to_ferment_vol, 0.0))) and making_rate(warmest_k) > 0.0


def bubbles(keg: KegState, temperature_k: float) -> bool:
    """Whether it ferments so fast that bubbles carry off what the beer holds too much."""
    made = np.max(keg.to_ferment_vol) * making_rate(temperature_k)
    return bool(made > QUIET_VOL_PER_S)


def ferment(keg: KegState, seconds: float, temperature_k: float) -> KegState:
    """The gas of some time at one temperature made in the beer, and booked."""
    left = keg.to_ferment_vol * math.exp(-making_rate(temperature_k) * seconds)
    left = np.where(np.less(left, SPENT_VOL), 0.0, left)[()]
    made = keg.to_ferment_vol - left
    gas = keg.beer_m3 * made * CO2_VOLUME_DENSITY.value
    ledger = replace(keg.ledger, gas_made_kg=keg.ledger.gas_made_kg + gas)
    return replace(keg, to_ferment_vol=left, level_vol=keg.level_vol + made, ledger=ledger)


def level_when_done(keg: KegState) -> float:
    """Volumes in the beer once all its sugar is made into gas and none has left it."""
    return float(np.mean(np.add(keg.level_vol, keg.to_ferment_vol)))


def most_wanted(target_vol: float | None) -> float:
    """Volumes beyond which the sugar in a beer is too much, by what its batch is wanted at."""
    return USUAL_MOST_VOL if target_vol is None else target_vol + ALLOWED_OVER_VOL


def gauge_when_done(keg: KegState, assumed: Assumed, least_k: float = 0.0) -> float:
    """Gauge pressure (Pa) that it comes to rest at, shut and fermented out; infinite past 11 bar.

    At the warmer of the beer and its place, no colder than `least_k`, kelvin; past 50 °C as at
    50 °C, which is the least that it comes to there: solubility is known no farther.
    """
    warm_k = min(max(float(np.mean(keg.temperature_k)), keg.place_k, least_k), HOTTEST_K)
    level = level_when_done(keg)
    head = float(np.mean(replace(keg, temperature_k=warm_k).head_pa()))
    air = float(np.mean(keg.inert_pa(warm_k)))
    beer_m3, factor = float(np.mean(keg.beer_m3)), float(np.mean(keg.solubility(assumed)))
    box = shut_keg.ShutKeg(beer_m3, float(np.mean(keg.head_m3)), warm_k, level, head - air)
    rest = float(shut_keg.shut_equilibrium(box, factor).head_pa)
    return math.inf if rest > FARTHEST_PA else rest + air - assumed.ambient_pa


def cuts(
    keg: KegState, edges: list[float], temperature_at: Callable[[float], float]
) -> list[float]:
    """Edges (s) with more between them, so that little enough is made from each to the next."""
    most = MADE_AT_ONCE_VOL if keg.spunding_pa is None else MADE_UNDER_A_VALVE_VOL
    found, left = [edges[0]], float(np.max(keg.to_ferment_vol))
    for begin, end in pairwise(edges):
        rate = making_rate(max(temperature_at(begin), temperature_at(end)))
        at = begin
        while rate * left * (end - at) > most:
            step = most / (rate * left)
            left *= math.exp(-rate * step)
            at += step
            found.append(at)
        left *= math.exp(-rate * (end - at))
        found.append(end)
    return found
