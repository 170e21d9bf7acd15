"""Symbols of the single-line diagram, after ISO 14617 and ISO 10628, and ISA-5.1 tag bubbles.

Each function gives the elements of one symbol, drawn about the point it is given.
"""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.labels import LETTER, text_width

BUBBLE: Final = 11.0
TAG_SIZE: Final = 8.5
SIZE: Final = 11


def stroke(
    path: str, weight: float = theme.THIN, colour: str = theme.INK, **more: str
) -> ET.Element:
    """Draw an open or closed outline."""
    return ET.Element("path", {"d": path, "stroke": colour, "stroke-width": f"{weight:g}"} | more)


def dashed(path: str, pattern: tuple[float, ...], colour: str = theme.QUIET) -> ET.Element:
    """Draw a hairline in a pattern of dashes."""
    dashes = ",".join(f"{dash:g}" for dash in pattern)
    return stroke(path, theme.HAIRLINE, colour, **{"stroke-dasharray": dashes})


def text(
    x: float,
    y: float,
    said: str,
    anchor: str = "middle",
    size: float = SIZE,
    colour: str = theme.INK,
    numbers: bool = False,
) -> ET.Element:
    """Write a line of text with its foot at `y`."""
    look = {"x": f"{x:g}", "y": f"{y:g}", "text-anchor": anchor, "font-size": f"{size:g}"}
    look["fill"] = colour
    if numbers:
        look["font-family"] = theme.NUMBERS_FONT
    element = ET.Element("text", look)
    element.text = said
    return element


def fitted(said: str, width: float, size: float = SIZE) -> str:
    """Cut a text that is too long for its place, with an ellipsis."""
    if text_width(said, size) <= width:
        return said
    return said[: max(int(width / (LETTER * size)) - 1, 1)].rstrip() + "…"


def bubble(x: float, y: float, tag: str) -> list[ET.Element]:
    """Draw the tag of an instrument: a circle with its letters, such as PI or LI."""
    look = {"cx": f"{x:g}", "cy": f"{y:g}", "r": f"{BUBBLE:g}", "stroke-width": "1"}
    circle = ET.Element("circle", {**look, "stroke": theme.INK, "fill": theme.PAPER})
    return [circle, text(x, y + 3, tag, size=TAG_SIZE)]


def reading(x: float, y: float, tag: str, value: str, colour: str = theme.INK) -> list[ET.Element]:
    """Draw an instrument's tag with what it reads to the right."""
    return [
        *bubble(x, y, tag),
        text(x + BUBBLE + 4, y + 4, value, "start", colour=colour, numbers=True),
    ]


def vessel(x: float, top: float, width: float, height: float) -> str:
    """Outline an upright vessel with dished ends about the middle line `x`."""
    half, dish = width / 2, width / 5
    return (
        f"M{x - half:g},{top + dish:g}a{half:g},{dish:g},0,0,1,{width:g},0"
        f"v{height - 2 * dish:g}a{half:g},{dish:g},0,0,1,{-width:g},0z"
    )


def valve(x: float, y: float, half: float = 6.0) -> str:
    """Outline a valve on an upright line: two triangles, tip to tip."""
    wide = half * 0.8
    return (
        f"M{x - wide:g},{y - half:g}h{2 * wide:g}L{x:g},{y:g}z"
        f"M{x - wide:g},{y + half:g}h{2 * wide:g}L{x:g},{y:g}z"
    )


def regulator(x: float, y: float) -> list[ET.Element]:
    """Draw a pressure regulator: a valve, its diaphragm, and the line that feels the outlet."""
    dome = f"M{x - 13:g},{y - 7:g}v14a7,7,0,0,1,0,-14zM{x - 13:g},{y:g}H{x:g}"
    feel = f"M{x:g},{y - 13:g}H{x - 17:g}V{y - 6:g}"
    return [
        stroke(valve(x, y), fill=theme.PAPER),
        stroke(dome),
        dashed(feel, (2, 2), theme.INK),
    ]


def faucet(x: float, y: float) -> list[ET.Element]:
    """Draw a faucet: a valve with its handle on the line, and where the beer leaves."""
    return [
        stroke(valve(x, y), fill=theme.PAPER),
        stroke(f"M{x:g},{y:g}h10m0,-4v8"),
        stroke(f"M{x:g},{y - 6:g}v-4h-12v5m-2.500,-3l2.500,4l2.500,-4"),
    ]


def level(x: float, y: float) -> ET.Element:
    """Draw the sign for a liquid's surface: a triangle on it and two short lines below."""
    return stroke(
        f"M{x - 4:g},{y - 7:g}h8l-4,7zM{x - 4:g},{y + 2.5:g}h8M{x - 2:g},{y + 5:g}h4",
        theme.HAIRLINE,
    )
