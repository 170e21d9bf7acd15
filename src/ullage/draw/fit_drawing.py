"""The layout of a fridge as a drawing: plan and elevation to scale, with dimensions.

One unit of the drawing is 1/96 in on paper, so that a file printed at its own size has the scale
that it names. Every middle is marked: measured from the front left corner, circles can be taped to
the floor from it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from ullage.draw import theme
from ullage.draw.fit_words import spot_rows, tape
from ullage.draw.live import PartRef
from ullage.draw.metric import width_of
from ullage.draw.pen import SMALL, WORDS, Box, Pen, Stroke, Type
from ullage.draw.svg import Caption, Size, named
from ullage.plan.fit_answer import FitAnswer, Room, Standing
from ullage.units import UnitSystem

PIXELS_IN_M: Final = 96.0 / 0.0254
SCALES: Final = (10, 20, 50, 100)
WIDEST: Final = 560.0
LEFT: Final = 46.0
RIGHT: Final = 92.0
TOP: Final = 40.0
BETWEEN: Final = 92.0
FOOT: Final = 62.0
ROW: Final = 17.0
MARK: Final = 5.0
NOWHERE: Final = Box(0.0, 0.0, 0.0, 0.0)
COLUMNS: Final = (0.0, 92.0, 178.0, 264.0, 340.0, 390.0)
HEADS: Final = ("", "from left", "from front", "across", "on", "needs up to")

WALL: Final = Stroke(theme.LINE)
ROUND: Final = Stroke(theme.THIN, fill=theme.PAPER)
AHEAD: Final = Stroke(theme.HAIRLINE, dashes=theme.DASHED)
RAISED: Final = Stroke(theme.THIN, fill=theme.TINT)
FINE: Final = Stroke(theme.HAIRLINE)
NAME: Final = Type(11.0, anchor="middle")
FIGURE: Final = Type(10.0, numbers=True)
IN_MIDDLE: Final = Type(10.0, anchor="middle", numbers=True)
SMALL_NAME: Final = Type(8.5, anchor="middle")
SIDE: Final = Type(9.5, theme.QUIET, anchor="middle")
CELL: Final = Type(9.5, numbers=True)


@dataclass(frozen=True, slots=True)
class _View:
    """A view on the sheet: where its lower left corner is, in pixels, and its scale."""

    left: float
    foot: float
    scale: float

    def x(self, across_m: float) -> float:
        return self.left + self.scale * across_m

    def y(self, up_m: float) -> float:
        return self.foot - self.scale * up_m


def scale_of(room: Room) -> int:
    """The scale that a room is drawn at: 10 for 1:10."""
    widths = ((one, room.width_m * PIXELS_IN_M / one) for one in SCALES)
    return next((one for one, width in widths if width <= WIDEST), SCALES[-1])


def fit_drawing(
    answer: FitAnswer,
    standing: Sequence[Standing],
    units: UnitSystem,
    *,
    prefix: str = "fit",
    standalone: bool = False,
) -> str:
    """Draw a room and what stands in it as SVG: from above, and from the front.

    `standing` is the answer's own, or that of the most that stand. Standing alone, in colours and
    in paper's size, it carries the table of the middles too.
    """
    room, scale = answer.room, scale_of(answer.room)
    pixels = PIXELS_IN_M / scale
    plan = _View(LEFT, TOP + room.depth_m * pixels, pixels)
    elevation = _View(LEFT, plan.foot + BETWEEN + _high(room, standing) * pixels, pixels)
    pen = Pen()
    _plan(pen, plan, room, standing, units)
    _elevation(pen, elevation, room, standing, units)
    width = max(LEFT + room.width_m * pixels + RIGHT, 390.0)
    height = elevation.foot + FOOT
    pen.text((LEFT, height - 12), f"Scale 1:{scale}, printed at its own size", SMALL)
    if standalone:
        height = _table(pen, height + 12, standing, units)
        width = max(width, COLUMNS[-1] + LEFT + 80.0)
    caption = Caption(prefix, f"{answer.place}: plan and elevation", _described(standing, units))
    body = pen.svg(standalone=standalone)
    return named(
        Size(width, height, 1.0 if standalone else 1.4), caption, body, standalone=standalone
    )


def _high(room: Room, standing: Sequence[Standing]) -> float:
    return max([room.rim_m, room.height_m, *(one.foot_m + one.height_m for one in standing)])


def _plan(
    pen: Pen, view: _View, room: Room, standing: Sequence[Standing], units: UnitSystem
) -> None:
    left, right = view.x(0.0), view.x(room.width_m)
    top, foot = view.y(room.depth_m), view.y(0.0)
    pen.text((left, top - 24), "Plan, from above", WORDS)
    if room.step is not None:
        one = room.step
        pen.path(_box(view, one.left_m, one.front_m, one.right_m, one.back_m), RAISED)
    pen.path(_box(view, 0.0, 0.0, room.width_m, room.depth_m), WALL)
    if room.front_m > 0.0:
        pen.path(f"M{left:.2f},{view.y(room.front_m):.2f}H{right:.2f}", AHEAD)
        pen.text((left + 4, view.y(room.front_m) - 3), "the shut door reaches to here", SMALL)
    for thing in standing:
        with _part(pen, "from above", thing):
            _circle(pen, view, thing, units)
    for thing in standing:
        _head(pen, view, thing)
    pen.text(((left + right) / 2, foot + 13), _front(room, units), SIDE)
    _across(pen, left, right, foot + 26, tape(room.width_m, units))
    _upright(pen, right + 14, top, foot, tape(room.depth_m, units))


def _front(room: Room, units: UnitSystem) -> str:
    door = "front: the door" if room.opens == "front" else "front, the lid above"
    return door if room.step is None else f"{door}; shaded: step {tape(room.step.height_m, units)}"


def _circle(pen: Pen, view: _View, thing: Standing, units: UnitSystem) -> None:
    x, y = view.x(thing.x_m), view.y(thing.y_m)
    r = 0.5 * thing.diameter_m * view.scale
    pen.path(_ring(x, y, r), ROUND)
    pen.path(_cross(x, y, r), FINE)
    look = NAME if width_of(thing.name, NAME.size) < 1.6 * r else SMALL_NAME
    pen.text((x, y - 9), thing.name, look, 1.7 * r)
    pen.text((x, y + 17), tape(thing.diameter_m, units), IN_MIDDLE, 1.7 * r)


def _cross(x: float, y: float, r: float) -> str:
    """Mark a middle, and where its centre lines leave the circle."""
    short, out = MARK, r - MARK / 2
    return (
        f"M{x - short:.2f},{y:.2f}h{2 * short:.2f}M{x:.2f},{y - short:.2f}v{2 * short:.2f}"
        f"M{x - out - MARK:.2f},{y:.2f}h{MARK:.2f}M{x + out:.2f},{y:.2f}h{MARK:.2f}"
        f"M{x:.2f},{y - out - MARK:.2f}v{MARK:.2f}M{x:.2f},{y + out:.2f}v{MARK:.2f}"
    )


def _head(pen: Pen, view: _View, thing: Standing) -> None:
    if thing.head is not None:
        head = thing.head
        pen.path(_ring(view.x(head.x_m), view.y(head.y_m), head.radius_m * view.scale), AHEAD)


def _elevation(
    pen: Pen, view: _View, room: Room, standing: Sequence[Standing], units: UnitSystem
) -> None:
    left, right, foot = view.x(0.0), view.x(room.width_m), view.y(0.0)
    top = view.y(room.rim_m)
    pen.text((left, view.y(_high(room, standing)) - 24), "Elevation, from the front", WORDS)
    if room.step is not None:
        one = room.step
        pen.path(_box(view, one.left_m, 0.0, one.right_m, one.height_m), RAISED)
    deepest_first = sorted(standing, key=lambda one: -one.y_m)
    for at, thing in enumerate(deepest_first):
        with _part(pen, "from the front", thing):
            _side(pen, view, thing)
            _label(pen, view, thing, deepest_first[at + 1 :])
    pen.path(f"M{left:.2f},{top:.2f}V{foot:.2f}H{right:.2f}V{top:.2f}", WALL)
    pen.path(f"M{left:.2f},{top:.2f}H{right:.2f}", WALL if room.opens == "front" else AHEAD)
    if room.height_m < room.rim_m:
        pen.path(f"M{left:.2f},{view.y(room.height_m):.2f}H{right:.2f}", FINE)
        pen.text((left + 4, view.y(room.height_m) - 3), "shelf", SMALL)
    _upright(pen, right + 14, view.y(room.height_m), foot, tape(room.height_m, units))
    _heights(pen, view, standing, units)


def _side(pen: Pen, view: _View, thing: Standing) -> None:
    """One thing from the front: itself, and dashed what it needs above."""
    half, low, high = 0.5 * thing.diameter_m, thing.foot_m, thing.foot_m + thing.height_m
    pen.path(_box(view, thing.x_m - half, low, thing.x_m + half, high), ROUND)
    if thing.head is None:
        x, wide = view.x(thing.x_m - half), thing.diameter_m * view.scale
        pen.path(
            f"M{x:.2f},{view.y(high):.2f}V{view.y(thing.top_m):.2f}h{wide:.2f}V{view.y(high):.2f}",
            AHEAD,
        )
    else:
        head = thing.head
        sides = (head.x_m - head.radius_m, head.low_m, head.x_m + head.radius_m, head.high_m)
        pen.path(_box(view, *sides), AHEAD)


def _label(pen: Pen, view: _View, thing: Standing, before: Sequence[Standing]) -> None:
    """Name a thing where the most of it is seen past those that stand before it."""
    half = 0.5 * thing.diameter_m
    edges = {thing.x_m - half, thing.x_m + half}
    sides = [(one.x_m - 0.5 * one.diameter_m, one.x_m + 0.5 * one.diameter_m) for one in before]
    edges |= {one for side in sides for one in side if abs(one - thing.x_m) < half}
    seen = [
        (high - low, 0.5 * (low + high))
        for low, high in pairwise(sorted(edges))
        if not any(side[0] < 0.5 * (low + high) < side[1] for side in sides)
    ]
    top = thing.foot_m + thing.height_m
    if not seen and all(one.foot_m + one.height_m < top for one in before):
        pen.text((view.x(thing.x_m), view.y(top) + 16), thing.name, NAME)
    if not seen:
        return
    wide, middle = max(seen)
    if width_of(thing.name, NAME.size) < wide * view.scale:
        pen.text((view.x(middle), view.y(thing.foot_m) - 8), thing.name, NAME)


@contextmanager
def _part(pen: Pen, seen: str, thing: Standing) -> Iterator[None]:
    """Draw one thing over those before it; it is called by its name."""
    with pen.part(PartRef(thing.sort, f"{seen}: {thing.name}"), thing.name, NOWHERE):
        yield


def _heights(pen: Pen, view: _View, standing: Sequence[Standing], units: UnitSystem) -> None:
    """The tallest need, left of the elevation."""
    if not standing:
        return
    tallest = max(standing, key=lambda one: one.top_m)
    foot, top = view.y(0.0), view.y(tallest.top_m)
    x = view.left - 10
    pen.line([(x, foot), (x, top)], FINE)
    pen.path(_tick(x, foot) + _tick(x, top), FINE)
    said = f"{tallest.name} needs {tape(tallest.top_m, units)} with what is on top of it"
    pen.text((view.left, foot + 15), said, SMALL)


def _across(pen: Pen, left: float, right: float, y: float, said: str) -> None:
    """A dimension from left to right."""
    pen.line([(left, y), (right, y)], FINE)
    pen.path(_tick(left, y) + _tick(right, y), FINE)
    pen.text(((left + right) / 2, y + 13), said, IN_MIDDLE)


def _upright(pen: Pen, x: float, top: float, foot: float, said: str) -> None:
    """A dimension from foot to top."""
    pen.line([(x, top), (x, foot)], FINE)
    pen.path(_tick(x, top) + _tick(x, foot), FINE)
    pen.text((x + 6, (top + foot) / 2 + 3), said, FIGURE)


def _tick(x: float, y: float) -> str:
    return f"M{x - 3:.2f},{y + 3:.2f}l6,-6"


def _table(pen: Pen, top: float, standing: Sequence[Standing], units: UnitSystem) -> float:
    """The middles, measured from the front left corner; give the sheet's height with it."""
    pen.text((LEFT, top), "Middles, from the front left corner of the floor", WORDS)
    y = top + ROW + 2
    for column, said in zip(COLUMNS, HEADS, strict=True):
        pen.text((LEFT + column, y), said, SMALL)
    for row in spot_rows(tuple(standing), units):
        y += ROW
        for column, said in zip(COLUMNS, row, strict=True):
            pen.text((LEFT + column, y), said, CELL if column else Type(11.0), 84.0)
    return y + 16


def _box(view: _View, left: float, low: float, right: float, high: float) -> str:
    return (
        f"M{view.x(left):.2f},{view.y(low):.2f}H{view.x(right):.2f}"
        f"V{view.y(high):.2f}H{view.x(left):.2f}z"
    )


def _ring(x: float, y: float, r: float) -> str:
    half = f"a{r:.2f},{r:.2f},0,1,0"
    return f"M{x - r:.2f},{y:.2f}{half},{2 * r:.2f},0{half},{-2 * r:.2f},0z"


def _described(standing: Sequence[Standing], units: UnitSystem) -> str:
    if not standing:
        return "Nothing stands in it."
    said = (
        f"{one.name} {tape(one.x_m, units)} from the left and {tape(one.y_m, units)} from the front"
        f"{', on the step' if one.foot_m > 0.0 else ''}"
        for one in standing
    )
    return f"{'; '.join(said)}."
