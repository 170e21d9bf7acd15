"""Which beer lines are too short or too long for the pour that is wanted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.blend_served import kept_by
from ullage.plan.cases import composition, lowest_rating
from ullage.plan.own import gauge_offset, own_factor, share_on, thermometer_offset
from ullage.plan.parts_answer import LineChange
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import LONGEST_LINE_M, TapCase, length_for, pint_time
from ullage.system.model import Beer, Keg, System, Tap
from ullage.units import UnitSystem

FAST, SLOW = 0.7, 1.5
"""A pour in less than this share of the wanted time foams, in more than that it crawls: as the
remarks on a pour have it."""
CUT_M: Final[dict[UnitSystem, float]] = {"us": 0.1524, "metric": 0.1}
"""Lengths to buy are rounded up to half a foot or to 10 cm."""
SHORTEST_M: Final = 0.3
"""No shorter line is advised: keg and faucet must come apart."""


def line_changes(system: System) -> tuple[LineChange, ...]:
    """The lines whose pour is off, with the length that would pour as wanted.

    Each at the pressure that keeps its beer. Taps without beer or gas, or beyond what can be
    computed, are left out.
    """
    found = (_change(system, tap) for tap in system.taps)
    return tuple(one for one in found if one is not None)


def keeping_gauge(system: System, keg: Keg, beer: Beer) -> float:
    """The pressure (Pa) that keeps the beer's level in that keg as its gauge shows it.

    0 where none is needed.
    """
    warm = system.place(keg.place).temperature + thermometer_offset(system, keg.place)
    factor = own_factor(system, composition(beer))
    held = float(solubility.equilibrium_pressure(beer.volumes, warm, factor))
    gas = float(kept_by(held, share_on(system, keg.name), warm))
    return max(gas - ambient_pressure(system.altitude) - gauge_offset(system, keg.name), 0.0)


@dataclass(frozen=True, slots=True)
class Pouring:
    """How a tap pours at the pressure that keeps its beer, and the length that pours as wanted.

    `piece` is the one to cut, the longest; `advised_m` `None` where no length of it will do.
    """

    piece: int
    present_m: float
    advised_m: float | None
    present_pint_s: float
    wanted_pint_s: float
    gauge_pressure_pa: float


def pouring(system: System, tap: Tap) -> Pouring | None:
    """How a tap pours; `None` where it has no beer or gas, or beyond what can be computed."""
    case = kept_case(system, tap)
    if case is None:
        return None
    piece = max(range(len(tap.line)), key=lambda i: tap.line[i].length)
    return Pouring(
        piece=piece,
        present_m=tap.line[piece].length,
        advised_m=_rounded(_length(case, case.wanted_pint_s), system.units),
        present_pint_s=pint_time(case),
        wanted_pint_s=case.wanted_pint_s,
        gauge_pressure_pa=case.gauge_pa,
    )


def fitting_length(system: System, tap: Tap) -> float | None:
    """The length (m) of the tap's longest piece that pours as wanted, rounded up as one buys it.

    `None` where there is no beer or gas, or no such length.
    """
    found = pouring(system, tap)
    return None if found is None else found.advised_m


def _rounded(advised: float | None, units: UnitSystem) -> float | None:
    if advised is None or advised > LONGEST_LINE_M:
        return None
    step = CUT_M[units]
    return max(math.ceil(advised / step - 1e-9) * step, SHORTEST_M)


def kept_case(system: System, tap: Tap) -> TapCase | None:
    """The tap at the pressure that keeps its beer, with the disconnect that fits its keg.

    `None` where that is not to be had.
    """
    keg = system.keg(tap.keg)
    if keg.beer is None or keg.regulator is None:
        return None
    beer = system.beer(keg.beer)
    try:
        gauge = keeping_gauge(system, keg, beer)
        if gauge > lowest_rating(system, keg):
            return None
        fitted = tap.model_copy(update={"disconnect": None})
        return tap_case(system, fitted, beer, gauge, ambient_pressure(system.altitude))
    except OutOfRange:
        return None


def _change(system: System, tap: Tap) -> LineChange | None:
    now = pouring(system, tap)
    if now is None or now.advised_m is None:
        return None
    share = now.present_pint_s / now.wanted_pint_s
    senses: tuple[tuple[Literal["too short", "too long"], bool], ...] = (
        ("too short", share < FAST and now.advised_m > now.present_m),
        ("too long", share > SLOW and now.advised_m < now.present_m),
    )
    for sense, is_so in senses:
        if is_so:
            return LineChange(
                tap=tap.name,
                piece=now.piece,
                present_m=now.present_m,
                advised_m=now.advised_m,
                present_pint_s=now.present_pint_s,
                wanted_pint_s=now.wanted_pint_s,
                gauge_pressure_pa=now.gauge_pressure_pa,
                sense=sense,
            )
    return None


def _length(case: TapCase, pint_s: float) -> float | None:
    """The length of the longest piece for that pour; `None` where no line at all is too slow."""
    try:
        return length_for(case, pint_s)
    except OutOfRange:
        return None
