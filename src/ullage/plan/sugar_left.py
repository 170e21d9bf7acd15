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
    if keg.sugar is None or (keg.ferments and keg.supply_gauge_pa is None):
        return
    text = (
        f"{headed('keg', keg.keg)} ({keg.batch}) holds sugar for {keg.sugar.level_vol:.1f} "
        f"volumes, {sugar_gauge(keg.sugar, units)}: shut its gas and put a spunding "
        "valve on before it is warm, or take the sugar back if it was written down wrong."
    )
    yield Advice("valve", "keg", keg.keg, text)


def sugar_caution(keg: str, sugar: TooMuchSugar, units: UnitSystem) -> Caution:
    """What to know of it before any way to its level is gone."""
    return Caution(
        "danger",
        f"{headed('keg', keg)} holds sugar for {sugar.level_vol:.1f} volumes, "
        f"{sugar_gauge(sugar, units)}: none of these ways takes that off. Put a spunding valve on "
        "before it is warm.",
    )


def sugar_gauge(sugar: TooMuchSugar, units: UnitSystem) -> str:
    """What a keg stands at once its sugar is fermented out, in words."""
    gauge = sugar.gauge_pressure_pa
    head = (
        f"over {format_quantity(PAST_PA, Kind.PRESSURE, units)}"
        if gauge is None
        else format_quantity(gauge, Kind.PRESSURE, units)
    )
    return f"{head} at {format_quantity(sugar.at_k, Kind.TEMPERATURE, units)}"
