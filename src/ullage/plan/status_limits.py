"""Kegs that come near a rating: what stands the least in their chain, and what they tend to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Final

import numpy as np

from ullage.cellar.standing import Standing
from ullage.cellar.state import Assumed, KegState
from ullage.cellar.store import Store
from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics import shut_keg
from ullage.plan.present import present_system, told_of
from ullage.plan.status_answer import KegStatus, NextStep
from ullage.plan.sugar_left import sugar_gauge
from ullage.plan.weakest import Weakest, weakest_of
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

LEAST_NEAR_PA: Final = 15.0 * PSI
"""A pressure below this is near no rating; our choice: no part is rated for less than 17 psi."""
NEAR_RATING: Final = 0.9
"""Head pressure over the lowest rating, from which it is let off at once; common practice, no
source."""
SEEN_PA: Final = 0.5 * PSI
"""By so much a keg must tend beyond its head to be told; our choice: needles are read no nearer."""

Describe = Callable[[], System | None]
"""Gives the system as it stands, or `None` where nothing describes it; asked where it matters."""


def nothing_described() -> None:
    """No system file: of a keg only the rating of its kind is known."""


def as_it_stands(store: Store, standing: Standing, describe: Describe) -> Describe:
    """The system of a store with what its log says since, worked out once; no long log is read.

    `describe` gives what its system file describes. Raises `StoreError` when it is asked.
    """

    @cache
    def stands() -> System | None:
        described = describe()
        if described is None:
            return None
        return present_system(described, standing.now, told_of(store, standing, "tapped"))

    return stands


def with_limits(kegs: tuple[KegStatus, ...], describe: Describe) -> tuple[KegStatus, ...]:
    """The same, with what limits each whose head or wanted pressure comes near a rating."""
    if not any(_highest(keg) > LEAST_NEAR_PA for keg in kegs):
        return kegs
    system = describe()
    return tuple(_limited(keg, system) for keg in kegs)


def _highest(keg: KegStatus) -> float:
    """The most that its head stands at or that its level wants, gauge Pa."""
    return max(keg.gauge_pressure_pa.value, keg.keeps_gauge_pa or 0.0)


def _limited(keg: KegStatus, system: System | None) -> KegStatus:
    lowest = weakest_of(system, keg.keg, keg.keg_kind)
    return replace(keg, limit=lowest) if _highest(keg) > NEAR_RATING * lowest.gauge_pa else keg


def rated(lowest: Weakest, units: UnitSystem) -> str:
    """What stands the least, and how much: "the beer line is rated for 50 psi"."""
    return f"{lowest.what} is rated for {format_quantity(lowest.gauge_pa, Kind.PRESSURE, units)}"


def unopened(keg: KegStatus, units: UnitSystem) -> str:
    """A sentence of what a head at its keg's rating comes to if no valve opens; "" where none."""
    if keg.tends_gauge_pa is None:
        return ""
    tends = format_quantity(keg.tends_gauge_pa, Kind.PRESSURE, units)
    least = f"{tends} or more"
    if (sugar := keg.sugar) is not None and keg.ferments:
        done = sugar.gauge_pressure_pa
        if done is None or done > keg.tends_gauge_pa:
            at_least = "" if done is None else "at least "
            least = f"{at_least}{sugar_gauge(sugar, units)}, its sugar fermented out,"
    return (
        f" It would come to {least} if nothing opens: that a relief valve lets off what is "
        "more is assumed here, and a keg without its coupler may have none. Cool it as well."
    )


def do_not(do: str, gauge_pa: float | None, lowest: Weakest, units: UnitSystem) -> str:
    """The words of a step that sets a pressure; where a rating forbids it they say so.

    >>> do_not("Set 67 psi", 461_949.0, Weakest(344_738.0, "the beer line"), "us")
    'Set 67 psi: do not, the beer line is rated for 50 psi; plan anew.'
    >>> do_not("Set 12 psi", 82_737.0, Weakest(344_738.0, "the beer line"), "us")
    'Set 12 psi'
    """
    if gauge_pa is None or not lowest.forbids(gauge_pa):
        return do
    return f"{do.removesuffix('.')}: do not, {rated(lowest, units)}; plan anew."


def steps_within(
    steps: tuple[NextStep, ...],
    kegs: tuple[KegStatus, ...],
    units: UnitSystem,
    describe: Describe,
) -> tuple[NextStep, ...]:
    """The same steps; one that sets more than a rating of its keg's chain allows says not to."""
    if not any((step.gauge_pressure_pa or 0.0) > LEAST_NEAR_PA for step in steps):
        return steps
    system, kinds = describe(), {keg.keg: keg.keg_kind for keg in kegs}
    return tuple(
        _within(step, weakest_of(system, step.keg, kinds[step.keg]), units)
        if step.subject_kind == "keg" and step.keg in kinds
        else step
        for step in steps
    )


def _within(step: NextStep, lowest: Weakest, units: UnitSystem) -> NextStep:
    do = do_not(step.do, step.gauge_pressure_pa, lowest, units)
    return step if do == step.do else replace(step, do=do, forbidden=True)


def tends_to(keg: KegState, one: Assumed) -> float | None:
    """What the head comes to (gauge Pa) if nothing opens; `None` unless it stands at its marking.

    Of the gas that is left in it, so it is the least: what replay had a relief valve let off
    before is not counted. Cut at 11 bar absolute; temperatures from −5 to 50 °C.
    """
    head = float(keg.head_pa())
    if keg.beer is None or keg.spunding_pa is not None or not keg.holds_beer:
        return None
    if head - one.ambient_pa < NEAR_RATING * keg.kind.max_gauge_pa:
        return None
    inert, factor = float(keg.inert_pa(keg.temperature_k)), float(keg.solubility(one))
    try:
        shut = shut_keg.ShutKeg(
            float(keg.beer_m3),
            float(keg.head_m3),
            float(keg.temperature_k),
            float(keg.level_vol),
            float(np.maximum(head - inert, 0.0)),
        )
        rests = float(np.asarray(shut_keg.shut_equilibrium(shut, factor).head_pa)) + inert
    except OutOfRange:
        return None
    return rests - one.ambient_pa if rests > head + SEEN_PA else None
