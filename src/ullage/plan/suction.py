"""A head that falls below the air's pressure: flat beer that cools, or drinks its head, shut in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from ullage.units import Kind, UnitSystem, format_quantity

if TYPE_CHECKING:
    from ullage.plan.keg_timeline import KegTimeline

LEAST_PA: Final = 3_500.0
"""So far below the air's pressure, half a psi, a seal may begin to let air in; our choice."""
WHY: Final = (
    "A keg's seals hold pressure in, not air out: it may suck in air past its lid and posts, which "
    "stales the beer, and pull beer back out of its line"
)


def below_air(gauge_pa: float, units: UnitSystem) -> str:
    """How far a head stands below the air's pressure; "" where it is not worth a word.

    >>> below_air(-41_368.5, "us"), below_air(-100.0, "us")
    ("6 psi below the air's pressure", '')
    """
    if gauge_pa > -LEAST_PA:
        return ""
    return f"{format_quantity(-gauge_pa, Kind.PRESSURE, units)} below the air's pressure"


def suction(line: KegTimeline, units: UnitSystem) -> str:
    """That a keg's head is, or will be, below the air's pressure, why that harms and what to do.

    "" where it is not. Its planned steps are counted.
    """
    if not line.ahead:
        return ""
    now = below_air(line.ahead[0].gauge_pressure_pa.value, units)
    if now:
        return f"Its head stands {now}. {WHY}. Put gas on now."
    lowest = min(line.ahead, key=lambda one: one.gauge_pressure_pa.value)
    then = below_air(lowest.gauge_pressure_pa.value, units)
    if not then:
        return ""
    return f"As it stands its head falls to {then}. {WHY}. Put gas on before it chills."
