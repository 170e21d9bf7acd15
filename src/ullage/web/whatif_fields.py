"""The fields of a what-if as its address holds them: read in any unit, errors kept by field.

A field that the address leaves out has its usual value; one that it gives as nothing was emptied.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, TypeVar
from urllib.parse import urlencode

from ullage.errors import UllageError
from ullage.units import Kind, UnitSystem
from ullage.web.fields import Choice, FieldKind, FieldView, Measure, is_bare
from ullage.web.wording import sentence

PRESSURE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "130 psi")
BEER_TEMPERATURE: Final = Measure(Kind.TEMPERATURE, "°F", "°C", "-2.5 degC", "40 degC")
ROOM_TEMPERATURE: Final = Measure(Kind.TEMPERATURE, "°F", "°C", "-30 degC", "50 degC")
LEVEL: Final = Measure(Kind.CARBONATION, "vol", "g/L", "0 vol", "6 vol")
RISE: Final = Measure(Kind.LENGTH, "in", "cm", "-10 m", "10 m")
PINT_TIME: Final = Measure(Kind.DURATION, "s", "s", "1 s", "10 min")
ALTITUDE: Final = Measure(Kind.ALTITUDE, "ft", "m", "-430 m", "9000 m")
ALCOHOL: Final = Measure(Kind.FRACTION, "%", "%", "0 %", "20 %")
BEER: Final = Measure(Kind.VOLUME, "gal", "L", "0.1 L", "200 L")
GAS: Final = Measure(Kind.MASS, "lb", "kg", "0 kg", "50 kg")
LONGEST: Final = 400
"""Characters of one field that are read."""

Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class Ask:
    """One field of a question: its name in the address, its label, how it is read and shown."""

    name: str
    label: str
    measure: Measure | None = None
    hint: str = ""
    choices: tuple[Choice, ...] = ()
    kind: FieldKind = "text"


@dataclass(slots=True)
class Typed:
    """A question's fields: as typed, else as usual. What is wrong gathers in `errors` by field."""

    query: Mapping[str, str]
    usual: Mapping[str, str]
    units: UnitSystem
    errors: dict[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """What the field holds, without blanks at its ends."""
        return self.query.get(name, self.usual.get(name, ""))[:LONGEST].strip()

    def read(self, name: str, how: Callable[[str], Read], otherwise: Read) -> Read:
        """Read a field that may be empty; `otherwise` where it is, or where it is wrong."""
        said = self.text(name)
        if not said:
            return otherwise
        try:
            return how(said)
        except UllageError as wrong:
            self.errors[name] = sentence(wrong)
            return otherwise

    def quantity(self, name: str, measure: Measure, otherwise: float | None = None) -> float | None:
        """Read a quantity, a bare number in the household's unit."""
        return self.read(name, lambda said: measure.read(said, self.units), otherwise)

    def needed(self, name: str, measure: Measure) -> float:
        """Read a quantity that must be there; 0 where it is missing, which is an error."""
        if not self.text(name):
            first = measure.kind.examples[0 if self.units == "us" else 1]
            self.errors[name] = f'This is needed: write {measure.kind.noun} such as "{first}".'
        found = self.quantity(name, measure)
        return 0.0 if found is None else found

    def one_of(self, ask: Ask) -> str:
        """Read a choice; the first one where what was asked is none of them, which is an error."""
        said = self.text(ask.name)
        known = [choice.value for choice in ask.choices]
        if said in known:
            return said
        self.errors[ask.name] = f"Choose one of: {', '.join(known)}."
        return known[0]

    def view(self, ask: Ask) -> FieldView:
        """The field ready to print."""
        return FieldView(
            name=ask.name,
            label=ask.label,
            value=self.text(ask.name),
            kind=ask.kind,
            unit="" if ask.measure is None else ask.measure.unit(self.units),
            hint=ask.hint,
            error=self.errors.get(ask.name, ""),
            choices=ask.choices,
        )

    def views(self, asks: tuple[Ask, ...]) -> tuple[FieldView, ...]:
        """Several fields ready to print."""
        return tuple(self.view(ask) for ask in asks)


def neat(measure: Measure, value: float | None, units: UnitSystem) -> str:
    """A value of the system as its owner would type it: to a tenth, a bare number; "" for none."""
    text = measure.write(value, units)
    return f"{float(text):.1f}".removesuffix(".0") if text else ""


def address_of(**fields: str) -> str:
    """Fields as they stand in an address: `tap=left+one`."""
    return urlencode(fields)


def is_number(text: str) -> bool:
    """Whether a text is a number without a unit, a fraction too.

    >>> is_number(" 3/16 "), is_number("1 1/2"), is_number("3 m"), is_number("")
    (True, True, False, False)
    """
    return is_bare(text.strip())
