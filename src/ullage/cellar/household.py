"""What replay assumes for one household: its air pressure, and samples of what is not known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ullage.cellar.course import rate_samples
from ullage.cellar.draws import draws
from ullage.cellar.events import Event, in_order
from ullage.cellar.other_events import HouseholdSet
from ullage.cellar.state import Assumed
from ullage.physics.atmosphere import ambient_pressure
from ullage.units import UnitSystem


@dataclass(frozen=True, slots=True)
class Household:
    """Altitude (m) and units, as set last."""

    altitude_m: float = 0.0
    units: UnitSystem = "us"


def household(events: Iterable[Event]) -> Household:
    """The household as set last in a log; at sea level and in US units where it never was."""
    found = [one for one in in_order(events) if isinstance(one, HouseholdSet)]
    return Household(found[-1].altitude_m, found[-1].units) if found else Household()


def assumed(home: Household) -> Assumed:
    """The best single guess of everything."""
    return Assumed(ambient_pa=ambient_pressure(home.altitude_m))


def sampled(home: Household, samples: int) -> Assumed:
    """The same with samples of what is not known exactly, for bands."""
    drawn = draws(samples)
    return Assumed(
        beer_factor=drawn.beer_factor,
        alcohol_effect=drawn.alcohol_effect,
        extract_effect=drawn.extract_effect,
        absorption=rate_samples("still", drawn),
        shaking=rate_samples("shaken", drawn),
        stone=rate_samples("stone", drawn),
        ambient_pa=ambient_pressure(home.altitude_m),
    )
