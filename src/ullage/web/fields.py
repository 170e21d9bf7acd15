"""What a form asks and what was typed: quantities in any unit, bare numbers in the household's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import gcd
from typing import Final, Literal
from urllib.parse import parse_qsl

from fastapi import Request
from starlette.exceptions import HTTPException

from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem, parse, shown, to_unit

LARGEST_FORM: Final = 650_000
"""Bytes of a posted form; the longest holds a system file, each of whose signs may take three."""
MOST_FIELDS: Final = 200
FieldKind = Literal["text", "secret", "select", "check", "when", "day", "area"]
_MARKS: Final = "°℃℉%'\"′″"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the values that a field offers."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class FieldView:
    """One field of a form, ready to print: `unit` stands beside it, `error` at it.

    `shown`: what the form was opened with, where leaving it so means something of its own.
    `autocomplete`: what the browser may fill in by itself.
    """

    name: str
    label: str
    value: str = ""
    kind: FieldKind = "text"
    unit: str = ""
    hint: str = ""
    error: str = ""
    choices: tuple[Choice, ...] = ()
    offered: tuple[str, ...] = ()
    focus: bool = False
    shown: str = ""
    autocomplete: str = "off"


@dataclass(frozen=True, slots=True)
class Posted:
    """The fields of a posted form, each as its last value."""

    values: Mapping[str, str]

    def text(self, name: str) -> str:
        """What was typed in a field, without blanks at its ends; "" if nothing was."""
        return self.values.get(name, "").strip()

    def ticked(self, name: str) -> bool:
        """Whether a box was ticked."""
        return name in self.values


async def posted(request: Request) -> Posted:
    """Read a posted form. Raises `HTTPException` where it is too long or none at all."""
    sort = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if sort not in ("application/x-www-form-urlencoded", ""):
        raise HTTPException(415, "A form must come as fields (application/x-www-form-urlencoded).")
    return Posted(_fields(await body_of(request, LARGEST_FORM)))


async def body_of(request: Request, most: int) -> bytes:
    """Read what was sent. Raises `HTTPException` where it is more than `most` bytes."""
    found = bytearray()
    async for chunk in request.stream():
        found += chunk
        if len(found) > most:
            raise HTTPException(413, f"That is too much at once: more than {most:,} bytes.")
    return bytes(found)


def _fields(body: bytes) -> dict[str, str]:
    try:
        pairs = parse_qsl(body.decode(), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:
        raise HTTPException(400, "The form cannot be read.") from None
    return {name: value.replace("\r\n", "\n") for name, value in pairs}


@dataclass(frozen=True, slots=True)
class Measure:
    """How a quantity is asked: its kind, the unit of a bare number in each household, its bounds.

    Units and bounds as people write them: `Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "60 psi")`
    """

    kind: Kind
    us: str
    metric: str
    low: str
    high: str

    def unit(self, units: UnitSystem) -> str:
        """The unit that a bare number is taken in."""
        return self.us if units == "us" else self.metric

    def read(self, text: str, units: UnitSystem) -> float:
        """The SI value of what was typed. Raises `UnitError`: what was wrong, what is right."""
        unit = self.unit(units)
        value = parse(f"{text} {unit}" if is_bare(text) else text, self.kind)
        low, high = _si(self.low, self.kind), _si(self.high, self.kind)
        slack = 1e-9 * max(abs(low), abs(high))
        if not low - slack <= value <= high + slack:
            lowest, highest = (f"{self._bare(one, units)} {unit}" for one in (low, high))
            raise UnitError(f"{shown(text)} is out of bounds: {lowest} to {highest}")
        return value

    def write(self, value: float | None, units: UnitSystem) -> str:
        """An SI value as it would be typed: a bare number; "" for none."""
        return "" if value is None else self._bare(value, units)

    def _bare(self, value: float, units: UnitSystem) -> str:
        unit = self.unit(units)
        number = to_unit(value, _PARSED.get(unit, unit))
        if unit == "in" and (fraction := _sixteenths(number)):
            return fraction
        places = 0 if abs(number) >= 1000 else 1 if abs(number) >= 30 or unit == "psi" else 2
        text = f"{round(number, places) + 0.0:.{places}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text


_PARSED: Final = {"°F": "degF", "°C": "degC", "%": "percent", "fl oz": "fl_oz"}
"""Units that are written otherwise than they are named."""


def _sixteenths(inches: float) -> str | None:
    """A whole number of sixteenths below an inch as a fraction, as lines are sold."""
    count = round(inches * 16)
    if not 0 < count < 16 or abs(inches * 16 - count) > 1e-6:
        return None
    shared = gcd(count, 16)
    return f"{count // shared}/{16 // shared}"


def is_bare(text: str) -> bool:
    """Whether a text is a number without a unit.

    >>> is_bare("1 1/2"), is_bare("12 psi"), is_bare("5'")
    (True, False, False)
    """
    return bool(text) and not any(letter.isalpha() or letter in _MARKS for letter in text)


@cache
def _si(text: str, kind: Kind) -> float:
    return parse(text, kind)
