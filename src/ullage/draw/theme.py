"""One theme for every picture: ink roles, type, line weights, and how a role becomes a colour.

A picture is drawn once in the colours of paper. Standing alone it keeps them. Inside a page each
colour gives way to a class that names its role, so that the page's own light, dark and print
themes ink the picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Literal

from ullage.plan.spoken import date_text
from ullage.units import UnitSystem, from_unit

Role = Literal["ink", "quiet", "hair", "tint", "paper", "accent", "warn", "danger"]

PAPER_COLOURS: Final[dict[Role, str]] = {
    "ink": "#17222d",
    "quiet": "#4d5965",
    "hair": "#a9b0b5",
    "tint": "#dfe3e3",
    "paper": "#fbfaf5",
    "accent": "#0a5a9c",
    "warn": "#8a5200",
    "danger": "#a51d1d",
}
INK = PAPER_COLOURS["ink"]
QUIET = PAPER_COLOURS["quiet"]
HAIR = PAPER_COLOURS["hair"]
TINT = PAPER_COLOURS["tint"]
PAPER = PAPER_COLOURS["paper"]
ACCENT = PAPER_COLOURS["accent"]
WARN = PAPER_COLOURS["warn"]

# A fill in this colour stands for hatching; it is no ink of its own.
HATCH: Final = "#fefefe"

WORDS_FONT: Final = "B612, sans-serif"
NUMBERS_FONT: Final = "B612 Mono, B612, monospace"
TEXT_SIZE: Final = 12
NUMBER_SIZE: Final = 11

HAIRLINE: Final = 0.6
THIN: Final = 1.0
LINE: Final = 1.6

# Line patterns as on drawings: dashes for plans, long-short for limits and centre lines.
DASHED: Final = (7, 4)
DOTTED: Final = (1.6, 3.2)
LONG_SHORT: Final = (11, 3, 2, 3)
CENTRE: Final = (14, 3, 3, 3)

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class Scale:
    """How an axis shows an SI number: `shown = si / divisor`, with the unit's sign."""

    divisor: float
    sign: str

    def of(self, value: float) -> float:
        """Give the number to show for an SI value."""
        return value / self.divisor


def pressure_scale(units: UnitSystem) -> Scale:
    """Scale for gauge pressures on an axis: psi, or bar in a metric household."""
    sign = "psi" if units == "us" else "bar"
    return Scale(from_unit(1.0, sign), sign)


def length_scale(units: UnitSystem) -> Scale:
    """Scale for lengths of line on an axis: feet, or metres."""
    sign = "ft" if units == "us" else "m"
    return Scale(from_unit(1.0, sign), sign)


def carbonation_scale(units: UnitSystem) -> Scale:
    """Scale for how much CO2 a beer holds: volumes, or grams per litre in a metric household."""
    if units == "us":
        return Scale(1.0, "volumes of CO2")
    return Scale(from_unit(1.0, "g/L"), "CO2, g/L")


def day_text(when: datetime, beside: datetime | None = None) -> str:
    """Write a day as it stands on a drawing, in any locale: "Thu 3 Dec".

    With its year where it is not that of `beside`, the moment at which it is read.
    """
    return f"{DAYS[when.weekday()]} {date_text(when, beside)}"


def local_day(when: datetime, beside: datetime | None = None) -> str:
    """A day by this machine's clock, as it stands on a drawing; its year as `day_text` has it."""
    return day_text(when.astimezone(), beside)


def chart_config() -> dict[str, Any]:
    """Give the Vega-Lite `config` that makes any chart part of the drawing."""
    axis = {
        "domainColor": INK,
        "domainWidth": THIN,
        "tickColor": INK,
        "tickWidth": HAIRLINE,
        "tickSize": 4,
        "grid": False,
        "labelFont": NUMBERS_FONT,
        "labelFontSize": NUMBER_SIZE,
        "labelColor": INK,
        "labelPadding": 3,
        "titleFont": WORDS_FONT,
        "titleFontSize": NUMBER_SIZE,
        "titleFontWeight": "normal",
        "titleColor": QUIET,
    }
    return {
        "aria": False,
        "background": None,
        "padding": {"left": 3, "top": 3, "right": 10, "bottom": 4},
        "view": {"stroke": None, "clip": False},
        "axis": axis,
        "text": {"font": WORDS_FONT, "fontSize": TEXT_SIZE, "color": INK},
        "line": {"color": INK, "strokeWidth": LINE},
        "rule": {"color": INK, "strokeWidth": HAIRLINE},
    }
