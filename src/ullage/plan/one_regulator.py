"""Kegs that hang on one regulator, yet by the log at pressures that one regulator cannot give."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from ullage.cellar.standing import Standing
from ullage.cellar.store import Store
from ullage.plan.present import present_system, told_of
from ullage.plan.spoken import headed, part
from ullage.plan.status_answer import KegStatus, StatusAnswer
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

APART_PA: Final = 3_500.0
"""Half a psi: needles are not read nearer; our choice."""


def at_odds(system: System, kegs: Sequence[KegStatus], units: UnitSystem) -> tuple[str, ...]:
    """A sentence for each regulator whose kegs are on different pressures by the log.

    A regulator has one pressure, and every keg with an open leg sees it. `system`: as it stands
    now, each regulator at the pressure that was said last.
    """
    on = {keg.keg: keg.supply_gauge_pa for keg in kegs if keg.supply_gauge_pa is not None}
    return tuple(_at_odds(system, on, units))


def odds_of(
    system: System, supplies: Mapping[str, float], kegs: Collection[str], units: UnitSystem
) -> tuple[str, ...]:
    """The same of those regulators only that feed one of `kegs`; `supplies`: gauge Pa by keg."""
    feeding = {keg.regulator for keg in system.kegs if keg.name in kegs}
    regulators = tuple(one for one in system.regulators if one.name in feeding)
    those = system.model_copy(update={"regulators": regulators})
    return tuple(_at_odds(those, supplies, units))


def with_odds(answer: StatusAnswer, system: System, units: UnitSystem) -> StatusAnswer:
    """The same, its warnings with what `at_odds` finds."""
    found = at_odds(system, answer.kegs, units)
    return replace(answer, warnings=(*answer.warnings, *found)) if found else answer


def status_with_odds(
    answer: StatusAnswer,
    standing: Standing,
    store: Store,
    describe: Callable[[], System | None],
    units: UnitSystem,
) -> StatusAnswer:
    """The same of a store, as quick over a long log: it is read only where pressures differ.

    `describe` gives what its system file describes. Raises `StoreError`.
    """
    on = [keg.supply_gauge_pa for keg in answer.kegs if keg.supply_gauge_pa is not None]
    described = describe() if on and max(on) - min(on) >= APART_PA else None
    if described is None:
        return answer
    words = told_of(store, standing, "gas_on")
    return with_odds(answer, present_system(described, standing.now, words), units)


def _at_odds(system: System, supplies: Mapping[str, float], units: UnitSystem) -> Iterator[str]:
    hangs_on = {keg.name: keg.regulator for keg in system.kegs}
    for regulator in system.regulators:
        on = sorted(
            (gauge_pa, keg)
            for keg, gauge_pa in supplies.items()
            if hangs_on.get(keg) == regulator.name
        )
        if len(on) < 2 or on[-1][0] - on[0][0] < APART_PA:
            continue
        (low_pa, low), (high_pa, high) = on[0], on[-1]
        below, above = (format_quantity(one, Kind.PRESSURE, units) for one in (low_pa, high_pa))
        yield (
            f"{headed('regulator', regulator.name)} gives one pressure, yet by the log "
            f"{part('keg', low)} is on {below} and {part('keg', high)} on {above}. Unless a "
            "valve parts them, both see what its gauge shows: say for each what that is, or "
            f"gas off.{_taken(regulator.pressure, units)}"
        )


def _taken(pressure_pa: float | None, units: UnitSystem) -> str:
    """What the answers reckon with until that is cleared up."""
    if pressure_pa is None:
        return ""
    said = format_quantity(pressure_pa, Kind.PRESSURE, units)
    return (
        f" Until then plans take it to be at {said}, which was said last, and each keg is "
        "followed at what was written down for it."
    )
