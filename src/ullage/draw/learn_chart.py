"""One constant as a band on its own scale: what anybody's may be, and what the readings left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.constant_words import heading
from ullage.draw.learn_words import Shown, shown
from ullage.draw.metric import width_of
from ullage.draw.plot import numeral, stroke
from ullage.draw.svg import Caption, sheet, slug
from ullage.plan.learn_answer import ConstantLearnt
from ullage.units import UnitSystem

WIDTH: Final = 360.0
HEIGHT: Final = 60.0
SIDE: Final = 8.0
TOP: Final = 20.0
THICK: Final = 16.0
MARGIN: Final = 0.06
"""Free scale on each side, as a share of what is shown."""
SIZE: Final = 11.0


def constant_band(one: ConstantLearnt, units: UnitSystem, *, standalone: bool = False) -> str:
    """The picture of one constant, as SVG; 360 pixels wide and as wide as the page gives it."""
    how = shown(one.constant, units)
    caption = Caption(
        f"c-{slug(one.name)}",
        heading(one.constant, one.about),
        f"Before {how.span(one.before)}, now {how.span(one.after)}, most likely "
        f"{how.amount(one.after.value)}.",
    )
    return sheet(WIDTH, HEIGHT, caption, list(_drawn(one, how)), standalone)


def _drawn(one: ConstantLearnt, how: Shown) -> Iterator[ET.Element]:
    ends = [one.before.low, one.before.high, one.after.low, one.after.high]
    if one.kept is not None:
        ends += [one.kept.low, one.kept.high]
    low, high = min(ends), max(ends)
    margin = MARGIN * (high - low)
    low, high = low - margin, high + margin

    def x(value: float) -> float:
        return SIDE + (WIDTH - 2 * SIDE) * (value - low) / (high - low)

    foot = TOP + THICK
    yield _bar(x(one.before.low), x(one.before.high), theme.TINT)
    yield _bar(x(one.after.low), x(one.after.high), theme.HAIR)
    yield stroke(f"M{SIDE:.1f},{foot:.1f}H{WIDTH - SIDE:.1f}", theme.HAIRLINE)
    yield stroke(f"M{x(one.after.value):.1f},{TOP - 3:.1f}V{foot:.1f}", theme.LINE)
    yield _label(x(one.after.value), TOP - 7, how.span(one.after), theme.INK)
    yield from _ends(one, how, x(one.before.low), x(one.before.high))
    if one.kept is not None:
        at = x(one.kept.value)
        yield stroke(f"M{at:.1f},{foot:.1f}l-4,7h8z", theme.THIN, fill=theme.INK)


def _ends(one: ConstantLearnt, how: Shown, left: float, right: float) -> Iterator[ET.Element]:
    """The ends of what anybody's may be, below them."""
    foot = TOP + THICK + 20
    yield _label(left, foot, how.number(one.before.low), theme.QUIET)
    yield _label(right, foot, how.number(one.before.high), theme.QUIET)


def _bar(left: float, right: float, colour: str) -> ET.Element:
    size = {"x": f"{left:.1f}", "y": f"{TOP:.1f}", "height": f"{THICK:.1f}"}
    return ET.Element("rect", {**size, "width": f"{max(right - left, 1.0):.1f}", "fill": colour})


def _label(at: float, foot: float, said: str, colour: str) -> ET.Element:
    """A number centred on its place, as far as it stays on the sheet."""
    half = 0.5 * width_of(said, SIZE, True)
    clear = min(max(at, half + 1.0), WIDTH - half - 1.0)
    return numeral((clear, foot), said, "middle", SIZE, colour)
