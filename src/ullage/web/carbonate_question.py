"""The question of a beer's carbonation, as the address of its page holds it, and its answers."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

from fastapi import Request

from ullage import typed
from ullage.errors import OutOfRange, UllageError, UnitError
from ullage.physics import beer as beer_physics
from ullage.physics.constants import ETHANOL_SPECIFIC_GRAVITY
from ullage.plan import clock
from ullage.plan.answers import CarbonationAnswer
from ullage.plan.what_if import (
    ANYBODYS,
    USUAL_KEG,
    CarbonateAnswer,
    CarbonateQuestion,
    OwnKeg,
    carbonate,
)
from ullage.plan.what_if_own import own_keg_of
from ullage.plan.what_if_ways import USUAL_TOLERANCE_VOL, WaysQuestion, ways_what_if
from ullage.system.model import Beer, Keg, System
from ullage.units import Kind, UnitSystem, shown
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.fields import Measure
from ullage.web.whatif import keg_kinds
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

TOLERANCE: Final = Measure(Kind.CARBONATION, "vol", "g/L", "0.01 vol", "1 vol")
FIRST: Final = (
    Ask("volumes", "CO2 wanted in the beer", fields.LEVEL),
    Ask("pressure", "or the pressure set", fields.PRESSURE, "Give one of the two."),
    Ask("temperature", "Where it stands", fields.BEER_TEMPERATURE),
    Ask("start", "CO2 in it now", fields.LEVEL, "Empty: what fermentation left."),
    Ask("by", "Wanted by", kind="day", hint="Empty: no hurry."),
)
MORE: Final = (
    Ask("now", "Beer is at, now", fields.BEER_TEMPERATURE, "Empty: as cold as its place."),
    Ask("left", "Beer in the keg", fields.BEER, "Empty: a full keg."),
    Ask("kind", "Kind of keg", choices=keg_kinds(), kind="select"),
    Ask("tolerance", "Near enough, within", TOLERANCE),
    Ask("altitude", "Altitude", fields.ALTITUDE),
    Ask("abv", "Alcohol by volume", fields.ALCOHOL, "Empty: the trade’s standard beer."),
    Ask("fg", "Final gravity", hint="Such as 1.012; empty: an ordinary beer’s."),
)
NAMES: Final = ("keg", *(ask.name for ask in (*FIRST, *MORE)), "units")
ONE_OF_TWO: Final = "Give the level you want, or the pressure that is set; one of them."
LOWEST_GRAVITY, HIGHEST_GRAVITY = 0.98, 1.2

# The same question has the same answer for ever.
_carbonate = lru_cache(maxsize=256)(carbonate)
_ways = lru_cache(maxsize=64)(ways_what_if)


def read_question(request: Request, present: Present, units: UnitSystem) -> Typed:
    """What is asked: of a keg of the system, or with what is usual, changed by what was typed."""
    query = request.query_params
    usual = _usual(units)
    if not present.empty:
        system = present.system
        usual |= {"altitude": fields.ALTITUDE.write(system.altitude, units)}
        full = _full(system)
        if query.get("keg"):
            usual |= _of_keg(system, system.keg(query["keg"]), units)
        elif full and not {"keg", "volumes", "pressure"} & set(query):
            usual |= _of_keg(system, full[0], units)
    if query.get("pressure") and "volumes" not in query:
        usual = {**usual, "volumes": ""}
    return Typed(query, usual, units)


def _full(system: System) -> list[Keg]:
    """The kegs that hold a beer, the one that is wanted soonest first."""
    full = [keg for keg in system.kegs if keg.beer is not None]
    return sorted(full, key=lambda keg: str(system.beer(keg.beer or "").ready_by or "9999"))


def _usual(units: UnitSystem) -> dict[str, str]:
    us = units == "us"
    return {
        "volumes": fields.LEVEL.write(2.5, units),
        "temperature": "38" if us else "3",
        "kind": USUAL_KEG,
        "tolerance": TOLERANCE.write(USUAL_TOLERANCE_VOL, units),
        "altitude": "0",
    }


def _of_keg(system: System, keg: Keg, units: UnitSystem) -> dict[str, str]:
    """A keg of the system as it stands now, as its owner would type it."""
    found = {
        "keg": keg.name,
        "temperature": fields.neat(
            fields.BEER_TEMPERATURE, system.place(keg.place).temperature, units
        ),
        "kind": keg.kind,
        "now": fields.neat(fields.BEER_TEMPERATURE, keg.temperature, units),
        "left": fields.BEER.write(keg.volume, units),
        "start": fields.LEVEL.write(keg.carbonation, units),
    }
    return found if keg.beer is None else found | _of_beer(system.beer(keg.beer), units)


def _of_beer(beer: Beer, units: UnitSystem) -> dict[str, str]:
    alcohol, final = beer.abv, beer.fg
    if beer.og is not None and beer.fg is not None:
        made = beer_physics.from_gravities(beer.og, beer.fg)
        alcohol = 0.01 * made.alcohol_abw * made.specific_gravity / ETHANOL_SPECIFIC_GRAVITY.value
    return {
        "volumes": fields.LEVEL.write(beer.volumes, units),
        "tolerance": TOLERANCE.write(beer.tolerance, units),
        "by": "" if beer.ready_by is None else beer.ready_by.isoformat(),
        "abv": fields.ALCOHOL.write(alcohol, units),
        "fg": "" if final is None else f"{final:.3f}",
    }


def _own(asked: Typed, present: Present) -> OwnKeg:
    """What the household has of its own for the keg that is asked about."""
    return ANYBODYS if present.empty else own_keg_of(present.system, asked.text("keg"))


def pressure_held(asked: Typed, present: Present) -> CarbonateAnswer | None:
    """The pressure and what it holds; nothing where the question is wrong."""
    level = asked.quantity("volumes", fields.LEVEL)
    gauge = asked.quantity("pressure", fields.PRESSURE)
    if (level is None) == (gauge is None) and not {"volumes", "pressure"} & set(asked.errors):
        asked.errors["volumes" if level is None else "pressure"] = ONE_OF_TWO
    question = CarbonateQuestion(
        temperature_k=asked.needed("temperature", fields.BEER_TEMPERATURE),
        target_vol=level,
        gauge_pa=gauge,
        altitude_m=asked.quantity("altitude", fields.ALTITUDE) or 0.0,
        abv_percent=_percent(asked),
        final_gravity=asked.read("fg", _gravity, None),
        keg_kind=asked.one_of(next(ask for ask in MORE if ask.name == "kind")),
        own=_own(asked, present),
    )
    if question.final_gravity is not None and question.abv_percent is None:
        asked.errors["fg"] = "The final gravity alone does not tell the beer; give its alcohol too."
    for name, measure in (("start", fields.LEVEL), ("now", fields.BEER_TEMPERATURE)):
        asked.quantity(name, measure)
    asked.quantity("left", fields.BEER), asked.quantity("tolerance", TOLERANCE)
    asked.read("by", typed.day, None)
    if asked.errors:
        return None
    try:
        return _carbonate(question)
    except UllageError as wrong:
        asked.errors["volumes" if gauge is None else "pressure"] = sentence(str(wrong))
        return None


def _percent(asked: Typed) -> float | None:
    share = asked.quantity("abv", fields.ALCOHOL)
    return None if share is None else 100.0 * share


def _gravity(text: str) -> float:
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        raise UnitError(f"{shown(text)} is not a gravity; write one such as 1.012") from None
    if not LOWEST_GRAVITY <= found <= HIGHEST_GRAVITY:
        raise UnitError(f"{shown(text)} is not a gravity of beer; give 0.98 to 1.2")
    return found


def ways_found(
    asked: Typed, present: Present, held: CarbonateAnswer | None
) -> CarbonationAnswer | None:
    """The ways to the level that the pressure holds; nothing where the question is wrong."""
    if held is None:
        return None
    level = asked.quantity("volumes", fields.LEVEL)
    by = asked.read("by", typed.day, None)
    question = WaysQuestion(
        target_vol=held.equilibrium_vol.value if level is None else level,
        temperature_k=held.temperature_k,
        start=present.at,
        by=None if by is None else clock.noon(by, present.at),
        altitude_m=asked.quantity("altitude", fields.ALTITUDE) or 0.0,
        abv_percent=_percent(asked),
        final_gravity=asked.read("fg", _gravity, None),
        from_vol=asked.quantity("start", fields.LEVEL),
        start_k=asked.quantity("now", fields.BEER_TEMPERATURE),
        beer_m3=asked.quantity("left", fields.BEER),
        keg_kind=asked.text("kind"),
        tolerance_vol=asked.quantity("tolerance", TOLERANCE) or USUAL_TOLERANCE_VOL,
        own=_own(asked, present),
    )
    name = asked.text("keg")
    if name and not present.empty:
        keg = present.system.keg(name)
        question = replace(question, keg=name, beer=keg.beer or question.beer)
    try:
        return _ways(question)
    except OutOfRange:  # the pressure stands; the page says that there is no way to it
        return None
