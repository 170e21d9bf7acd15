"""A household's own constants in words and in the units that its keeper reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from ullage.cellar.learnt import LEARNABLE, ConstantName
from ullage.draw.constant_words import heading, of_part
from ullage.everyday_units import OUNCE_KG, PSI
from ullage.physics.constants import ICE_POINT
from ullage.plan.answers import Band
from ullage.plan.learn_answer import ConstantLearnt, Learning, Lesson
from ullage.plan.spoken import part
from ullage.units import UnitSystem

DAY_S: Final = 86_400.0
QUANTITIES: Final[Mapping[str, str]] = {
    "level_vol": "CO2 by a shaken gauge",
    "gauge_pressure_pa": "head pressure",
    "temperature_k": "temperature",
    "gross_kg": "weight",
    "contents_kg": "CO2 by weight",
    "pint_s": "timed pint",
}


@dataclass(frozen=True, slots=True)
class Shown:
    """How a constant is shown: its SI value over `divisor`, with `places`, and in what unit."""

    divisor: float
    unit: str
    places: int
    signed: bool = False

    def number(self, value: float) -> str:
        """The number alone: `+1.2`."""
        size = value / self.divisor
        if round(abs(size), self.places) == 0.0:
            size = 0.0
        return f"{size:{'+' if self.signed and size else ''}.{self.places}f}".replace("-", "−")

    def amount(self, value: float) -> str:
        """The number with its unit: `+1.2 psi`."""
        return f"{self.number(value)} {self.unit}"

    def span(self, band: Band) -> str:
        """A band's ends: `0.8 to 1.6 psi`."""
        return f"{self.number(band.low)} to {self.number(band.high)} {self.unit}"


def shown(constant: ConstantName, units: UnitSystem) -> Shown:
    """How a constant is shown in a household's units; a bare one over anybody's."""
    us = units == "us"
    if constant == "gauge":
        return Shown(PSI, "psi", 1, True) if us else Shown(1e5, "bar", 3, True)
    if constant == "thermometer":
        return Shown(1.0 / 1.8, "°F", 1, True) if us else Shown(1.0, "°C", 2, True)
    if constant in ("tare", "scale"):
        return Shown(16.0 * OUNCE_KG, "lb", 2, True) if us else Shown(1.0, "kg", 2, True)
    if constant == "leak":
        return Shown(1e-3 / DAY_S, "g a day", 1)
    if constant == "handling":
        return Shown(0.01, "% of what kegs take", 0)
    bare = LEARNABLE[constant].prior.value
    words = {"line": "× the computed", "beer factor": "× the chart"}
    return Shown(bare, words.get(constant, "× the usual"), 2)


SAID: Final[Mapping[ConstantName, tuple[str, str]]] = {
    "gauge": (
        "the regulator on {of} gives {size} more than it shows",
        "the regulator on {of} gives {size} less than it shows",
    ),
    "thermometer": (
        "{of} is {size} warmer than it is told to be",
        "{of} is {size} colder than it is told to be",
    ),
    "tare": (
        "{of} weighs {size} more empty than its kind",
        "{of} weighs {size} less empty than its kind",
    ),
    "scale": (
        "the scale shows {size} too much for {of}",
        "the scale shows {size} too little for {of}",
    ),
}
"""What an offset means, above and below nothing."""


def said(one: ConstantLearnt, units: UnitSystem) -> str:
    """What was learnt, in one sentence without its end."""
    how = shown(one.constant, units)
    band, value = how.span(one.after), one.after.value
    about = of_part(one.constant, one.about)
    if one.constant in SAID:
        size = Shown(how.divisor, how.unit, how.places).amount(abs(value))
        words = SAID[one.constant][0 if value >= 0.0 else 1]
        return f"{words.format(of=about, size=size)} ({band})"
    if one.constant == "leak":
        return f"{about} leaks {how.amount(value)} ({band})"
    if one.constant == "handling":
        return f"{how.amount(value)} is lost besides ({band})"
    title = heading(one.constant, one.about)
    return f"{title[0].lower()}{title[1:]}: {how.amount(value)} ({band})"


def sentence(answer: Learning, units: UnitSystem) -> str:
    """What was learnt first, in a sentence or two."""
    if not answer.lessons:
        first = answer.next_readings[0].how if answer.next_readings else ""
        return f"Nothing to learn from yet: no reading is written down. {first}".strip()
    taught = answer.taught
    if not taught:
        return (
            f"{_readings(len(answer.lessons))} so far, which say no more of your constants than "
            "anybody knows."
        )
    best = said(taught[0], units)
    count, told = len(taught), _readings(len(answer.lessons))
    known = "one constant" if count == 1 else f"{count} constants"
    tell = "tells" if len(answer.lessons) == 1 else "tell"
    return f"{told} {tell} of {known} of your own. Best known: {best}.{_wrong(answer)}"


def _readings(count: int) -> str:
    return "One reading" if count == 1 else f"{count} readings"


def _wrong(answer: Learning) -> str:
    count = len(answer.wrong)
    if not count:
        return ""
    return " One reading looks wrong." if count == 1 else f" {count} readings look wrong."


def read(one: Lesson, value: float, units: UnitSystem) -> str:
    """What a reading showed, or should have, finely enough to compare: `2.41 volumes`."""
    us = units == "us"
    if one.quantity == "level_vol":
        return f"{value:.2f} volumes"
    if one.quantity == "pint_s":
        return f"{value:.1f} s"
    if one.quantity == "temperature_k":
        return f"{from_kelvin(value, units):.1f} °{'F' if us else 'C'}"
    if one.quantity == "gauge_pressure_pa":
        return f"{value / PSI:.1f} psi" if us else f"{value / 1e5:.3f} bar"
    return f"{value / (16.0 * OUNCE_KG):.2f} lb" if us else f"{value:.2f} kg"


def from_kelvin(value: float, units: UnitSystem) -> float:
    """A temperature in degrees of the household's scale."""
    celsius = value - ICE_POINT.value
    return 1.8 * celsius + 32.0 if units == "us" else celsius


def of(subject: str) -> str:
    """The part that a reading is of: `keg K1`."""
    kind, _, name = subject.partition(":")
    return part(kind, name)
