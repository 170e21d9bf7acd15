"""The diagram for a desk and for paper: faucets on top, gas lines beneath them, kegs in rows."""

from __future__ import annotations

from collections.abc import Iterator
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
    INSET,
    REGULATOR_PITCH,
    SPARE_WIDTH,
    TAP_PITCH,
    Outline,
    Placed,
    Row,
    WideLayout,
)
from ullage.draw.live import PartRef
from ullage.draw.metric import fitted, width_of
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
    faucet_up,
    post,
    regulator_up,
    shank,
    valve,
)
from ullage.system.model import Keg, Regulator, Tap

WALL: Final = Stroke(theme.HAIRLINE, theme.QUIET, theme.CENTRE)
GOES_ON: Final = ", continued"
FAUCET: Final = 33.0
"""How far above its wall a faucet stands."""
OUTLET: Final = 13.0
"""How far below the top of the kegs' blocks a regulator stands."""


def draw_wide(pen: Pen, scene: Scene, layout: WideLayout) -> None:
    """Draw all rows of a wide sheet."""
    _gas_lines(pen, layout)
    for row in layout.rows:
        for outline in row.outlines():
            _place(pen, scene, outline)
        for placed in row.placed:
            _cell(pen, scene, row, placed)


def _place(pen: Pen, scene: Scene, outline: Outline) -> None:
    corners = [(outline.left, outline.top), (outline.right, outline.top)]
    pen.line([*corners, (outline.right, outline.bottom)], WALL)
    tag = outline.left + 20
    pen.line([(outline.left, outline.top), (outline.left, outline.bottom)], WALL)
    if not outline.first:
        pen.line([(outline.left, outline.bottom), (outline.right, outline.bottom)], WALL)
        room = outline.right - outline.left - 16 - width_of(GOES_ON, SMALL.size)
        said = fitted(outline.place, room, SMALL.size) + GOES_ON
        pen.text((outline.left + INSET, outline.bottom - 6), said, SMALL)
        return
    pen.line([(outline.left, outline.bottom), (tag - BUBBLE, outline.bottom)], WALL)
    pen.line([(tag + BUBBLE, outline.bottom), (outline.right, outline.bottom)], WALL)
    place = scene.system.place(outline.place)
    known = scene.place_temperature(place)
    hit = Box(outline.left, outline.bottom - 24, outline.right, outline.bottom + 14)
    with pen.part(PartRef("place", place.name), scene.place_name(place), hit):
        bubble(pen, tag, outline.bottom, "TI", scene.loop(place), known)
        x, room = tag + BUBBLE + 5, outline.right - tag - BUBBLE - 10
        label = scene.place_label(place, room, WORDS.size)
        pen.text((x, outline.bottom - 6), label, WORDS)
        pen.text((x, outline.bottom + 12), when_read(known), SMALL)


def _gas_lines(pen: Pen, layout: WideLayout) -> None:
    """Draw each regulator's line along its rows, and the riser that joins them."""
    for name in {name: None for row in layout.rows for name in row.lanes}:
        heights = [row.lanes[name] for row in layout.rows if name in row.lanes]
        riser = layout.risers.get(name)
        for row in layout.rows:
            if name not in row.lanes:
                continue
            y, meets = row.lanes[name], sorted(_meeting_points(row, name))
            ends = meets if riser is None else [riser, *meets]
            if len(ends) > 1:
                pen.line([(ends[0], y), (ends[-1], y)])
            for x in ends[1:-1]:
                pen.joint(x, y)
        if riser is not None:
            pen.line([(riser, heights[0]), (riser, heights[-1])])
            for y in heights[1:-1]:
                pen.joint(riser, y)


def _meeting_points(row: Row, name: str) -> Iterator[float]:
    for placed in row.placed:
        if placed.cell.keg is not None and name in placed.cell.meets:
            yield placed.left + GAS_POST
        for at, one in enumerate(placed.cell.regulators):
            if one.name == name:
                yield regulator_x(placed, at)


def regulator_x(placed: Placed, at: int) -> float:
    """Give the x of the regulator `at` a cylinder; the first stands above its valve."""
    return placed.left + CYLINDER / 2 + REGULATOR_PITCH * at


def _cell(pen: Pen, scene: Scene, row: Row, placed: Placed) -> None:
    cell = placed.cell
    if cell.keg is None:
        _cylinder(pen, scene, row, placed)
    elif cell.spare:
        _spare(pen, scene, placed, cell.keg)
    else:
        _keg(pen, scene, row, placed, cell.keg)
        _taps(pen, scene, row, placed)


def _spare(pen: Pen, scene: Scene, placed: Placed, keg: Keg) -> None:
    x, y = placed.left, placed.top
    hit = Box(x - 2, y + 46, x + SPARE_WIDTH, y + BLOCK_HEIGHT + 6)
    with pen.part(PartRef("keg", keg.name), scene.keg_name(keg), hit):
        spare_block(pen, keg, x, y, BLOCK_HEIGHT)


def _keg(pen: Pen, scene: Scene, row: Row, placed: Placed, keg: Keg) -> None:
    x, y = placed.left, placed.top
    if keg.regulator is not None:
        lane = row.lanes.get(keg.regulator, y - 22)
        check = y - 12
        pen.line([(x + GAS_POST, lane), (x + GAS_POST, check - CHECK)])
        check_valve(pen, x + GAS_POST, check, down=True)
        pen.line([(x + GAS_POST, check + CHECK), (x + GAS_POST, y + 2)])
    hit = Box(x - 2, y - 4, x + placed.cell.width, y + BLOCK_HEIGHT + 6)
    with pen.part(PartRef("keg", keg.name), scene.keg_name(keg), hit):
        if keg.regulator is None:
            cap(pen, x + GAS_POST, y - 3)
        keg_block(pen, scene, keg, x, y)
        if not placed.cell.taps:
            stub(pen, x, y)


def _taps(pen: Pen, scene: Scene, row: Row, placed: Placed) -> None:
    foot = placed.left + BEER_POST
    for at, tap in enumerate(placed.cell.taps):
        _tap(pen, scene, row, placed, (tap, foot, foot + TAP_PITCH * at))


def _tap(pen: Pen, scene: Scene, row: Row, placed: Placed, one: tuple[Tap, float, float]) -> None:
    tap, foot, x = one
    y, valve_y = row.wall, row.wall - FAUCET
    single = len(placed.cell.taps) == 1
    right = placed.left + placed.cell.width if single else x + TAP_PITCH - 18
    hit = Box(x - 18, y - 60, right, y - 8)
    with pen.part(PartRef("tap", tap.name), scene.tap_name(tap), hit):
        faucet_up(pen, x, valve_y)
        pen.line([(x, valve_y + VALVE), (x, y - SHANK)], BEER)
        shank(pen, x, y, upright=True)
        bend = placed.top - 7
        if x == foot:
            post(pen, x, placed.top + 0.5)
            pen.line([(x, y + SHANK), (x, placed.top - 2)], BEER)
        else:
            pen.line([(x, y + SHANK), (x, bend), (x - TAP_PITCH, bend)], BEER)
            pen.joint(x - TAP_PITCH, bend)
        pour_texts(pen, scene, tap, (x + 18, y - 43), right - x - 22)


def _cylinder(pen: Pen, scene: Scene, row: Row, placed: Placed) -> None:
    one, x, y = placed.cell.cylinder, placed.left, placed.top
    assert one is not None
    axis, top = x + CYLINDER / 2, y + 62
    box = Box(x, top, x + placed.cell.width, y + BLOCK_HEIGHT)
    branch = top - 23
    hit = Box(x - 2, branch + 2, box.right, box.bottom + 6)
    with pen.part(PartRef("cylinder", one.name), scene.cylinder_name(one), hit):
        cylinder_block(pen, scene, one, box)
        valve(pen, axis, top - 8, upright=True, half=5)
        pen.line([(axis, top - 3), (axis, top)])
        if not placed.cell.regulators:
            cap(pen, axis, top - 18)
    inlet, last = y + OUTLET + VALVE, len(placed.cell.regulators) - 1
    for at, regulator in enumerate(placed.cell.regulators):
        rx = regulator_x(placed, at)
        if at:
            pen.line([(rx - REGULATOR_PITCH, branch), (rx, branch), (rx, inlet)])
            pen.joint(rx - REGULATOR_PITCH, branch)
        else:
            pen.line([(axis, top - 13), (axis, inlet)])
        right = box.right if at == last else rx + REGULATOR_PITCH - 20
        _regulator(pen, scene, row, (regulator, rx, y + OUTLET, right))


def _regulator(
    pen: Pen, scene: Scene, row: Row, placed: tuple[Regulator, float, float, float]
) -> None:
    """Draw a regulator; `placed`: its x and y, and how far right it may write."""
    one, x, y, right = placed
    lane = row.lanes.get(one.name)
    pen.line([(x, y - VALVE), (x, lane if lane is not None else y - 24)])
    if lane is None:
        cap(pen, x, y - 24)
    hit = Box(x - 20, y - 30, right, y + 22)
    with pen.part(PartRef("regulator", one.name), scene.regulator_name(one), hit):
        regulator_up(pen, x, y)
        pen.line([(x, y - 16), (x + 23 - BUBBLE, y - 16)], FINE)
        setting(pen, scene, one, (x + 23, y - 16), right - x - 38.5)
