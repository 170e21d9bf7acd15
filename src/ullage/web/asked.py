"""Fields of a form: what is asked, what it begins with, and how what was typed is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem, shown
from ullage.web.addresses import PartKind
from ullage.web.book import Present
from ullage.web.fields import Choice, FieldView, Measure, Posted

Value: TypeAlias = float | int | str | bool
Values: TypeAlias = Mapping[str, Value]
"""What was given, by the name of the event's field; what was left empty is not in it."""

GAUGE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "130 psi")
SPUND: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "60 psi")
BOTTLE_GAUGE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "2500 psi")
BEER: Final = Measure(Kind.VOLUME, "gal", "L", "0.02 L", "200 L")
GLASS: Final = Measure(Kind.VOLUME, "fl oz", "mL", "5 mL", "200 L")
MASS: Final = Measure(Kind.MASS, "lb", "kg", "0 kg", "200 kg")
SUGAR: Final = Measure(Kind.MASS, "oz", "g", "1 g", "5 kg")
WARMTH: Final = Measure(Kind.TEMPERATURE, "°F", "°C", "-2.5 degC", "45 degC")
ROOM: Final = Measure(Kind.TEMPERATURE, "°F", "°C", "-20 degC", "50 degC")
LEVEL: Final = Measure(Kind.CARBONATION, "vol", "g/L", "0 vol", "6 vol")
MINUTES: Final = Measure(Kind.DURATION, "min", "min", "1 s", "7 days")
CO2: Final = Measure(Kind.FRACTION, "%", "%", "1 %", "100 %")
SECONDS: Final = Measure(Kind.DURATION, "s", "s", "0.5 s", "10 min")


@dataclass(frozen=True, slots=True)
class About:
    """The part that a form is about, and the cellar as it stands."""

    kind: PartKind
    name: str
    present: Present
    units: UnitSystem


Begin: TypeAlias = Callable[[About], Value | None]
Offer: TypeAlias = Callable[[About], tuple[Choice, ...]]


def nothing(about: About) -> None:
    """What a field begins with when nothing is likely."""
    del about


def usually(value: Value) -> Begin:
    """What a field begins with that is the same for everybody."""

    def begin(about: About) -> Value:
        del about
        return value

    return begin


def none_offered(about: About) -> tuple[Choice, ...]:
    """What a field offers when nothing is known that may be meant."""
    del about
    return ()


def among(*choices: Choice) -> Offer:
    """What a field offers that is the same for everybody."""

    def offer(about: About) -> tuple[Choice, ...]:
        del about
        return choices

    return offer


@dataclass(frozen=True, slots=True)
class Asked:
    """One field. `begin` is what it begins with, in SI; `needed`: it may not be left empty."""

    name: str
    label: str
    needed: bool = True
    hint: str = ""
    begin: Begin = nothing

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The field, ready to print; `typed` is `None` the first time."""
        begin = self.begin(about) if typed is None else None
        value = typed if typed is not None else "" if begin is None else self.write(begin, about)
        return FieldView(self.name, self.label, value, hint=self.hint, error=error)

    def write(self, value: Value, about: About) -> str:
        """A value as it would be typed."""
        del about
        return str(value)

    def read(self, posted: Posted, about: About) -> Value | None:
        """What was given; `None` for nothing. Raises `UnitError`: what would be right."""
        text = posted.text(self.name)
        if text:
            return self.parsed(text, about)
        if self.needed:
            raise UnitError(f"Say this, please: {self.missing(about)}.")
        return None

    def parsed(self, text: str, about: About) -> Value:
        """The value of a text. Raises `UnitError`."""
        del about
        return text

    def missing(self, about: About) -> str:
        """What a good answer would be."""
        del about
        return "it cannot be left empty"


@dataclass(frozen=True, slots=True)
class AskedQuantity(Asked):
    """A quantity in any unit; a bare number is taken in the household's.

    `beside`: whether that unit stands beside the field; not where it is being chosen.
    """

    measure: Measure = GAUGE
    beside: bool = True

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The field with its unit beside it."""
        begin = self.begin(about) if typed is None else None
        value = typed if typed is not None else "" if begin is None else self.write(begin, about)
        unit = self.measure.unit(about.units) if self.beside else ""
        return FieldView(self.name, self.label, value, unit=unit, hint=self.hint, error=error)

    def write(self, value: Value, about: About) -> str:
        """A number in the household's unit."""
        return self.measure.write(float(value), about.units)

    def parsed(self, text: str, about: About) -> float:
        """The SI value."""
        return self.measure.read(text, about.units)

    def missing(self, about: About) -> str:
        """An example in the household's unit."""
        del about
        return self.measure.kind.advice


@dataclass(frozen=True, slots=True)
class AskedNumber(Asked):
    """A plain number such as a gravity or a count."""

    low: float = 0.0
    high: float = 100.0
    whole: bool = False

    def parsed(self, text: str, about: About) -> float | int:
        """The number. Raises `UnitError`."""
        del about
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            raise UnitError(f"{shown(text)} is not a number") from None
        if not self.low <= number <= self.high or (self.whole and number != int(number)):
            sort = "a whole number from" if self.whole else "a number from"
            raise UnitError(
                f"{shown(text)} will not do; write {sort} {self.low:g} to {self.high:g}"
            )
        return int(number) if self.whole else number

    def write(self, value: Value, about: About) -> str:
        """The number, short."""
        del about
        return f"{value:g}" if isinstance(value, float) else str(value)

    def missing(self, about: About) -> str:
        """The bounds."""
        del about
        return f"a number from {self.low:g} to {self.high:g}"


@dataclass(frozen=True, slots=True)
class AskedChoice(Asked):
    """One of several."""

    offer: Offer = none_offered

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The field with its choices."""
        begin = self.begin(about) if typed is None else typed
        choices = self.offer(about)
        if not self.needed:
            choices = (Choice("", "not said"), *choices)
        value = "" if begin is None else str(begin)
        return FieldView(
            self.name, self.label, value, "select", hint=self.hint, error=error, choices=choices
        )

    def parsed(self, text: str, about: About) -> str:
        """The value. Raises `UnitError` for one that was not offered."""
        offered = [choice.value for choice in self.offer(about)]
        if text not in offered:
            raise UnitError(f"{shown(text)} is none of these: {', '.join(offered) or 'none'}")
        return text


@dataclass(frozen=True, slots=True)
class AskedTick(Asked):
    """A box to tick."""

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The box."""
        ticked = bool(self.begin(about)) if typed is None else bool(typed)
        value = "yes" if ticked else ""
        return FieldView(self.name, self.label, value, "check", hint=self.hint, error=error)

    def read(self, posted: Posted, about: About) -> bool:
        """Whether it is ticked."""
        del about
        return posted.ticked(self.name)


@dataclass(frozen=True, slots=True)
class AskedText(Asked):
    """Words. `offer` names some that may be meant; `long` gives room for several lines."""

    offer: Offer = none_offered
    long: bool = False
    most: int = 60

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The field with what may be meant."""
        begin = self.begin(about) if typed is None else typed
        return FieldView(
            self.name,
            self.label,
            "" if begin is None else str(begin),
            "area" if self.long else "text",
            hint=self.hint,
            error=error,
            offered=tuple(choice.value for choice in self.offer(about)),
        )

    def parsed(self, text: str, about: About) -> str:
        """The words. Raises `UnitError` where they are too many."""
        del about
        if len(text) > self.most:
            raise UnitError(f"That is too long; {self.most} letters at most")
        return text
