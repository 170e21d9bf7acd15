"""What a keg that still ferments comes to, shut or under its spunding valve."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final

from ullage.cellar.fermenting import (
    HOTTEST_K,
    ROOM_K,
    SPENT_VOL,
    gauge_when_done,
    level_when_done,
    most_wanted,
    works,
)
from ullage.cellar.state import Assumed, KegState
from ullage.errors import OutOfRange
from ullage.physics import shut_keg, solubility
from ullage.physics.fermentation import making_rate

SERVED_K: Final = 277.15
"""As cold as beer is usually served; common practice, no source."""


SLOWEST_PER_S: Final = 1.0 / (21 * 86_400.0)
"""Yeast that makes less of what is left is as good as asleep: about 7 °C; our own choice."""


def is_fermenting(keg: KegState) -> bool:
    """Whether its yeast still has something to do, and is warm enough to do it in weeks."""
    return (
        keg.beer is not None
        and works(keg, keg.place_k)
        and (making_rate(keg.place_k) >= SLOWEST_PER_S)
    )


@dataclass(frozen=True, slots=True)
class Ending:
    """How a keg ends that ferments: its level where it stands, and chilled with its head (volumes).

    Chilled it holds a little more, as the head gives it gas. `valve_limits`: its spunding valve
    lets gas off, so that another setting gives another level; else the sugar left decides.
    """

    level_vol: float
    chilled_vol: float
    valve_limits: bool


@dataclass(frozen=True, slots=True)
class TooMuchSugar:
    """More sugar in a keg without a spunding valve than its level bears, gas on or cold though it
    is: the level it leads to (volumes), and the gauge pressure shut at `at_k`, kelvin.

    Pa; `None` past 11 bar. Where it is warmer than 50 °C, `at_k` is 50 °C.
    """

    level_vol: float
    gauge_pressure_pa: float | None
    at_k: float


def too_much_sugar(keg: KegState, target_vol: float | None, one: Assumed) -> TooMuchSugar | None:
    """What the sugar left in a keg leads to where it is warm; `None` where that is as it should be.

    `target_vol`: volumes that its batch is wanted at, `None` where nobody said.
    """
    if keg.beer is None or not keg.holds_beer or keg.spunding_pa is not None:
        return None
    level = level_when_done(keg)
    if float(keg.to_ferment_vol) <= SPENT_VOL or level <= most_wanted(target_vol):
        return None
    warm_k = min(max(float(keg.temperature_k), keg.place_k, ROOM_K), HOTTEST_K)
    gauge = gauge_when_done(keg, one, ROOM_K)
    return TooMuchSugar(level, gauge if isfinite(gauge) else None, warm_k)


def ending(keg: KegState, one: Assumed) -> Ending | None:
    """How it ends; `None` where nothing ferments, gas is on, or it cannot be told.

    Temperatures from −5 to 50 °C and pressures up to 11 bar.
    """
    if keg.supply is not None or not is_fermenting(keg):
        return None
    done = gauge_when_done(keg, one)
    valve = keg.kind.max_gauge_pa if keg.spunding_pa is None else keg.spunding_pa
    air, factor = float(keg.inert_pa(keg.place_k)), float(keg.solubility(one))
    head = one.ambient_pa + min(done, valve) - air
    try:
        level = float(solubility.equilibrium_volumes(head, keg.place_k, factor))
        chilled = _chilled(keg, head, level, factor)
    except OutOfRange:
        return None
    return Ending(
        level, chilled, keg.spunding_pa is not None and (not isfinite(done) or done > valve)
    )


def _chilled(keg: KegState, head_pa: float, level_vol: float, factor: float) -> float:
    """Its level once beer and head, shut, are as cold as beer is served."""
    beer_m3, head_m3 = float(keg.beer_m3), float(keg.head_m3)
    gas = float(shut_keg.gas_m3(head_pa, head_m3, keg.place_k))
    in_beer = shut_keg.ShutKeg(
        beer_m3, head_m3, min(keg.place_k, SERVED_K), level_vol + gas / beer_m3, 0.0
    )
    return float(shut_keg.shut_equilibrium(in_beer, factor).beer_vol)
