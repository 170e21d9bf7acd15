"""The diagram for a phone: one part below another, gas lines on the left, faucets on the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Final

from ullage.draw import theme
from ullage.draw.block import (
    CYLINDER,
    cylinder_block,
    keg_block,
    pour_texts,
    setting,
    spare_block,
    stub,
)
from ullage.draw.layout import (
    BEER_POST,
    BLOCK_HEIGHT,
    GAS_POST,
    SPARE_WIDTH,
    Cell,
    lines_of,
)
from ullage.draw.live import PartRef
from ullage.draw.pen import BEER, FINE, SMALL, WORDS, Box, Pen, Stroke
from ullage.draw.scene import Scene, when_read
from ullage.draw.symbols import (
    BUBBLE,
    CHECK,
    SHANK,
    VALVE,
    bubble,
    cap,
    check_valve,
    faucet_right,
    post,
    regulator_left,
    shank,
    valve,
)
from ullage.system.model import Keg, Place, Regulator, Tap

PHONE: Final = 390.0
EDGE: Final = 5.0
LANE: Final = 8.0
LABEL: Final = 46.0
"""Height of a place's name, which a finger can hit."""
ABOVE: Final = 26.0
"""From a cell's top to its keg: the pipes run here."""
TAP_PITCH: Final = 68.0
REGULATOR_PITCH: Final = 48.0
SPARE_HEIGHT: Final = 92.0
WALL: Final = Stroke(theme.HAIRLINE, theme.QUIET, theme.CENTRE)


@dataclass(slots=True)
class Column:
    """The one column of a narrow sheet: where its gas lines, blocks and wall stand."""

    lanes: dict[str, float]
    meets: dict[str, list[float]] = field(default_factory=dict)
    y: float = EDGE

    @property
    def left(self) -> float:
        """The left of kegs and cylinders, right of the gas lines."""
        return 18.0 + LANE * len(self.lanes)

    @property
    def wall(self) -> float:
        """The wall that the beer goes through."""
        return self.left + 222.0

    @property
    def width(self) -> float:
        """The sheet's width: a phone's, unless there are many gas lines."""
        return max(PHONE, self.wall + 122.0)

    def meet(self, name: str, y: float) -> float:
        """Note that a part meets a gas line at a height; give the line's x."""
        self.meets.setdefault(name, []).append(y)
        return self.lanes[name]


def draw_narrow(pen: Pen, scene: Scene, cells: Sequence[Cell]) -> tuple[float, float]:
    """Draw all cells below each other; give the sheet's width and height."""
    column = Column({name: EDGE + 9 + LANE * at for at, name in enumerate(lines_of(cells))})
    for name, group in groupby(cells, lambda one: one.place):
        _place(pen, scene, column, scene.system.place(name), [*group])
    _gas_lines(pen, column)
    return column.width, column.y + 4


def _place(pen: Pen, scene: Scene, column: Column, place: Place, cells: Sequence[Cell]) -> None:
    top = column.y
    right = column.wall if any(cell.taps for cell in cells) else column.width - EDGE
    _place_label(pen, scene, column, place, right)
    spare = [cell for cell in cells if cell.spare]
    for cell in cells:
        if cell.keg is None:
            _cylinder(pen, scene, column, cell)
        elif not cell.spare:
            _keg(pen, scene, column, cell, cell.keg)
    _spares(pen, scene, column, spare, right)
    bottom = column.y
    around = [(EDGE, top), (right, top), (right, bottom), (EDGE, bottom), (EDGE, top)]
    pen.line(around, WALL)
    column.y += 22


def _place_label(pen: Pen, scene: Scene, column: Column, place: Place, right: float) -> None:
    top, x = column.y, column.left
    y = top + BUBBLE + 8
    known = scene.place_temperature(place)
    hit = Box(x - 2, top, right, top + LABEL)
    with pen.part(PartRef("place", place.name), scene.place_name(place), hit):
        bubble(pen, x + BUBBLE, y, "TI", scene.loop(place), known)
        pen.line([(x + BUBBLE, top), (x + BUBBLE, y - BUBBLE)], FINE)
        room = right - x - 2 * BUBBLE - 10
        label = scene.place_label(place, room, WORDS.size)
        read = when_read(known)
        pen.text((x + 2 * BUBBLE + 5, y - 0.5 if read else y + 4), label, WORDS)
        pen.text((x + 2 * BUBBLE + 5, y + 11), read, SMALL)
    column.y = top + LABEL


def _gas_lines(pen: Pen, column: Column) -> None:
    for name, heights in column.meets.items():
        x, ys = column.lanes[name], sorted(heights)
        pen.line([(x, ys[0]), (x, ys[-1])])
        for y in ys[1:-1]:
            pen.joint(x, y)


def _keg(pen: Pen, scene: Scene, column: Column, cell: Cell, keg: Keg) -> None:
    x, y = column.left, column.y + ABOVE
    pipe = y - 12
    gas = x + GAS_POST
    if keg.regulator is not None:
        lane = column.meet(keg.regulator, pipe) if keg.regulator in column.lanes else x - 10
        check = x + 1.0
        pen.line([(lane, pipe), (check - CHECK, pipe)])
        check_valve(pen, check, pipe, down=False)
        pen.line([(check + CHECK, pipe), (gas, pipe), (gas, y + 2)])
    hit = Box(x - 3, column.y + 4, column.wall - 20, y + BLOCK_HEIGHT + 4)
    with pen.part(PartRef("keg", keg.name), scene.keg_name(keg), hit):
        if keg.regulator is None:
            cap(pen, gas, y - 3)
        keg_block(pen, scene, keg, x, y)
        if not cell.taps:
            stub(pen, x, y)
    for at, tap in enumerate(cell.taps):
        _tap(pen, scene, column, tap, (y, at))
    column.y = max(y + BLOCK_HEIGHT, column.y + 6 + TAP_PITCH * len(cell.taps)) + 10


def _tap(pen: Pen, scene: Scene, column: Column, tap: Tap, where: tuple[float, int]) -> None:
    """Draw a tap; `where`: the top of its keg's block, and how many taps stand above it."""
    keg, at = where
    first = keg - 12
    y, wall, foot = first + TAP_PITCH * at, column.wall, column.left + BEER_POST
    split = wall - 12
    hit = Box(wall - 20, y - 13, column.width - 2, y - 13 + TAP_PITCH)
    with pen.part(PartRef("tap", tap.name), scene.tap_name(tap), hit):
        if at == 0:
            post(pen, foot, keg + 0.5)
            pen.line([(foot, keg - 2), (foot, y), (wall - SHANK, y)], BEER)
        else:
            pen.line([(split, y - TAP_PITCH), (split, y), (wall - SHANK, y)], BEER)
            pen.joint(split, y - TAP_PITCH)
        shank(pen, wall, y, upright=False)
        valve_x = wall + 26
        pen.line([(wall + SHANK, y), (valve_x - VALVE, y)], BEER)
        faucet_right(pen, valve_x, y)
        pour_texts(pen, scene, tap, (wall + 10, y + 25), column.width - wall - 14)


def _cylinder(pen: Pen, scene: Scene, column: Column, cell: Cell) -> None:
    one = cell.cylinder
    assert one is not None
    x, y = column.left, column.y
    axis, riser, pipe, top = x + CYLINDER / 2, column.wall - 12, y + 8, y + 36
    box = Box(x, top, riser - 8, top + 74)
    hit = Box(x - 3, y + 12, riser - 4, box.bottom + 1)
    with pen.part(PartRef("cylinder", one.name), scene.cylinder_name(one), hit):
        cylinder_block(pen, scene, one, box)
        valve(pen, axis, top - 8, upright=True, half=5)
        pen.line([(axis, top - 3), (axis, top)])
        if not cell.regulators:
            cap(pen, axis, top - 18)
    lines = [box.bottom + 36 + REGULATOR_PITCH * at for at in range(len(cell.regulators))]
    if lines:
        out = column.wall - 36 + VALVE
        pen.line(
            [(axis, top - 13), (axis, pipe), (riser, pipe), (riser, lines[-1]), (out, lines[-1])]
        )
    for at, (regulator, line) in enumerate(zip(cell.regulators, lines, strict=True)):
        if at < len(lines) - 1:
            pen.joint(riser, line)
            pen.line([(riser, line), (column.wall - 36 + VALVE, line)])
        _regulator(pen, scene, column, regulator, line)
    column.y = (lines[-1] + 12 if lines else box.bottom) + 10


def _regulator(pen: Pen, scene: Scene, column: Column, one: Regulator, y: float) -> None:
    x = column.wall - 36
    if one.name in column.lanes:
        end = column.meet(one.name, y)
    else:
        end = column.left
        pen.path(f"M{end:g},{y - 4:g}v8")
    pen.line([(x - VALVE, y), (end, y)])
    hit = Box(column.left - 3, y - 34, column.wall - 18, y + 12)
    with pen.part(PartRef("regulator", one.name), scene.regulator_name(one), hit):
        regulator_left(pen, x, y)
        tag = column.left + BUBBLE
        pen.line([(tag, y - 17 + BUBBLE), (tag, y)], FINE)
        setting(pen, scene, one, (tag, y - 17), x - 20 - tag - BUBBLE)


def _spares(pen: Pen, scene: Scene, column: Column, cells: Sequence[Cell], right: float) -> None:
    """Draw the kegs that wait, as many side by side as there is room for."""
    side_by_side = max(int((right - column.left) // SPARE_WIDTH), 1)
    for at, cell in enumerate(cells):
        assert cell.keg is not None
        x = column.left + SPARE_WIDTH * (at % side_by_side)
        y = column.y + SPARE_HEIGHT * (at // side_by_side)
        hit = Box(x - 2, y, x + SPARE_WIDTH - 4, y + SPARE_HEIGHT - 2)
        with pen.part(PartRef("keg", cell.keg.name), scene.keg_name(cell.keg), hit):
            spare_block(pen, cell.keg, x, y, SPARE_HEIGHT - 6)
    column.y += SPARE_HEIGHT * -(-len(cells) // side_by_side) + (4 if cells else 0)
