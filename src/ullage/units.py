"""Text to SI and back, at the edges of the program: nothing further in ever sees a psi.

How a quantity may be written: a number and a unit, `"12 psi"`, `"3.5degC"`, `"38 °F"`; fractions
`"3/16 in"`, `"1 1/2 in"`; the marks `5' 6"`; sums of one kind, `"1 h 30 min"`; rates, `"6 pints a
week"`. A comma followed by exactly three digits, after one to three digits that do not start with
0, parts thousands (`"1,000 ft"`); any other single comma is a decimal comma (`"4,5 mm"`).
The units themselves stand in `units.txt`, read when the first quantity is met.
"""

from __future__ import annotations

import math
import re
from difflib import get_close_matches
from enum import Enum
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from ullage.errors import UnitError
from ullage.everyday_units import EVERYDAY
from ullage.unit_text import Term, terms, tidied, unit_key

if TYPE_CHECKING:
    from pint import UnitRegistry

LONGEST_TEXT: Final = 100
"""A quantity's text may have this many characters."""

UnitSystem = Literal["us", "metric"]


class Kind(Enum):
    """What a quantity measures. The value is its name in a sentence."""

    LENGTH = "length"
    ALTITUDE = "altitude"
    VOLUME = "volume"
    MASS = "mass"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    DURATION = "duration"
    FLOW = "flow"
    CARBONATION = "carbonation"
    FRACTION = "share"
    POWER = "power"
    ENERGY = "energy"

    @property
    def si_unit(self) -> str:
        """The unit of the plain numbers of this kind (carbonation: volumes of CO2)."""
        return _SI[self]

    @property
    def examples(self) -> tuple[str, str]:
        """Two good ways to write a quantity of this kind."""
        return _EXAMPLES[self]

    @property
    def advice(self) -> str:
        """What to write: `write a pressure such as "12 psi" or "0.8 bar"`."""
        first, second = self.examples
        return f'write {self.noun} such as "{first}" or "{second}"'

    @property
    def noun(self) -> str:
        """The kind with its article: `a pressure`, `an altitude`."""
        return f"{'an' if self.value[0] in 'ae' else 'a'} {self.value}"


_SI: Final = {
    Kind.LENGTH: "meter",
    Kind.ALTITUDE: "meter",
    Kind.VOLUME: "cubic_meter",
    Kind.MASS: "kilogram",
    Kind.PRESSURE: "pascal",
    Kind.TEMPERATURE: "kelvin",
    Kind.DURATION: "second",
    Kind.FLOW: "cubic_meter/second",
    Kind.CARBONATION: "volume_of_co2",
    Kind.FRACTION: "fraction",
    Kind.POWER: "watt",
    Kind.ENERGY: "joule",
}
_EXAMPLES: Final = {
    Kind.LENGTH: ("10 ft", "4.5 mm"),
    Kind.ALTITUDE: ("600 ft", "180 m"),
    Kind.VOLUME: ("5 gal", "19 L"),
    Kind.MASS: ("10 lb", "4.5 kg"),
    Kind.PRESSURE: ("12 psi", "0.8 bar"),
    Kind.TEMPERATURE: ("38 degF", "3 degC"),
    Kind.DURATION: ("7 days", "10 s"),
    Kind.FLOW: ("6 pint/week", "3 L/week"),
    Kind.CARBONATION: ("2.5 vol", "4.9 g/L"),
    Kind.FRACTION: ("5.2 %", "70 percent"),
    Kind.POWER: ("90 W", "0.1 kW"),
    Kind.ENERGY: ("1.2 kWh", "300 Wh"),
}
_SUMS: Final = (Kind.LENGTH, Kind.ALTITUDE, Kind.VOLUME, Kind.MASS, Kind.DURATION)
_HINTS: Final = {
    "psia": "psia is absolute pressure; write what a gauge shows, in psi",
    "bara": "bara is absolute pressure; write what a gauge shows, in bar",
    "deg": "say which degrees: degF or degC",
}


def parse(text: str, kind: Kind) -> float:
    """Return the SI value of a quantity written with its unit.

    The result is in `kind.si_unit`: m, m³, kg, Pa (gauge or difference, as written), K, s, m³/s,
    volumes of CO2, a share of 1. No range is checked here beyond being finite. Raises `UnitError`
    that says what was wrong and what would be right.

    >>> round(parse("3/16 in", Kind.LENGTH), 7)
    0.0047625
    >>> round(parse("4.942 g/L", Kind.CARBONATION), 3)
    2.5
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"{shown(text)} is too long; {kind.advice}")
    try:
        total = _total(terms(text), kind)
    except UnitError as error:
        raise UnitError(f"{shown(text)} {error}; {kind.advice}") from None
    if not math.isfinite(total):
        raise UnitError(f"{shown(text)} is not a number that can be used; {kind.advice}")
    return total


def shown(text: str) -> str:
    """Return a text in quotes, on one line and not too long, for a message."""
    line = "".join(letter if letter.isprintable() else " " for letter in text)
    return f'"{line[:40]}…"' if len(line) > LONGEST_TEXT else f'"{line}"'


def from_unit(value: float, unit: str) -> float:
    """Return `value` of `unit` in the SI unit of its kind. Raises `UnitError`: unknown unit."""
    if unit in EVERYDAY:
        _, size, zero = EVERYDAY[unit]
        return value * size + zero
    return float(_registry().convert(value, _unit_name(unit), kind_of(unit).si_unit))


def to_unit(value: float, unit: str) -> float:
    """Return an SI value in `unit` (carbonation: from volumes). Raises `UnitError`: unknown unit.

    >>> round(to_unit(68947.57, "psi"), 4)
    10.0
    """
    if unit in EVERYDAY:
        _, size, zero = EVERYDAY[unit]
        return (value - zero) / size
    return float(_registry().convert(value, kind_of(unit).si_unit, _unit_name(unit)))


@lru_cache(maxsize=512)
def kind_of(unit: str) -> Kind:
    """Return what a unit measures (a length for `ft`). Raises `UnitError` for an unknown unit."""
    if unit in EVERYDAY:
        return Kind[EVERYDAY[unit][0]]
    dimension = _registry().get_dimensionality(_unit_name(unit))
    for kind in Kind:
        if _registry().get_dimensionality(kind.si_unit) == dimension:
            return kind
    raise UnitError(f"unusable unit {shown(unit)}")


def format_quantity(value: float, kind: Kind, system: UnitSystem = "us") -> str:
    """Return an SI value as a person of that unit system writes it; `parse` reads it again.

    Rounded to what is of use. US lengths below a foot that are whole sixteenths of an inch are
    written as fractions.

    >>> format_quantity(82737.0, Kind.PRESSURE), format_quantity(82737.0, Kind.PRESSURE, "metric")
    ('12 psi', '0.83 bar')
    >>> format_quantity(0.0047625, Kind.LENGTH)
    '3/16 in'
    """
    unit, label, places = _shown_in(abs(value), kind, system)
    number = to_unit(value, unit)
    fraction = _sixteenths(number) if unit == "in" else None
    return f"{fraction or _rounded(number, places)} {label}"


def pressure_text(pressure_pa: float, system: UnitSystem = "us") -> str:
    """Return a pressure, or a difference of two, as `format_quantity` does.

    >>> pressure_text(82737.0), pressure_text(82737.0, "metric")
    ('12 psi', '0.83 bar')
    """
    return format_quantity(pressure_pa, Kind.PRESSURE, system)


_Way = tuple[float, str, str, int]
_SHOWN: Final[dict[tuple[Kind, UnitSystem], tuple[_Way, ...]]] = {
    # (from this size in SI on, unit, as written, decimals), the largest first
    (Kind.LENGTH, "us"): ((0.3047, "ft", "ft", 1), (0.0, "in", "in", 2)),
    (Kind.LENGTH, "metric"): ((1.0, "m", "m", 2), (0.1, "cm", "cm", 1), (0.0, "mm", "mm", 1)),
    (Kind.ALTITUDE, "us"): ((0.0, "ft", "ft", 0),),
    (Kind.ALTITUDE, "metric"): ((0.0, "m", "m", 0),),
    (Kind.VOLUME, "us"): ((9e-4, "gal", "gal", 2), (0.0, "fl_oz", "fl oz", 1)),
    (Kind.VOLUME, "metric"): ((9e-4, "L", "L", 1), (0.0, "mL", "mL", 0)),
    (Kind.MASS, "us"): ((0.45, "lb", "lb", 1), (0.0, "oz", "oz", 1)),
    (Kind.MASS, "metric"): ((0.9, "kg", "kg", 2), (0.0, "g", "g", 0)),
    (Kind.PRESSURE, "us"): ((1e6, "psi", "psi", 0), (0.0, "psi", "psi", 1)),
    (Kind.PRESSURE, "metric"): ((1e6, "bar", "bar", 1), (0.0, "bar", "bar", 2)),
    (Kind.TEMPERATURE, "us"): ((0.0, "degF", "°F", 1),),
    (Kind.TEMPERATURE, "metric"): ((0.0, "degC", "°C", 1),),
    (Kind.FLOW, "us"): ((1e-6, "fl_oz/s", "fl oz/s", 2), (0.0, "pint/week", "pint/week", 1)),
    (Kind.FLOW, "metric"): ((1e-6, "mL/s", "mL/s", 0), (0.0, "L/week", "L/week", 1)),
    (Kind.CARBONATION, "us"): ((0.0, "vol", "vol", 2),),
    (Kind.CARBONATION, "metric"): ((0.0, "g/L", "g/L", 2),),
}
_SHOWN_EVERYWHERE: Final[dict[Kind, tuple[_Way, ...]]] = {
    Kind.DURATION: (
        (6 * 604800.0, "week", "weeks", 1),
        (2 * 86400.0, "day", "days", 1),
        (2 * 3600.0, "h", "h", 1),
        (120.0, "min", "min", 1),
        (0.0, "s", "s", 1),
    ),
    Kind.FRACTION: ((0.0, "percent", "%", 1),),
    Kind.POWER: ((0.0, "W", "W", 0),),
    Kind.ENERGY: ((0.0, "kWh", "kWh", 2),),
}


def _shown_in(size: float, kind: Kind, system: UnitSystem) -> tuple[str, str, int]:
    ways = _SHOWN.get((kind, system)) or _SHOWN_EVERYWHERE[kind]
    return next((way[1:] for way in ways if size >= way[0]), ways[-1][1:])


def _rounded(number: float, places: int) -> str:
    text = f"{round(number, places) + 0.0:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _sixteenths(inches: float) -> str | None:
    """Return `3/16`, `1 1/2`, or nothing when it is no whole number of sixteenths."""
    count = round(inches * 16)
    if inches < 0 or count == 0 or count % 16 == 0 or abs(inches * 16 - count) > 1e-6 * count:
        return None
    whole, part = divmod(count, 16)
    shared = math.gcd(part, 16)
    return f"{whole or ''} {part // shared}/{16 // shared}".strip()


def _total(found: tuple[Term, ...], kind: Kind) -> float:
    if not found:
        raise UnitError(f"is not {kind.noun}")
    sizes = [_size(term, kind) for term in found]
    falling = all(above > below for above, below in pairwise(sizes))
    if len(found) > 1 and not (falling and kind in _SUMS):  # 5 ft 6 in, but not 6 in 5 ft
        raise UnitError("holds more than one quantity")
    return sum(from_unit(term.number, term.unit) for term in found)


def _size(term: Term, kind: Kind) -> float:
    """One of this unit in SI, if it measures the right kind."""
    if not term.unit:
        raise UnitError("has no unit")
    try:
        found = kind_of(term.unit)
    except UnitError as error:
        raise UnitError(f"has an {error}") from None
    if found.si_unit != kind.si_unit:
        ounces = kind is Kind.VOLUME and unit_key(term.unit).lower() in ("oz", "ounce", "ounces")
        raise UnitError(f"is {found.noun}, not {kind.noun}" + ounces * " (a fluid ounce is fl oz)")
    return from_unit(1.0, term.unit)


@lru_cache(maxsize=512)
def _unit_name(unit: str) -> str:
    """Return a unit's name as the registry knows it, or raise `UnitError` with the nearest."""
    parts = tidied(unit).split("/")
    if len(parts) > 2:
        raise UnitError(f"unusable unit {shown(unit)}")
    return "/".join(_one_name(unit_key(part)) for part in parts)


def _one_name(name: str) -> str:
    """The name itself, or in small letters where that cannot make a mega of a milli."""
    spellings = (name,) if name[:1] == "M" else (name, name.lower())
    for spelling in spellings:
        if _is_known(spelling):
            return spelling
    near = get_close_matches(name.replace("_", " ").lower(), _names(), n=1)
    hint = _HINTS.get(name.lower()) or (f'did you mean "{near[0]}"?' if near else "")
    raise UnitError(
        f"unknown unit {shown(name.replace('_', ' '))}" + (f" ({hint})" if hint else "")
    )


def _is_known(name: str) -> bool:
    if not re.fullmatch(r"[A-Za-z_]+[23]?", name, re.ASCII):
        return False
    found = _registry().parse_unit_name(name)
    return any(not plural or len(name) > 2 for _, _, plural in found)  # "ms" is not meters


@cache
def _names() -> tuple[str, ...]:
    return tuple(sorted(name.replace("_", " ") for name in _registry() if name.isascii()))


@cache
def _registry() -> UnitRegistry[float]:
    """The units of `units.txt`: a short list loads in half the time of all that Pint knows."""
    from pint import UnitRegistry  # noqa: PLC0415 (`--version` need not wait for it)

    registry: UnitRegistry[float] = UnitRegistry(None)
    registry.load_definitions(
        files("ullage").joinpath("units.txt").read_text(encoding="utf-8").splitlines()
    )
    return registry
