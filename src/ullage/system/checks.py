"""What in a system does not fit, exceeds a rating, or is overdue: facts of the parts alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final, Literal

from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Regulator, System, Tap
from ullage.system.parts import keg_kind, line_material
from ullage.system.ports import valve_end
from ullage.units import Kind, UnitSystem, format_quantity, pressure_text

Level = Literal["note", "warning", "danger"]

BEER_MAY_FREEZE_K: Final = 271.65
"""Below −1.5 °C a beer of ordinary strength begins to freeze."""

LIQUID_FULL_K: Final = 299.95
"""26.8 °C: a cylinder filled to 68 % is full of liquid (CoolProp, Span and Wagner 1996)."""

BLEND_HOT_K: Final = 313.15
"""40 °C; common practice, no source: what is stamped on a cylinder counts with more."""

YEARS_BETWEEN_TESTS: Final = 5
"""A CO2 cylinder is requalified every five years (49 CFR 180.209)."""

FOR_A_BLEND: Final = (
    "use a regulator made for blended gas, its high-pressure gauge to 2,000 psi (140 bar) or more, "
    "and never an adapter; the makers' ratings come first"
)
_NEARLY: Final = 1e-3
"""Shares by which a weight or volume may pass a mark before it counts."""

_SEVERITY: Final[dict[Level, int]] = {"danger": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class Misfit:
    """Something that does not fit. `where` names the part, `remedy` says what would be right."""

    level: Level
    where: str
    what: str
    remedy: str


def findings(system: System, today: date | None = None) -> tuple[Misfit, ...]:
    """Return what does not fit, dangers first. `today` (default: now) is for test dates."""
    day = today or datetime.now(UTC).astimezone().date()
    found = [each for rule in _RULES for each in rule(system)] + list(_test_dates(system, day))
    return tuple(sorted(found, key=lambda each: _SEVERITY[each.level]))


def rating_findings(system: System) -> tuple[Misfit, ...]:
    """Return what is set above a rating, or can be turned above one."""
    rules = (_regulator_settings, _keg_ratings, _line_ratings)
    return tuple(each for rule in rules for each in rule(system))


def keg_rating_pa(keg: Keg) -> float:
    """Return what a keg stands, in Pa gauge: its own marking, else what its kind is marked for."""
    return keg_kind(keg.kind).max_gauge_pa if keg.max_pressure is None else keg.max_pressure


def _connections(system: System) -> Iterator[Misfit]:
    for tap in system.taps:
        keg = system.keg(tap.keg)
        takes = keg_kind(keg.kind).connection
        if tap.disconnect not in (None, takes):
            yield Misfit(
                "warning",
                f'tap "{tap.name}"',
                f'its {tap.disconnect} disconnect does not fit keg "{keg.name}", '
                f"which takes {takes}",
                f"use a {takes} disconnect; forced on, it leaks or jams",
            )


def _regulator_settings(system: System) -> Iterator[Misfit]:
    for regulator in system.regulators:
        pressure = regulator.pressure
        if pressure is not None and pressure > regulator.max_pressure * (1 + _NEARLY):
            yield Misfit(
                "danger",
                f'regulator "{regulator.name}"',
                f"set to {pressure_text(pressure, system.units)}, above its own rating of "
                f"{pressure_text(regulator.max_pressure, system.units)}",
                "turn it down now, or correct the file",
            )


def _keg_ratings(system: System) -> Iterator[Misfit]:
    for keg in system.kegs:
        if keg.regulator is None:
            continue
        regulator, rating = system.regulator(keg.regulator), keg_rating_pa(keg)
        if (regulator.pressure or 0.0) > rating * (1 + _NEARLY):
            yield _too_strong(f'keg "{keg.name}"', rating, regulator, system.units)
        elif regulator.max_pressure > rating * (1 + _NEARLY):
            yield Misfit(
                "note",
                f'keg "{keg.name}"',
                f"stands {pressure_text(rating, system.units)}, but regulator "
                f'"{regulator.name}" can be turned up to '
                f"{pressure_text(regulator.max_pressure, system.units)}",
                "have a relief valve between them that opens below the keg's rating",
            )


def _line_ratings(system: System) -> Iterator[Misfit]:
    for tap in system.taps:
        regulator = _regulator_of(tap, system)
        ratings = [line_material(piece.material).max_gauge_pa for piece in tap.line]
        if regulator and (regulator.pressure or 0.0) > min(ratings) * (1 + _NEARLY):
            yield _too_strong(f'line of tap "{tap.name}"', min(ratings), regulator, system.units)


def _regulator_of(tap: Tap, system: System) -> Regulator | None:
    name = system.keg(tap.keg).regulator
    return None if name is None else system.regulator(name)


def _too_strong(where: str, rating: float, regulator: Regulator, units: UnitSystem) -> Misfit:
    return Misfit(
        "danger",
        where,
        f'regulator "{regulator.name}" gives {pressure_text(regulator.pressure or 0.0, units)}, '
        f"more than the {pressure_text(rating, units)} it is rated for",
        f"turn the regulator down below {pressure_text(rating, units)} now",
    )


def _valves(system: System) -> Iterator[Misfit]:
    for regulator in system.regulators:
        cylinder = system.cylinder(regulator.cylinder)
        inlet, outlet = regulator.inlet_valve(cylinder), cylinder.outlet_valve
        if _standard(inlet) != _standard(outlet):
            remedy = "get a regulator with that inlet, or an adapter made for CO2 at full pressure"
            yield Misfit(
                "danger" if cylinder.is_blend else "warning",
                f'regulator "{regulator.name}"',
                f"its inlet ({inlet}) does not fit the valve of cylinder "
                f'"{cylinder.name}" ({outlet})',
                FOR_A_BLEND if cylinder.is_blend else remedy,
            )
        elif cylinder.is_blend and cylinder.valve is None:
            yield Misfit(
                "note",
                f'cylinder "{cylinder.name}"',
                "a blend fills it to some 140 bar (2,000 psi), and its valve is not that of CO2",
                FOR_A_BLEND,
            )


def _standard(valve: str) -> str:
    """What two names of the same valve have in common."""
    return valve_end(valve) or "".join(valve.casefold().replace("-", " ").replace("×", "x").split())


def _fills(system: System) -> Iterator[Misfit]:
    for keg in system.kegs:
        kind, volume = keg_kind(keg.kind), keg.volume or 0.0
        said = format_quantity(volume, Kind.VOLUME, system.units)
        if volume > kind.capacity_m3 * (1 + _NEARLY):
            most = format_quantity(kind.capacity_m3, Kind.VOLUME, system.units)
            what, remedy = f"{said} is more than its brimful {most}", "correct the volume or kind"
            yield Misfit("warning", f'keg "{keg.name}"', what, remedy)
        elif volume > kind.usual_fill_m3 * (1 + _NEARLY):
            what = f"{said} leaves hardly any headspace: beer may reach the gas post"
            usual = format_quantity(kind.usual_fill_m3, Kind.VOLUME, system.units)
            yield Misfit("note", f'keg "{keg.name}"', what, f"fill to {usual} at most")


def _missing_links(system: System) -> Iterator[Misfit]:
    for keg in system.kegs:
        where, taps = f'keg "{keg.name}"', system.taps_of(keg.name)
        if keg.regulator is None and (taps or keg.beer):
            yield Misfit("warning", where, "no gas: it has no regulator", "give it a regulator")
        if taps and keg.beer is None:
            yield Misfit("note", where, "a tap, but no beer in it", "name the beer, or fill it")
        if len(taps) > 1:
            names = " and ".join(f'"{tap.name}"' for tap in taps)
            what = f"taps {names} draw on it at once"
            yield Misfit("note", where, what, "open one at a time: both pour slower together")


def _cold(system: System) -> Iterator[Misfit]:
    for keg in system.kegs:
        place = system.place(keg.place)
        if keg.beer and place.temperature < BEER_MAY_FREEZE_K:
            at = format_quantity(place.temperature, Kind.TEMPERATURE, system.units)
            yield Misfit(
                "warning",
                f'keg "{keg.name}"',
                f'"{place.name}" is at {at}: beer begins to freeze, and ice can block a line',
                "set the place above 30 °F (-1 °C)",
            )


def _cylinders(system: System) -> Iterator[Misfit]:
    for cylinder in system.cylinders:
        rated, held = cylinder.full_kg, cylinder.held_kg
        if held > rated * 1.02:
            yield _overfilled(cylinder, held, rated, system.units)
        elif cylinder.is_blend:
            yield from _hot(cylinder, system)
        elif held > rated * 0.98 and system.place(cylinder.place).temperature > LIQUID_FULL_K:
            yield Misfit(
                "note",
                f'cylinder "{cylinder.name}"',
                "full and in a place above 80 °F (26.8 °C): liquid fills all of it, and its "
                "pressure climbs steeply with every degree",
                "keep it somewhere cooler, out of the sun",
            )


def _hot(cylinder: Cylinder, system: System) -> Iterator[Misfit]:
    """A full cylinder of a blend, all gas, where it is hotter than its filling counts with."""
    kelvin = system.place(cylinder.place).temperature
    if cylinder.held_kg > cylinder.full_kg * 0.98 and kelvin > BLEND_HOT_K:
        yield Misfit(
            "note",
            f'cylinder "{cylinder.name}"',
            "full of a blend in a place above 104 °F (40 °C): its pressure climbs above what it "
            "was filled to",
            "keep it somewhere cooler, out of the sun",
        )


def _overfilled(cylinder: Cylinder, held: float, rated: float, units: UnitSystem) -> Misfit:
    masses = [format_quantity(mass, Kind.MASS, units) for mass in (held, rated)]
    if cylinder.is_blend:
        return Misfit(
            "danger",
            f'cylinder "{cylinder.name}"',
            f"holds {masses[0]} of a blend, more than the {masses[1]} that 140 bar (2,000 psi) at "
            "68 °F (20 °C) make of it: warmed, it passes what it is made for",
            "check both weights and the pressure stamped on it, which comes first; if they are "
            "right, keep it cold and have the filler take gas out",
        )
    return Misfit(
        "danger",
        f'cylinder "{cylinder.name}"',
        f"holds {masses[0]} of CO2, more than the {masses[1]} it is rated for: warmed, its burst "
        "disc will let go",
        "check both weights; if they are right, keep it cold and have the dealer take gas out",
    )


def _test_dates(system: System, today: date) -> Iterator[Misfit]:
    for cylinder in system.cylinders:
        tested, where = cylinder.requalified, f'cylinder "{cylinder.name}"'
        if tested is not None and tested > today:
            yield Misfit("warning", where, f"tested on {tested}, a day to come", "correct the date")
        elif tested is not None and _years_later(tested) <= today:
            yield Misfit(
                "warning",
                where,
                f"last tested {tested}: the {YEARS_BETWEEN_TESTS} years between tests are over "
                "(49 CFR 180.209)",
                "it may be used up, but no dealer should refill it: swap it or have it tested",
            )


def _years_later(day: date) -> date:
    year = day.year + YEARS_BETWEEN_TESTS
    if year > date.max.year:
        return date.max
    leap_day = (day.month, day.day) == (2, 29)
    return date(year, 3, 1) if leap_day else day.replace(year=year)


_RULES: Final[tuple[Callable[[System], Iterator[Misfit]], ...]] = (
    _regulator_settings,
    _keg_ratings,
    _line_ratings,
    _connections,
    _valves,
    _fills,
    _missing_links,
    _cold,
    _cylinders,
)
