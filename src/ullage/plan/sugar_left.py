"""Sugar in a keg that leads past its level, in words: what to do, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ullage.plan.answers import Caution
from ullage.plan.fermenting_out import TooMuchSugar
from ullage.plan.spoken import headed
from ullage.plan.status_answer import Advice, KegStatus
from ullage.units import Kind, UnitSystem, format_quantity

PAST_PA: Final = 1.0e6
"""A gauge beyond what solubility is known for is told as over this."""


def of_sugar(keg: KegStatus, units: UnitSystem) -> Iterator[Advice]:
    """About sugar that leads past the level, while cold or the gas hides it."""
    if keg.sugar is None or keg.ending is not None:
        return
    text = (
        f"{headed('keg', keg.keg)} ({keg.batch}) holds sugar for {keg.sugar.level_vol:.1f} "
        f"volumes, {sugar_gauge(keg.sugar, units)}: shut its gas and put a spunding "
        f"valve on {valve_by(keg.ferments)}, or take the sugar back if it was written down wrong."
    )
    yield Advice("valve", "keg", keg.keg, text)


def sugar_caution(keg: str, sugar: TooMuchSugar, units: UnitSystem, when: str) -> Caution:
    """What to know of it before any way to its level is gone; `when`: a valve must be on."""
    return Caution(
        "danger",
        f"{headed('keg', keg)} holds sugar for {sugar.level_vol:.1f} volumes, "
        f"{sugar_gauge(sugar, units)}: none of these ways takes that off. Put a spunding valve on "
        f"{when}.",
    )


def valve_by(ferments: bool) -> str:
    """By when a spunding valve must be on a keg with too much sugar: warm yeast waits for none."""
    return "now" if ferments else "before it is warm"


def no_more_at(keg: KegStatus, units: UnitSystem) -> str:
    """Where to set a valve: at what keeps the level, and never above a rating; "" where nothing
    does.

    " at 28.7 psi" or " at no more than 50 psi".
    """
    if keg.limit is None or not keg.wants_too_much:
        return keeps_at(keg, units)
    return f" at no more than {format_quantity(keg.limit.gauge_pa, Kind.PRESSURE, units)}"


def keeps_at(keg: KegStatus, units: UnitSystem) -> str:
    """What keeps the level, " at 12 psi"; "" where nothing does."""
    keeps = keg.keeps_gauge_pa
    if keeps is None or keeps <= 0.0:
        return ""
    return f" at {format_quantity(keeps, Kind.PRESSURE, units)}"


def valve_at(keg: KegStatus, units: UnitSystem) -> str:
    """Where to set a spunding valve on a keg with too much sugar; "" with its gas on, whose own
    gauge or blend counts in what keeps its level.
    """
    return no_more_at(keg, units) if keg.supply_gauge_pa is None else ""


def sugar_gauge(sugar: TooMuchSugar, units: UnitSystem) -> str:
    """What a keg stands at once its sugar is fermented out, in words."""
    gauge = sugar.gauge_pressure_pa
    head = (
        f"over {format_quantity(PAST_PA, Kind.PRESSURE, units)}"
        if gauge is None
        else format_quantity(gauge, Kind.PRESSURE, units)
    )
    return f"{head} at {format_quantity(sugar.at_k, Kind.TEMPERATURE, units)}"
