"""What the question of a pour begins with: what is usual, or a tap of the system as it stands."""

from __future__ import annotations

from typing import Final

from ullage.everyday_units import US_PINT_M3
from ullage.plan.line_text import write_line
from ullage.plan.pour import HALF_LITRE_M3
from ullage.plan.tap_serving import serving
from ullage.plan.what_if_tap import USUAL_FAUCET, USUAL_KEG, USUAL_SHANK, LineQuestion
from ullage.system.model import Keg, System, Tap
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields

NO_SHANK: Final = "none"


def usual(units: UnitSystem) -> dict[str, str]:
    """What is usual where nothing is known of the tap."""
    us = units == "us"
    return {
        "pressure": "12" if us else "0.8",
        "line": "10 ft x 3/16 in" if us else "3 m x 5 mm",
        "pint": "10",
        "temperature": "38" if us else "3",
        "rise": "18" if us else "45",
        "kind": USUAL_KEG,
        "shank": USUAL_SHANK,
        "faucet": USUAL_FAUCET,
        "altitude": "0",
    }


def of_tap(system: System, tap: Tap, units: UnitSystem) -> dict[str, str]:
    """A tap of the system as its owner would type it, its beer as it is meant to be poured.

    What is on a keg in passing, a burst or a beer that is warm yet, is not what a line is made for.
    """
    keg = system.keg(tap.keg)
    pieces = (LineQuestion(one.length, one.bore, one.material) for one in tap.line)
    found = {
        "tap": tap.name,
        "line": write_line(pieces, units),
        "rise": fields.neat(fields.RISE, tap.rise, units),
        "pint": fields.neat(fields.PINT_TIME, tap.pint_in * glass_size(units), units),
        "tower": fields.neat(fields.BEER_TEMPERATURE, tap.tower_temperature, units),
        "kind": keg.kind,
        "shank": tap.shank or NO_SHANK,
        "faucet": tap.faucet,
        "left": fields.BEER.write(keg.volume, units),
    }
    return found | _as_served(system, tap, units)


def _as_served(system: System, tap: Tap, units: UnitSystem) -> dict[str, str]:
    """At the pressure that keeps the beer at its level, as cold as its place."""
    keg = system.keg(tap.keg)
    meant = serving(system, tap)
    if meant is None:
        return _as_it_stands(system, keg, units)
    return {
        "pressure": fields.neat(fields.PRESSURE, meant.keeps_pa, units),
        "temperature": fields.neat(
            fields.BEER_TEMPERATURE, system.place(keg.place).temperature, units
        ),
        "volumes": fields.LEVEL.write(system.beer(keg.beer or "").volumes, units),
    }


def _as_it_stands(system: System, keg: Keg, units: UnitSystem) -> dict[str, str]:
    """Without a level that is wanted: what is in the keg and on it now."""
    cold = keg.temperature or system.place(keg.place).temperature
    found = {
        "temperature": fields.neat(fields.BEER_TEMPERATURE, cold, units),
        "volumes": fields.LEVEL.write(keg.carbonation, units),
    }
    if keg.regulator is None:
        return found
    set_pa = system.regulator(keg.regulator).pressure
    return found if set_pa is None else found | {"pressure": fields.PRESSURE.write(set_pa, units)}


def glass_size(units: UnitSystem) -> float:
    """The household's glass in US pints."""
    return 1.0 if units == "us" else HALF_LITRE_M3 / US_PINT_M3
