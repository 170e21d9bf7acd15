"""What replay assumes for one household: its air pressure, and samples of what is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.course import rate_samples
from ullage.cellar.draws import Draws, draws, spread_of
from ullage.cellar.events import Event, in_order
from ullage.cellar.learnt import (
    NOTHING_LEARNT,
    ConstantName,
    ConstantsKept,
    Learnt,
)
from ullage.cellar.misread import Misread
from ullage.cellar.offsets import GAUGE_OFFSET, THERMOMETER_OFFSET
from ullage.cellar.other_events import HouseholdSet
from ullage.cellar.state import NO_OFFSETS, Assumed, Own
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import (
    CONVECTION,
    HEAT_LOSS,
    SHAKEN_CONTACT,
    STONE_CONTACT,
    Constant,
)
from ullage.physics.numbers import Numbers
from ullage.units import UnitSystem


@dataclass(frozen=True, slots=True)
class Household:
    """Altitude (m) and units as set last, and the constants of its own as kept last."""

    altitude_m: float = 0.0
    units: UnitSystem = "us"
    learnt: Learnt = NOTHING_LEARNT


def household(events: Iterable[Event]) -> Household:
    """The household as set last in a log; at sea level and in US units where it never was."""
    home = Household()
    for one in in_order(events):
        if isinstance(one, HouseholdSet):
            home = replace(home, altitude_m=one.altitude_m, units=one.units)
        elif isinstance(one, ConstantsKept) and not one.planned:
            home = replace(home, learnt=Learnt(one.kept))
    return home


def assumed(home: Household) -> Assumed:
    """The best single guess of everything."""
    usual = Assumed(ambient_pa=ambient_pressure(home.altitude_m), own=_own(home.learnt, None))
    if not home.learnt.kept:
        return usual
    spread = spread_of(home.learnt)
    return replace(
        usual,
        beer_factor=spread.beer_factor.value,
        absorption=spread.convection.value / CONVECTION.value,
        shaking=spread.shaken.value / SHAKEN_CONTACT.value,
        stone=spread.stone.value / STONE_CONTACT.value,
    )


def sampled(home: Household, samples: int) -> Assumed:
    """The same with samples of what is not known exactly, for bands.

    What gauges and thermometers may yet be off by is counted in what the beer comes to hold; the
    offsets that were learnt, scales, and how quickly a place chills, are single numbers.
    """
    drawn = draws(samples, spread_of(home.learnt))
    return Assumed(
        beer_factor=drawn.beer_factor,
        alcohol_effect=drawn.alcohol_effect,
        extract_effect=drawn.extract_effect,
        absorption=rate_samples("still", drawn),
        shaking=rate_samples("shaken", drawn),
        stone=rate_samples("stone", drawn),
        ambient_pa=ambient_pressure(home.altitude_m),
        own=_own(home.learnt, drawn),
        misread=_misread(home.learnt, drawn),
    )


def _misread(learnt: Learnt, drawn: Draws) -> Misread:
    """What instruments may be off by: as anybody's, or what is left of it where it was learnt."""
    any_pa, any_k = drawn.gauge_offset_pa, drawn.thermometer_offset_k

    def left(
        name: ConstantName, any_off: NDArray[np.float64], usual: Constant
    ) -> Mapping[str, Numbers]:
        return {
            about: any_off * (one.sd / usual.sd) for about, one in learnt.of_parts(name).items()
        }

    return Misread(
        any_gauge_pa=any_pa,
        any_thermometer_k=any_k,
        gauge_pa=left("gauge", any_pa, GAUGE_OFFSET),
        thermometer_k=left("thermometer", any_k, THERMOMETER_OFFSET),
    )


def _own(learnt: Learnt, drawn: Draws | None) -> Own:
    """What the parts of this household have of their own; losses of gas in samples where drawn."""
    if not learnt.kept:
        return NO_OFFSETS

    def of(name: ConstantName, per: float = 1.0) -> Mapping[str, float]:
        return {about: one.value / per for about, one in learnt.of_parts(name).items()}

    def lost(one: Constant, kind: Literal["handling", "leak"]) -> Numbers:
        if drawn is None:
            return one.value
        normal = drawn.handling_normal if kind == "handling" else drawn.leak_normal
        found: Numbers = one.value * np.exp(one.sd / one.value * normal)
        return found

    handling = learnt.known("handling")
    return Own(
        gauge_pa=of("gauge"),
        thermometer_k=of("thermometer"),
        chilling=of("chilling", HEAT_LOSS.value),
        tare_kg=of("tare"),
        scale_kg=of("scale"),
        handling=0.0 if handling is None else lost(handling, "handling"),
        leak_kg_s={name: lost(one, "leak") for name, one in learnt.of_parts("leak").items()},
    )
