"""Kegs that hang on one regulator, yet by the log at pressures that one regulator cannot give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ullage.plan.spoken import headed, part
from ullage.plan.status_answer import KegStatus
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

APART_PA: Final = 3_500.0
"""Half a psi: needles are not read nearer; our choice."""


def at_odds(system: System, kegs: Sequence[KegStatus], units: UnitSystem) -> tuple[str, ...]:
    """A sentence for each regulator whose kegs are on different pressures by the log.

    A regulator has one pressure, and every keg with an open leg sees it.
    """
    return tuple(_at_odds(system, kegs, units))


def _at_odds(system: System, kegs: Sequence[KegStatus], units: UnitSystem) -> Iterator[str]:
    hangs_on = {keg.name: keg.regulator for keg in system.kegs}
    for regulator in system.regulators:
        on = sorted(
            (keg.supply_gauge_pa, keg.keg)
            for keg in kegs
            if keg.supply_gauge_pa is not None and hangs_on.get(keg.keg) == regulator.name
        )
        if len(on) < 2 or on[-1][0] - on[0][0] < APART_PA:
            continue
        (low_pa, low), (high_pa, high) = on[0], on[-1]
        below, above = (format_quantity(one, Kind.PRESSURE, units) for one in (low_pa, high_pa))
        yield (
            f"{headed('regulator', regulator.name)} gives one pressure, yet by the log "
            f"{part('keg', low)} is on {below} and {part('keg', high)} on {above}. Unless a "
            "valve parts them, both see what its gauge shows: say for each what that is, or "
            "gas off."
        )
