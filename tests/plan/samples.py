"""Small systems and kegs for the tests of the plan, in the units a brewer thinks in."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from ullage.cellar.track import KegCase
from ullage.physics import beer as beer_physics
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.schedule import Wanted
from ullage.system.cylinder import Cylinder
from ullage.system.model import (
    Beer,
    Keg,
    LinePiece,
    Place,
    Regulator,
    Room,
    System,
    Tap,
)

PSI, FOOT, INCH, POUND = 6894.757293168, 0.3048, 0.0254, 0.45359237
US_GALLON, US_PINT, US_OUNCE = 3.785411784e-3, 473.176473e-6, 29.5735296e-6
HOUR, DAY = 3600.0, 86_400.0
START = datetime(2026, 6, 11, 18, 0, tzinfo=UTC)

# A US 5 gal keg by hand: 8.25 in inside, so a surface of 344.9 cm2 and 21.6 in of beer
FIVE_GALLONS = 5 * US_GALLON
SURFACE_M2 = 0.25 * 3.141592653589793 * (8.25 * INCH) ** 2
FULL_DEPTH = FIVE_GALLONS / SURFACE_M2


def fahrenheit(degrees: float) -> float:
    return (degrees - 32.0) / 1.8 + 273.15


def keg_case(**changes: Any) -> KegCase:
    """A full 5 US gal keg of the standard beer at 38 °F, flat as fermented at 20 °C."""
    usual: dict[str, Any] = {
        "beer": beer_physics.standard_beer(),
        "beer_m3": FIVE_GALLONS,
        "depth_m": FULL_DEPTH,
        "start_vol": 0.82,
        "start_k": fahrenheit(38),
        "place_k": fahrenheit(38),
        "tau_s": 10.4 * HOUR,
        "ambient_pa": ambient_pressure(0.0),
        "head_m3": 0.1 * US_GALLON,
    }
    return KegCase(**(usual | changes))


def wanted(**changes: Any) -> Wanted:
    """2.5 ± 0.1 volumes, no date, and parts that stand 60 psi."""
    usual: dict[str, Any] = {
        "beer": "Pale",
        "keg": "K1",
        "place": "fridge",
        "target_vol": 2.5,
        "tolerance_vol": 0.1,
        "start": START,
        "by": None,
        "present_gauge_pa": None,
        "highest_gauge_pa": 60 * PSI,
    }
    return Wanted(**(usual | changes))


def little_system(
    *,
    system: dict[str, Any] | None = None,
    cold: float = 38.0,
    beer: dict[str, Any] | None = None,
    keg: dict[str, Any] | None = None,
    tap: dict[str, Any] | None = None,
    cylinder: dict[str, Any] | None = None,
    regulator: dict[str, Any] | None = None,
    room: Room | None = None,
) -> System:
    """One keg, one tap, one 10 lb cylinder, nothing wrong with any of them."""
    line = (LinePiece(length=10 * FOOT, bore=3 / 16 * INCH),)
    gas = {"name": "gas", "size": "10 lb", "place": "fridge"}
    set_to = {"name": "reg", "cylinder": "gas", "pressure": 11.2 * PSI}
    one_tap = {"name": "left", "keg": "K1", "line": line, "rise": 18 * INCH}
    one_keg = {
        "name": "K1",
        "kind": "ball-lock-5gal",
        "place": "fridge",
        "regulator": "reg",
        "beer": "Pale",
    }
    return System(
        name="little",
        places=(Place(name="fridge", temperature=fahrenheit(cold)),),
        room=room,
        cylinders=(Cylinder(**{**gas, **(cylinder or {})}),),
        regulators=(Regulator(**{**set_to, **(regulator or {})}),),
        beers=(Beer(**{"name": "Pale", "volumes": 2.5, **(beer or {})}),),
        kegs=(Keg(**{**one_keg, **(keg or {})}),),
        taps=(Tap(**{**one_tap, **(tap or {})}),),
        **(system or {}),
    )
