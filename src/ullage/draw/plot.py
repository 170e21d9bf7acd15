"""A plot area drawn by hand: where a number lies on it, and its two axes.

For pictures that are drawn anew at every keystroke, where a charting engine would take longer than
the answer itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme

TICK: Final = 4.0
STEPS: Final = (1.0, 2.0, 5.0, 10.0)


def stroke(
    path: str, weight: float = theme.THIN, colour: str = theme.INK, **more: str
) -> ET.Element:
    """Draw an outline, open or closed; `more` may give it a `fill` or a pattern of dashes."""
    return ET.Element("path", {"d": path, "stroke": colour, "stroke-width": f"{weight:g}"} | more)


def text(
    at: tuple[float, float],
    said: str,
    anchor: str = "middle",
    size: float = theme.NUMBER_SIZE,
    colour: str = theme.INK,
) -> ET.Element:
    """Write a line of text with its foot at `at`."""
    look = {"x": f"{at[0]:.1f}", "y": f"{at[1]:.1f}", "text-anchor": anchor}
    element = ET.Element("text", {**look, "font-size": f"{size:g}", "fill": colour})
    element.text = said
    return element


def numeral(
    at: tuple[float, float],
    said: str,
    anchor: str = "middle",
    size: float = theme.NUMBER_SIZE,
    colour: str = theme.INK,
) -> ET.Element:
    """Write a number as `text` does, in figures that are all as wide."""
    element = text(at, said, anchor, size, colour)
    element.set("font-family", theme.NUMBERS_FONT)
    return element


@dataclass(frozen=True, slots=True)
class Range:
    """An axis: from `low` to `high` in the numbers that it shows, with about `ticks` ticks."""

    title: str
    low: float
    high: float
    ticks: int = 5


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot area with its upper left corner at (`left`, `top`), in pixels."""

    left: float
    top: float
    width: float
    height: float
    across: Range
    up: Range

    def x(self, shown: float) -> float:
        """Pixels from the picture's left edge."""
        share = (shown - self.across.low) / (self.across.high - self.across.low)
        return self.left + share * self.width

    def y(self, shown: float) -> float:
        """Pixels from the picture's top edge."""
        share = (self.up.high - shown) / (self.up.high - self.up.low)
        return self.top + share * self.height

    @property
    def foot(self) -> float:
        """Where the plot area ends, in pixels from the top."""
        return self.top + self.height

    def line(self, points: Sequence[tuple[float, float]]) -> str:
        """Write a path through points given in the axes' own numbers."""
        return "M" + "L".join(f"{self.x(x):.1f},{self.y(y):.1f}" for x, y in points)

    def axes(self) -> list[ET.Element]:
        """Draw both axes with ticks, numbers and titles."""
        return [*self._bottom(), *self._side()]

    def _bottom(self) -> list[ET.Element]:
        places = [(self.x(tick), tick_text(tick)) for tick in ticks(self.across)]
        marks = "".join(f"M{at:.1f},{self.foot:.1f}v{TICK:g}" for at, _ in places)
        numbers = [numeral((at, self.foot + 16), said) for at, said in places]
        middle = (self.left + self.width / 2, self.foot + 31)
        title = text(middle, self.across.title, colour=theme.QUIET)
        edge = f"M{self.left:.1f},{self.foot:.1f}h{self.width:.1f}"
        return [stroke(edge), stroke(marks, theme.HAIRLINE), *numbers, title]

    def _side(self) -> list[ET.Element]:
        places = [(self.y(tick), tick_text(tick)) for tick in ticks(self.up)]
        marks = "".join(f"M{self.left:.1f},{at:.1f}h{-TICK:g}" for at, _ in places)
        numbers = [numeral((self.left - 7, at + 4), said, "end") for at, said in places]
        middle = self.top + self.height / 2
        title = text((10, middle), self.up.title, colour=theme.QUIET)
        title.set("transform", f"rotate(-90,10,{middle:.1f})")
        edge = f"M{self.left:.1f},{self.top:.1f}v{self.height:.1f}"
        return [stroke(edge), stroke(marks, theme.HAIRLINE), *numbers, title]


def ticks(axis: Range) -> list[float]:
    """Choose round numbers along an axis, at most about as many as it wants.

    >>> ticks(Range("feet", 0.0, 10.6, ticks=6))
    [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]
    """
    rough = (axis.high - axis.low) / axis.ticks
    size = 10.0 ** floor(log10(rough))
    step = next(size * one for one in STEPS if size * one >= rough * (1.0 - 1e-9))
    first, last = ceil(axis.low / step - 1e-9), floor(axis.high / step + 1e-9)
    return [round(step * i, 6) + 0.0 for i in range(first, last + 1)]


def tick_text(value: float) -> str:
    """Write a tick's number without needless zeros.

    >>> tick_text(10.0), tick_text(0.4)
    ('10', '0.4')
    """
    return f"{value:.3f}".rstrip("0").rstrip(".")
