"""Every figure that a model is held to, and how far off it Ullage is, on one axis.

Nought is the published figure, or the middle of a published range; the tint reaches as far as
ours may be off. A full mark lies within, an open one in the colour of warnings without.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree as ET

from scripts.models_page.checks import Check
from scripts.pictures.chart import WIDTH, Drawn, Picture, finished
from ullage.draw import theme
from ullage.draw.metric import fitted, width_of
from ullage.draw.plot import TICK, Plot, Range, numeral, stroke, text, tick_text, ticks
from ullage.draw.svg import Caption

SIDE: Final = 10.0
TOP: Final = 6.0
ROW: Final = 31.0
BARE_ROW: Final = 18.0
"""A row with a mark, and one of words alone: a figure that nothing is held to."""
FOOT: Final = 40.0
WORDS: Final = 13.0
BAR: Final = 8.0
MOST: Final = 2.0
"""How far the axis reaches; what lies further out stands at its end as an arrow."""
MARK: Final = 3.6


def errors(name: str, title: str, checks: Sequence[Check]) -> Picture:
    """Draw the checks of one model, in the order of their table."""
    tops, foot = [], TOP
    for one in checks:
        tops.append(foot)
        foot += BARE_ROW if one.off is None else ROW
    across = Range("off the published figure, as a share of what is allowed", -MOST, MOST)
    area = Plot(SIDE, TOP, WIDTH - 2.0 * SIDE, foot - TOP, across, Range("", 0.0, 1.0))
    drawn = [each for one, top in zip(checks, tops, strict=True) for each in _row(area, one, top)]
    caption = Caption(name, title, _described(checks))
    return finished(caption, [*drawn, *_axis(area)], foot + FOOT)


def _described(checks: Sequence[Check]) -> str:
    held = [one for one in checks if one.met is not None]
    missed = [one.what for one in held if not one.met]
    said = f"{len(held) - len(missed)} of {len(held)} figures are met."
    return said + (f" Not met: {'; '.join(missed)}." if missed else "")


def _row(area: Plot, one: Check, top: float) -> Drawn:
    """The words of a check, and below them where ours lies."""
    told = one.error if one.met is not None else f"{one.error}, not held"
    room = area.width - width_of(told, theme.NUMBER_SIZE) - 12.0
    colour = theme.WARN if one.met is False else theme.INK if one.met else theme.QUIET
    end = (area.left + area.width, top + WORDS)
    words = [
        text((area.left, top + WORDS), fitted(one.what, room, theme.NUMBER_SIZE), "start"),
        text(end, told, "end", colour=colour),
    ]
    return words if one.off is None else [*words, *_mark(area, one.off, top + WORDS + 9.0)]


def _mark(area: Plot, off: float, y: float) -> Drawn:
    """The tint of what is allowed, the published figure as an upright, ours as a mark."""
    band = f"M{area.x(-1.0):.1f},{y - BAR / 2:.1f}H{area.x(1.0):.1f}v{BAR:g}H{area.x(-1.0):.1f}z"
    upright = f"M{area.x(0.0):.1f},{y - BAR / 2:.1f}v{BAR:g}"
    ground = [stroke(band, theme.HAIRLINE, theme.TINT, fill=theme.TINT), stroke(upright)]
    return [*ground, _ours(area, off, y)]


def _ours(area: Plot, off: float, y: float) -> ET.Element:
    if abs(off) > MOST:
        way = 1.0 if off > 0 else -1.0
        tip = area.x(way * MOST)
        path = f"M{tip:.1f},{y:.1f}l{-8.0 * way:g},-4v8z"
        return stroke(path, theme.LINE, theme.WARN, fill=theme.PAPER)
    fill, edge = (theme.INK, theme.INK) if abs(off) <= 1.0 else (theme.PAPER, theme.WARN)
    place = {"cx": f"{area.x(off):.1f}", "cy": f"{y:.1f}", "r": f"{MARK:g}"}
    return ET.Element("circle", {**place, "fill": fill, "stroke": edge, "stroke-width": "1.6"})


def _axis(area: Plot) -> Drawn:
    places = [(area.x(tick), tick_text(tick)) for tick in ticks(area.across)]
    foot = area.foot + 4.0
    marks = "".join(f"M{at:.1f},{foot:.1f}v{TICK:g}" for at, _ in places)
    numbers = [numeral((at, foot + 16.0), said) for at, said in places]
    title = text((area.left + area.width / 2, foot + 31.0), area.across.title, colour=theme.QUIET)
    edge = stroke(f"M{area.left:.1f},{foot:.1f}h{area.width:.1f}")
    return [edge, stroke(marks, theme.HAIRLINE), *numbers, title]
