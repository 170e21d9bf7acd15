"""The types of the system's fields: text with a unit in a file, SI numbers in Python, and bounds.

In a file every quantity is text with its unit. From Python a plain number is taken as SI (`kind`
says which unit). Either way a value outside its bounds is refused with the bounds and the reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from ullage.errors import UnitError, UnknownName
from ullage.system import parts, ports
from ullage.units import Kind, parse, shown

FROM_FILE: Final = "quantities are text"
"""Key of the validation context: true when reading a file, where a plain number has no unit."""

_ROUNDING: Final = 1e-9
"""A value this much (relative) beyond a bound is the bound itself, written in another unit."""


def refuse(message: str) -> PydanticCustomError:
    """Return the error that a validator raises to say our own sentence."""
    return PydanticCustomError("ullage", "{message}", {"message": message})


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a field measures, its bounds as people write them, and what they are the bounds of."""

    kind: Kind
    low: str
    high: str
    why: str

    def read(self, value: Any, info: ValidationInfo) -> float:
        """Return the SI value of a text with a unit, or of a number that is SI already."""
        if isinstance(value, str):
            return self._within_bounds(self._parsed(value), shown(value))
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise refuse(f"{_type_name(value)} is not {self.kind.noun}; {self.kind.advice}")
        number = _as_float(value)
        if info.context and info.context.get(FROM_FILE):
            raise refuse(f"{number:g} has no unit; {self.kind.advice}, in quotes")
        return self._within_bounds(number, f"{number:g} {self.kind.si_unit}")

    def _parsed(self, text: str) -> float:
        try:
            return parse(text, self.kind)
        except UnitError as error:
            raise refuse(str(error)) from None

    def _within_bounds(self, value: float, written: str) -> float:
        low, high = _si(self.low, self.kind), _si(self.high, self.kind)
        slack = _ROUNDING * max(abs(low), abs(high))
        if not math.isfinite(value) or not low - slack <= value <= high + slack:
            raise refuse(f"{written} is out of bounds: {self.low} to {self.high} ({self.why})")
        return value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Tell pydantic to read the field with `read` alone."""
        del source, handler
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the field as it is written in a file."""
        del schema, handler
        noun = self.kind.noun
        return {
            "type": "string",
            "description": f"{noun[0].upper()}{noun[1:]}, {self.low} to {self.high} ({self.why}).",
            "examples": list(self.kind.examples),
            "maxLength": 100,
            "pattern": "^[^A-Za-z]*[0-9¼-¾⅐-⅞].*[A-Za-z%°℃℉'\"′″].*$",
        }


@dataclass(frozen=True, slots=True)
class InCatalogue:
    """The name of a catalogue part; one that is not there is refused with those that are."""

    find: Callable[[str], object]
    names: Callable[[], Mapping[str, object]]

    def check(self, name: str) -> str:
        """Return the name if the catalogue has it."""
        try:
            self.find(name)
        except UnknownName as error:
            raise refuse(str(error)) from None
        return name

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Tell pydantic to read text and look it up."""
        return core_schema.no_info_after_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """List the catalogue's names."""
        return {**handler(schema), "enum": list(self.names())}


@cache
def _si(text: str, kind: Kind) -> float:
    return parse(text, kind)


def _as_float(value: float) -> float:
    try:
        return float(value)
    except OverflowError:  # a whole number with hundreds of digits
        return math.inf


_TYPE_NAMES: Final = {bool: "true or false", dict: "a table", list: "a list"}


def _type_name(value: object) -> str:
    text = "a huge number" if isinstance(value, int) and abs(value) > 10**30 else str(value)
    return _TYPE_NAMES.get(type(value), text)


def _gravity(value: Any) -> float:
    """A specific gravity; three decimals after the 1, not degrees and not points."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.98 <= value <= 1.2:
        given = shown(value) if isinstance(value, str) else _type_name(value)
        raise refuse(f"{given} is not a gravity; write a plain number such as 1.052")
    return float(value)


def _day(value: Any) -> date:
    """A calendar day; pydantic alone would read the number 5 as five seconds after 1970 began."""
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise refuse(f"{shown(value)} is not a date; write it as 2026-03-31") from None
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    raise refuse(f"{_type_name(value)} is not a day; write the day alone, as 2026-03-31")


def _near_day(value: Any) -> date:
    """A day that a plan is made for; at the calendar's ends no zone's clock can tell its noon."""
    day = _day(value)
    if not 1900 <= day.year < 2200:
        raise refuse(f"{day} is too far away to plan for; write it as 2026-03-31")
    return day


def _name(value: str) -> str:
    if not value.isprintable() or value != value.strip():
        raise refuse(f"{shown(value)} is no name: one line, without blanks at its ends")
    return value


Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_name)]
Day = Annotated[date, BeforeValidator(_day)]
NearDay = Annotated[date, BeforeValidator(_near_day)]
Gravity = Annotated[float, Field(ge=0.980, le=1.200), BeforeValidator(_gravity)]
ChangesPerHour = Annotated[float, Field(strict=True, ge=0.0, le=100.0, allow_inf_nan=False)]

Altitude = Annotated[
    float, Quantity(Kind.ALTITUDE, "-430 m", "9000 m", "from the lowest shore to the highest top")
]
PlaceTemperature = Annotated[
    float, Quantity(Kind.TEMPERATURE, "-30 degC", "50 degC", "where kegs or cylinders stand")
]
BeerTemperature = Annotated[
    float, Quantity(Kind.TEMPERATURE, "-2.5 degC", "45 degC", "below, beer freezes")
]
Length = Annotated[float, Quantity(Kind.LENGTH, "1 cm", "100 m", "a piece of beer line")]
Bore = Annotated[float, Quantity(Kind.LENGTH, "1 mm", "25 mm", "the width inside a beer line")]
InsideLength = Annotated[
    float, Quantity(Kind.LENGTH, "1 cm", "10 m", "the inside of a fridge or what is in it")
]
PartLength = Annotated[float, Quantity(Kind.LENGTH, "0 cm", "2 m", "a part of a fridge")]
HoleWidth = Annotated[float, Quantity(Kind.LENGTH, "1 mm", "30 cm", "a hole in a fridge's wall")]
Rise = Annotated[
    float, Quantity(Kind.LENGTH, "-10 m", "10 m", "from the middle of the keg up to the faucet")
]
Volume = Annotated[float, Quantity(Kind.VOLUME, "0 L", "200 L", "the beer in a keg")]
BatchVolume = Annotated[
    float, Quantity(Kind.VOLUME, "1 L", "200 L", "the beer that a fermenter gives")
]
FermentingTime = Annotated[
    float, Quantity(Kind.DURATION, "1 day", "400 days", "from the brew day until it is done")
]
ConditioningTime = Annotated[
    float, Quantity(Kind.DURATION, "0 days", "400 days", "kept cold in the fermenter after that")
]
RoomVolume = Annotated[float, Quantity(Kind.VOLUME, "1 m3", "10000 m3", "the air of a room")]
Mass = Annotated[float, Quantity(Kind.MASS, "0 kg", "200 kg", "a cylinder or what is in it")]
GaugePressure = Annotated[
    float, Quantity(Kind.PRESSURE, "0 psi", "60 psi", "what a beer regulator is set to")
]
Rating = Annotated[
    float, Quantity(Kind.PRESSURE, "1 psi", "150 psi", "no keg for beer is rated higher")
]
Duration = Annotated[float, Quantity(Kind.DURATION, "1 s", "10 min", "the time to pour a pint")]
Flow = Annotated[float, Quantity(Kind.FLOW, "0 L/week", "1000 L/week", "what one tap is drunk at")]
Carbonation = Annotated[
    float, Quantity(Kind.CARBONATION, "0 vol", "6 vol", "more is not for a beer keg")
]
Tolerance = Annotated[
    float, Quantity(Kind.CARBONATION, "0.01 vol", "1 vol", "how near the level has to be")
]
AlcoholByVolume = Annotated[float, Quantity(Kind.FRACTION, "0 %", "20 %", "the strengths of beer")]
Co2Share = Annotated[
    float, Quantity(Kind.FRACTION, "1 %", "100 %", "CO2 in the gas; 100 % is straight CO2")
]

KegKindName = Annotated[str, InCatalogue(parts.keg_kind, parts.keg_kinds)]
CylinderSizeName = Annotated[str, InCatalogue(parts.cylinder_size, parts.cylinder_sizes)]
LineMaterialName = Annotated[str, InCatalogue(parts.line_material, parts.line_materials)]
DisconnectName = Annotated[str, InCatalogue(parts.disconnect, parts.disconnects)]
ShankName = Annotated[str, InCatalogue(parts.shank, parts.shanks)]
FaucetName = Annotated[str, InCatalogue(parts.faucet, parts.faucets)]
EndName = Annotated[str, InCatalogue(ports.check_end, ports.ends)]
Count = Annotated[int, Field(strict=True, ge=1, le=500)]
