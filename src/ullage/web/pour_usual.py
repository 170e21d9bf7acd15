"""What the question of a pour begins with: what is usual, or a tap of the system as it stands."""

from __future__ import annotations

from typing import Final

from ullage.cellar.course import serving_gauge
from ullage.everyday_units import US_PINT_M3
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.cases import keg_case
from ullage.plan.line_text import write_line
from ullage.plan.pour import HALF_LITRE_M3
from ullage.plan.what_if_tap import USUAL_FAUCET, USUAL_KEG, USUAL_SHANK, LineQuestion
from ullage.system.model import System, Tap
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
    """A tap of the system as it stands now, as its owner would type it."""
    keg = system.keg(tap.keg)
    cold = keg.temperature or system.place(keg.place).temperature
    pieces = (LineQuestion(one.length, one.bore, one.material) for one in tap.line)
    found = {
        "tap": tap.name,
        "line": write_line(pieces, units),
        "rise": fields.neat(fields.RISE, tap.rise, units),
        "pint": fields.neat(fields.PINT_TIME, tap.pint_in * glass_size(units), units),
        "temperature": fields.neat(fields.BEER_TEMPERATURE, cold, units),
        "tower": fields.neat(fields.BEER_TEMPERATURE, tap.tower_temperature, units),
        "kind": keg.kind,
        "shank": tap.shank or NO_SHANK,
        "faucet": tap.faucet,
        "left": fields.BEER.write(keg.volume, units),
        "volumes": fields.LEVEL.write(keg.carbonation, units),
    }
    return found | _on_gas(system, tap, units)


def _on_gas(system: System, tap: Tap, units: UnitSystem) -> dict[str, str]:
    """The pressure that is set; with the regulator at 0, what keeps the beer at its level."""
    keg = system.keg(tap.keg)
    set_pa = None if keg.regulator is None else system.regulator(keg.regulator).pressure
    if set_pa is None:
        return {}
    if set_pa > 0.0 or keg.beer is None:
        return {"pressure": fields.PRESSURE.write(set_pa, units)}
    beer = system.beer(keg.beer)
    case = keg_case(system, keg, beer, ambient_pressure(system.altitude))
    keeps_pa = max(serving_gauge(case, beer.volumes), 0.0)
    return {
        "pressure": fields.neat(fields.PRESSURE, keeps_pa, units),
        "volumes": fields.LEVEL.write(beer.volumes, units),
    }


def regulator_is_shut(system: System, name: str) -> bool:
    """Whether that tap's beer is on a regulator that is set to nothing."""
    tap = next((one for one in system.taps if one.name == name), None)
    keg = None if tap is None else system.keg(tap.keg)
    if keg is None or keg.regulator is None or keg.beer is None:
        return False
    return system.regulator(keg.regulator).pressure == 0.0


def glass_size(units: UnitSystem) -> float:
    """The household's glass in US pints."""
    return 1.0 if units == "us" else HALF_LITRE_M3 / US_PINT_M3
