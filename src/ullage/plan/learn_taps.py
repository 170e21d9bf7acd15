"""Timed pints: what they say of a line's resistance, and of the gauge that pushed them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.learn_log import Pint
from ullage.cellar.learn_terms import Reading, Unknown, Values, constant
from ullage.cellar.state import KegState
from ullage.errors import UllageError
from ullage.everyday_units import US_PINT_M3
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import PINT_READ
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import TapCase, flows_at, lift_and_driving
from ullage.system.model import System

Array = NDArray[np.float64]

SLOWEST_S = 3_600.0
"""A pint that takes longer does not come."""
POINTS = 400
"""Between so many pressures a straight line strays from the flow by less than 0.01 %."""
LOSS_POWER = -4.75
"""A smooth line's resistance goes with this power of its bore, the flow being turbulent."""


@dataclass(frozen=True)
class TapPints:
    """Pints that were timed at one tap: each with the way it came, and the cylinder behind it."""

    tap: str
    cases: tuple[TapCase, ...]
    cylinders: tuple[str | None, ...]
    readings: tuple[Reading, ...]

    @cached_property
    def unknowns(self) -> tuple[Unknown, ...]:
        """The line's resistance, and each gauge's offset."""
        known = sorted({name for name in self.cylinders if name is not None})
        return (constant("line", self.tap), *(constant("gauge", name) for name in known))

    @cached_property
    def _pours(self) -> tuple[Pours, ...]:
        return tuple(Pours.of(case) for case in self.cases)

    def predicted(self, values: Values) -> list[float]:
        """How long each would take."""
        resists = values[constant("line", self.tap)]
        pairs = zip(self._pours, self.cylinders, strict=True)
        return [pours.pint_s(resists, _offset(name, values)) for pours, name in pairs]


def _offset(cylinder: str | None, values: Values) -> float:
    return 0.0 if cylinder is None else values[constant("gauge", cylinder)]


@dataclass(frozen=True)
class Pours:
    """How long a pint takes by what pushes it beyond the lift: a line's flow looked up.

    `push_pa` as the case is; `grid_pa` (n) and `pints_s` (n) to look up in.
    """

    push_pa: float
    grid_pa: Array
    pints_s: Array

    @classmethod
    def of(cls, case: TapCase) -> Pours:
        """The line of a tap, worked out at `POINTS` pressures at once."""
        lift, driving = lift_and_driving(case)
        push = max(driving - lift, 1.0)
        grid = push * np.linspace(0.2, 2.5, POINTS)
        return cls(driving - lift, grid, US_PINT_M3 / flows_at(case, lift + grid))

    def pint_s(self, resists: float, offset_pa: float) -> float:
        """Seconds for a pint where the way resists so much more, and the gauge is so far off."""
        push = (self.push_pa + offset_pa) / resists
        if push < self.grid_pa[0]:
            return SLOWEST_S
        return float(np.interp(push, self.grid_pa, self.pints_s))


def tap_terms(
    pints: Sequence[Pint], system: System
) -> tuple[tuple[TapPints, ...], tuple[str, ...]]:
    """The timed pints of each tap that is described, and what cannot be used."""
    by_tap: dict[str, list[tuple[Pint, TapCase]]] = {}
    left_out = []
    for pint in pints:
        case = case_of(pint.keg, system)
        if case is None:
            left_out.append(
                f"{pint.at:%Y-%m-%d %H:%M} keg {pint.keg.name}: a timed pint needs the gas on, and "
                "the tap's line in the system file."
            )
            continue
        by_tap.setdefault(case.tap, []).append((pint, case))
    return tuple(_term(tap, found) for tap, found in by_tap.items()), tuple(left_out)


def _term(tap: str, found: Iterable[tuple[Pint, TapCase]]) -> TapPints:
    pairs = list(found)
    return TapPints(
        tap,
        tuple(case for _, case in pairs),
        tuple(_cylinder(pint.keg) for pint, _ in pairs),
        tuple(
            Reading(one.at, f"tap:{tap}", "pint_s", one.pint_s, PINT_READ.value * one.pint_s)
            for one, _ in pairs
        ),
    )


def _cylinder(keg: KegState) -> str | None:
    return None if keg.supply is None else keg.supply.cylinder


def case_of(keg: KegState, system: System) -> TapCase | None:
    """The way from a keg as it was to the glass; `None` where that is not described."""
    tap = next((one for one in system.taps if one.name == keg.tap), None)
    known = {one.name for one in system.kegs}
    if tap is None or keg.supply is None or keg.beer is None or keg.name not in known:
        return None
    beer = next(iter(system.beers), None)
    if beer is None:
        return None
    hung = tap.model_copy(update={"keg": keg.name})
    ambient = ambient_pressure(system.altitude)
    try:
        case = tap_case(system, hung, beer, keg.supply.gauge_pa, ambient)
    except UllageError:
        return None
    return replace(case, beer=keg.beer, level_m=float(keg.depth_m))


def effective_bores(system: System, resists: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """The bore (m) that each tap's longest piece of line would have to resist as it does."""
    for tap in system.taps:
        if tap.name in resists:
            longest = max(tap.line, key=lambda piece: piece.length)
            yield tap.name, longest.bore * resists[tap.name] ** (1.0 / LOSS_POWER)
