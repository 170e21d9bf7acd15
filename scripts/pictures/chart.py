"""Lines and points on two axes, with the words beside them, for a picture in a document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.plot import TICK, Plot, Range, numeral, stroke, text, tick_text, ticks
from ullage.draw.svg import Caption, sheet

Points: TypeAlias = Sequence[tuple[float, float]]
Drawn: TypeAlias = list[ET.Element]
Places: TypeAlias = Sequence[tuple[float, str]]
"""Where a tick stands on an axis, and what is written at it."""

WIDTH: Final = 420.0
HEIGHT: Final = 280.0
LEFT: Final = 52.0
RIGHT: Final = 16.0
TOP: Final = 16.0
FOOT: Final = 40.0
DOT: Final = 3.4


@dataclass(frozen=True, slots=True)
class Picture:
    """A finished picture: the name of its file, what it is, what it shows, and the SVG."""

    name: str
    title: str
    told: str
    svg: str


def plot(across: Range, up: Range, right: float = RIGHT, left: float = LEFT) -> Plot:
    """A plot area of the usual size; pixels on its right for names, on its left for numbers."""
    return Plot(left, TOP, WIDTH - left - right, HEIGHT - TOP - FOOT, across, up)


def round_places(axis: Range) -> list[tuple[float, str]]:
    """Round numbers along an axis."""
    return [(tick, tick_text(tick)) for tick in ticks(axis)]


def axes(area: Plot, across: Places | None = None, up: Places | None = None) -> Drawn:
    """Both axes; their ticks at round numbers unless told otherwise."""
    below = round_places(area.across) if across is None else across
    beside = round_places(area.up) if up is None else up
    foot, middle = area.foot, area.top + area.height / 2.0
    marks = "".join(f"M{area.x(at):.1f},{foot:.1f}v{TICK:g}" for at, _ in below)
    marks += "".join(f"M{area.left:.1f},{area.y(at):.1f}h{-TICK:g}" for at, _ in beside)
    edges = f"M{area.left:.1f},{area.top:.1f}V{foot:.1f}h{area.width:.1f}"
    title = text((11.0, middle), area.up.title, colour=theme.QUIET)
    title.set("transform", f"rotate(-90,11,{middle:.1f})")
    across_at = (area.left + area.width / 2.0, foot + 32.0)
    return [
        stroke(edges),
        stroke(marks, theme.HAIRLINE),
        *(numeral((area.x(at), foot + 16.0), said) for at, said in below),
        *(numeral((area.left - 7.0, area.y(at) + 4.0), said, "end") for at, said in beside),
        text(across_at, area.across.title, colour=theme.QUIET),
        title,
    ]


def curve(area: Plot, points: Points, dashes: Sequence[float] = (), weight: float = 0.0) -> Drawn:
    """A line of Ullage's, solid unless told otherwise."""
    pattern = {"stroke-dasharray": ",".join(f"{one:g}" for one in dashes)} if dashes else {}
    return [stroke(area.line(points), weight or theme.LINE, **pattern)]


def level(area: Plot, shown: float, said: str) -> Drawn:
    """A hairline right across at a height, with its name over its right end."""
    y = area.y(shown)
    path = f"M{area.left:.1f},{y:.1f}h{area.width:.1f}"
    dashes = {"stroke-dasharray": ",".join(f"{one:g}" for one in theme.LONG_SHORT)}
    name = text((area.left + area.width, y - 4.0), said, "end", colour=theme.QUIET)
    return [stroke(path, theme.HAIRLINE, theme.QUIET, **dashes), name]


def dots(area: Plot, points: Points, fill: str = theme.PAPER) -> Drawn:
    """Published figures, as small rings; filled ones are held to nothing."""
    return [
        ET.Element(
            "circle",
            {
                **{"cx": f"{area.x(x):.1f}", "cy": f"{area.y(y):.1f}", "r": f"{DOT:g}"},
                **{"fill": fill, "stroke": theme.INK, "stroke-width": "1.2"},
            },
        )
        for x, y in points
    ]


def upright_bars(area: Plot, points: Points, share: float) -> Drawn:
    """How far off a figure ours may be: a share of it, up and down."""
    path = "".join(
        f"M{area.x(x):.1f},{area.y(y * (1.0 + share)):.1f}V{area.y(y * (1.0 - share)):.1f}"
        for x, y in points
    )
    return [stroke(path, 5.0, theme.HAIR)]


def level_bar(area: Plot, low: float, high: float, at: float) -> Drawn:
    """What is said of a time: from when to when it may be, at a level."""
    return [stroke(f"M{area.x(low):.1f},{area.y(at):.1f}H{area.x(high):.1f}", 5.0, theme.HAIR)]


def name(area: Plot, at: tuple[float, float], said: str, anchor: str = "start") -> Drawn:
    """A word at a place given in the axes' numbers."""
    shift = {"start": 6.0, "end": -6.0, "middle": 0.0}[anchor]
    return [text((area.x(at[0]) + shift, area.y(at[1]) + 4.0), said, anchor)]


def finished(caption: Caption, body: Drawn, height: float = HEIGHT) -> Picture:
    """A picture that stands alone, under the name that its caption's ids begin with."""
    svg = sheet(WIDTH, height, caption, body, standalone=True)
    return Picture(caption.prefix, caption.title, caption.description, svg + "\n")
