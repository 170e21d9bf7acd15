"""Symbols of the single-line diagram, after ISO 14617 and ISO 10628, and ISA-5.1 tag bubbles.

Each function draws one symbol about the point it is given and leaves gaps for no line: lines end
at a symbol's edge, which the constants here give.
"""

from __future__ import annotations

from typing import Final

from ullage.draw import theme
from ullage.draw.live import Estimated, Known
from ullage.draw.pen import FINE, PIPE, SOLID, TAG, Box, Pen, Stroke

BUBBLE: Final = 11.5
VALVE: Final = 6.0
CHECK: Final = 4.0
SHANK: Final = 9.0
_TINT: Final = Stroke(colour=None, fill=theme.TINT)
_OUTLINE: Final = Stroke(1.3)
_FEELER: Final = Stroke(theme.HAIRLINE, dashes=(2, 2))
_WALL_PIECE: Final = Stroke(fill=theme.PAPER)


def bubble(
    pen: Pen, x: float, y: float, letters: str, loop: int | None, known: Known | None
) -> None:
    """Draw an instrument's tag: its letters over the number of its loop.

    A circle where a person reads or sets it, a hexagon (the standard's sign for a computed
    function) where the number is worked out.
    """
    r = BUBBLE
    box = Box(x - r, y - r, x + r, y + r, letters)
    if isinstance(known, Estimated):
        pen.symbol(f"M{x - r:g},{y:g}l6,-11h11l6,11l-6,11h-11z", box)
    else:
        around = f"{r:g},{r:g},0,1,0"
        pen.symbol(f"M{x - r:g},{y:g}a{around},{2 * r:g},0a{around},{-2 * r:g},0", box)
    if loop is not None:
        _tagged(pen, x, y, letters, loop)


def _tagged(pen: Pen, x: float, y: float, letters: str, loop: int) -> None:
    """Write a bubble's letters; they belong to its box and make none of their own."""
    boxes = len(pen.boxes)
    pen.text((x, y - 0.5), letters, TAG)
    pen.text((x, y + 7.5), str(loop), TAG)
    del pen.boxes[boxes:]


def vessel(pen: Pen, box: Box, full: float | None = None) -> None:
    """Draw an upright vessel with dished ends; `full` is the share of it that holds liquid.

    Liquid is a tint up to its level, which bears the sign for a liquid's surface.
    """
    wide, x = box.right - box.left, (box.left + box.right) / 2
    half, dish = wide / 2, wide / 6
    if full is not None:
        foot, head = box.bottom - dish, box.top + dish
        y = round(foot - min(max(full, 0.0), 1.0) * (foot - head), 1)
        pen.path(
            f"M{box.left:g},{y:g}h{wide:g}V{foot:g}a{half:g},{dish:g},0,0,1,{-wide:g},0z", _TINT
        )
        pen.path(
            f"M{box.left:g},{y:g}h{wide:g}M{x - 4:g},{y - 7:g}h8l-4,7z"
            f"M{x - 5:g},{y + 2.5:g}h10M{x - 3:g},{y + 5:g}h6",
            FINE,
        )
    straight = box.bottom - box.top - 2 * dish
    bend = f"a{half:g},{dish:g},0,0,1"
    pen.symbol(
        f"M{box.left:g},{box.top + dish:g}{bend},{wide:g},0v{straight:g}{bend},{-wide:g},0z",
        box,
        _OUTLINE,
    )


def valve(pen: Pen, x: float, y: float, *, upright: bool, half: float = VALVE) -> None:
    """Draw a valve: two triangles, tip to tip along the line."""
    pen.symbol(_bow_tie(x, y, half, upright), _about(x, y, half, "valve"))


def _bow_tie(x: float, y: float, half: float, upright: bool) -> str:
    wide = half * 0.8
    if upright:
        return f"M{x - wide:g},{y - half:g}h{2 * wide:g}l{-2 * wide:g},{2 * half:g}h{2 * wide:g}z"
    return f"M{x - half:g},{y - wide:g}v{2 * wide:g}l{2 * half:g},{-2 * wide:g}v{2 * wide:g}z"


def check_valve(pen: Pen, x: float, y: float, *, down: bool) -> None:
    """Draw a check valve: the flow goes the way of the triangle, to its bar and not back.

    It stands for the poppet of a keg's gas post, which shuts when the disconnect comes off.
    """
    if down:
        path = f"M{x - 4.5:g},{y - 4:g}h9l-4.5,8zM{x - 4.5:g},{y + 4:g}h9"
    else:
        path = f"M{x - 4:g},{y - 4.5:g}v9l8,-4.5zM{x + 4:g},{y - 4.5:g}v9"
    pen.symbol(path, _about(x, y, CHECK, "check valve"))


def regulator_up(pen: Pen, x: float, y: float) -> None:
    """Draw a pressure regulator on an upright line: valve, diaphragm, and what feels the outlet."""
    pen.symbol(_bow_tie(x, y, VALVE, True), Box(x - 17, y - 6, x + 6, y + 6, "regulator"))
    pen.path(f"M{x - 11:g},{y - 6:g}v12a6,6,0,0,1,0,-12zM{x - 11:g},{y:g}h11")
    feel = Box(x - 17, y - 13, x - 1, y - 6, "regulator's feeler")
    pen.symbol(f"M{x:g},{y - 13:g}h-15v7", feel, _FEELER)


def regulator_left(pen: Pen, x: float, y: float) -> None:
    """Draw a pressure regulator on a level line that flows to the left."""
    pen.symbol(_bow_tie(x, y, VALVE, False), Box(x - 6, y - 17, x + 6, y + 5, "regulator"))
    pen.path(f"M{x - 6:g},{y - 11:g}h12a6,6,0,0,0,-12,0zM{x:g},{y - 11:g}v11")
    feel = Box(x - 13, y - 15, x - 6, y - 1, "regulator's feeler")
    pen.symbol(f"M{x - 13:g},{y:g}v-14h7.5", feel, _FEELER)


def faucet_up(pen: Pen, x: float, y: float) -> None:
    """Draw a faucet on a line from below: a valve with its handle, and where the beer leaves."""
    pen.symbol(_bow_tie(x, y, VALVE, True), Box(x - 15, y - 11, x + 11, y + 6, "faucet"))
    pen.path(f"M{x:g},{y:g}h10m0,-4v8M{x:g},{y - 6:g}v-4h-12v5m-2.5,-3l2.5,4l2.5,-4")


def faucet_right(pen: Pen, x: float, y: float) -> None:
    """Draw a faucet on a line from the left."""
    pen.symbol(_bow_tie(x, y, VALVE, False), Box(x - 6, y - 11, x + 17, y + 12, "faucet"))
    pen.path(f"M{x:g},{y:g}v-10m-4,0h8M{x + 6:g},{y:g}h8v8m-2.5,-3l2.5,4l2.5,-4")


def shank(pen: Pen, x: float, y: float, *, upright: bool) -> None:
    """Draw a shank: the piece of pipe that takes the beer through the wall, with its collars."""
    wide, high = (4.0, SHANK) if upright else (SHANK, 4.0)
    path = f"M{x - wide:g},{y - high:g}h{2 * wide:g}v{2 * high:g}h{-2 * wide:g}z"
    if upright:
        path += f"M{x - 7:g},{y - 3:g}h14M{x - 7:g},{y + 3:g}h14"
    else:
        path += f"M{x - 3:g},{y - 7:g}v14M{x + 3:g},{y - 7:g}v14"
    pen.path(path, _WALL_PIECE)


def cap(pen: Pen, x: float, y: float) -> None:
    """Draw the cap of a post or a line that leads nowhere."""
    pen.path(f"M{x - 4:g},{y:g}h8m-4,0v5", PIPE)


def post(pen: Pen, x: float, y: float) -> None:
    """Mark a keg's beer post, where the line comes on with its disconnect."""
    pen.path(f"M{x - 3.5:g},{y - 2.5:g}h7v2.5h-7z", SOLID)


def _about(x: float, y: float, half: float, what: str) -> Box:
    return Box(x - half, y - half, x + half, y + half, what)
