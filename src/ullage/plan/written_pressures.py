"""A word of each pressure just written down that is above a rating of its keg's chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import GasOn, Purged, SpundingSet, ToppedUp
from ullage.plan.weakest import Weakest, weakest
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

SETS: Final = ("gas_on", "topped_up", "purged", "spunding_set")
"""Kinds of events that have a keg at a pressure."""


def above_notes(system: System, events: Sequence[Happening], units: UnitSystem) -> tuple[str, ...]:
    """A sentence for each event that has a keg at more than the lowest rating of its chain."""
    kegs = {keg.name: keg for keg in system.kegs}
    return tuple(
        _above(event.gauge_pressure_pa, weakest(system, kegs[event.keg]), units, event.planned)
        for event in events
        if isinstance(event, GasOn | ToppedUp | Purged | SpundingSet)
        and event.keg in kegs
        and event.gauge_pressure_pa > weakest(system, kegs[event.keg]).gauge_pa
    )


def _above(gauge_pa: float, lowest: Weakest, units: UnitSystem, planned: bool) -> str:
    told, most = (format_quantity(one, Kind.PRESSURE, units) for one in (gauge_pa, lowest.gauge_pa))
    do = "plan less" if planned else "turn it down and let the pressure off now"
    return f"{told} is too much: the lowest rating here is {most}: {lowest.what}; {do}."
