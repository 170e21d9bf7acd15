"""Names, and quantities in both systems at once, in the words of a step or a caution."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Final, Protocol

from ullage.cellar.naming import counted, headed, listed, part
from ullage.everyday_units import OUNCE_KG, PSI, US_PINT_M3
from ullage.units import Kind, UnitSystem, format_quantity

__all__ = [
    "MONTHS",
    "by_number",
    "counted",
    "date_text",
    "ended",
    "gauge_counted",
    "gauged",
    "headed",
    "listed",
    "part",
    "pints",
    "pressure",
    "priming_sugar",
    "quoted",
    "sugar",
    "temperature",
    "times",
]
MONTHS: Final = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
LEAST_OFFSET_PA = 0.05 * PSI
"""A gauge off by less reads right: no answer is printed more finely."""


def date_text(when: datetime, beside: datetime | None = None) -> str:
    """Write a day in any locale, by the clock of `when`: "3 Dec".

    With its year where it is not that of `beside`, the moment at which it is read.
    """
    same = beside is None or beside.astimezone(when.tzinfo).year == when.year
    year = "" if same else f" {when.year}"
    return f"{when.day} {MONTHS[when.month - 1]}{year}"


def quoted(name: str) -> str:
    """A name as it is typed at a terminal.

    >>> quoted("K1"), quoted("keg 1")
    ('K1', '"keg 1"')
    """
    return name if re.fullmatch(r"[\w.:+-]+", name) else '"' + name.replace('"', '\\"') + '"'


class Gauged(Protocol):
    """An answer with remarks, whose pressures are as a gauge shows them."""

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is to be known beside it."""

    @property
    def gauge_offset_pa(self) -> float:
        """What that gauge shows too little, Pa."""


def gauged(answer: Gauged, units: UnitSystem) -> tuple[str, ...]:
    """The remarks of an answer; first, that what its gauge reads off is counted."""
    said = gauge_counted(answer.gauge_offset_pa, units)
    return (*((said,) if said else ()), *answer.remarks)


def gauge_counted(offset_pa: float, units: UnitSystem, whose: str = "Your gauge") -> str:
    """That a gauge's learnt offset is counted in what is told; "" where it is too small to tell.

    `offset_pa`: what the regulator gives more than its gauge shows.

    >>> gauge_counted(-0.8 * PSI, "us")
    'Your gauge reads 0.8 psi high: that is counted.'
    """
    if abs(offset_pa) < LEAST_OFFSET_PA:
        return ""
    off, way = (
        format_quantity(abs(offset_pa), Kind.PRESSURE, units),
        "low" if offset_pa > 0 else "high",
    )
    return f"{whose} reads {off} {way}: that is counted."


def ended(text: str) -> str:
    """A text as a sentence that ends.

    >>> ended("Shake it"), ended("Shake it.")
    ('Shake it.', 'Shake it.')
    """
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."


def by_number(name: str) -> tuple[tuple[int, str], ...]:
    """What names are sorted by, so that a person finds them: numbers by their size.

    >>> sorted(["keg 10", "keg 2", "Amber"], key=by_number)
    ['Amber', 'keg 2', 'keg 10']
    """
    pieces = re.findall(r"[0-9]+|[^0-9]+", name.casefold())
    return tuple((int(one), "") if one[0].isdecimal() else (-1, one) for one in pieces)


def priming_sugar(name: str) -> str:
    """What a homebrewer calls a sugar; one that is not known here by its own name.

    >>> priming_sugar("glucose monohydrate"), priming_sugar("dry malt extract")
    ('corn sugar', 'dry malt extract')
    """
    return {"glucose monohydrate": "corn sugar", "sucrose": "table sugar"}.get(name, name)


def pressure(gauge_pa: float) -> str:
    """Write a gauge pressure.

    >>> pressure(200_000.0)
    '29 psi (2.0 bar)'
    """
    return f"{gauge_pa / PSI:.0f} psi ({gauge_pa / 1e5:.1f} bar)"


def temperature(kelvin: float) -> str:
    """Write a temperature, to the degree.

    >>> temperature(293.15)
    '68 °F (20 °C)'
    """
    return f"{(kelvin - 273.15) * 1.8 + 32.0:.0f} °F ({kelvin - 273.15:.0f} °C)"


def sugar(mass_kg: float) -> str:
    """Write a mass of sugar.

    >>> sugar(0.112)
    '112 g (4.0 oz)'
    """
    return f"{1e3 * mass_kg:.0f} g ({mass_kg / OUNCE_KG:.1f} oz)"


def pints(volume_m3: float) -> str:
    """Write an amount to pour off, in US pints.

    >>> pints(0.0019)
    '4 pints (1.9 L)'
    """
    count = round(volume_m3 / US_PINT_M3)
    return f"{count} pint{'' if count == 1 else 's'} ({1e3 * volume_m3:.1f} L)"


def times(count: int) -> str:
    """Write how often.

    >>> times(1), times(2), times(3)
    ('once', 'twice', '3 times')
    """
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def since(when: datetime, now: datetime) -> str:
    """Since which day, by the clock of this machine: " since 10 Oct"; "" where that is today."""
    here, today = when.astimezone(), now.astimezone()
    return "" if here.date() == today.date() else f" since {date_text(here, today)}"
