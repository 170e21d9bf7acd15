"""The single-line diagram of a system, drawn from its description and its answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.layout import (
    FLOOR,
    KEG_FOOT,
    KEG_TOP,
    WALL,
    Layout,
    Placed,
    lay_out,
)
from ullage.draw.svg import Caption, sheet
from ullage.draw.symbols import (
    bubble,
    dashed,
    faucet,
    fitted,
    level,
    reading,
    regulator,
    stroke,
    text,
    valve,
    vessel,
)
from ullage.plan.answers import WholeAnswer
from ullage.system import parts
from ullage.system.model import Keg, Regulator, System, Tap
from ullage.units import Kind, UnitSystem, format_quantity

KEG_WIDTH: Final = 78.0
CYLINDER_WIDTH: Final = 44.0
REGULATOR: Final = 118.0
FAUCET: Final = 48.0
PIPE: Final = 1.6


@dataclass(frozen=True, slots=True)
class Drawing:
    """What every part of the diagram is drawn from."""

    system: System
    answer: WholeAnswer
    layout: Layout
    units: UnitSystem

    def shown(self, value: float, kind: Kind) -> str:
        """Write a quantity in the household's units."""
        return format_quantity(value, kind, self.units)


def single_line(
    system: System,
    answer: WholeAnswer,
    units: UnitSystem,
    *,
    columns: int = 6,
    column_width: float = 168.0,
    size: float = 1.0,
    standalone: bool = False,
    prefix: str = "line",
) -> str:
    """Draw cylinders, regulators, gas lines, kegs with their levels, beer lines and faucets.

    `columns` kegs stand side by side before the next row begins; two suit a phone, six a desk.
    `size` is how many times its own pixels the picture would like to be shown at.
    """
    layout = lay_out(system, columns, column_width)
    drawing = Drawing(system, answer, layout, units)
    body = [
        *_outlines(drawing),
        *_gas_lines(drawing),
        *(element for placed in layout.cells for element in _cell(drawing, placed)),
    ]
    caption = Caption(prefix, f"Single-line diagram of {system.name}", describe(system))
    return sheet(layout.width, layout.height, caption, body, standalone, size)


def describe(system: System) -> str:
    """Say in words what the diagram shows."""
    said = [f"Cylinder {one.name} in {one.place}." for one in system.cylinders]
    for keg in system.kegs:
        taps = ", ".join(tap.name for tap in system.taps_of(keg.name)) or "no tap"
        gas = f"gas from {keg.regulator}" if keg.regulator else "no gas"
        said.append(f"Keg {keg.name} in {keg.place}: {keg.beer or 'empty'}, {gas}, to {taps}.")
    return " ".join(said)


def _outlines(drawing: Drawing) -> Iterator[ET.Element]:
    for place, left, top, right in drawing.layout.outlines():
        warmth = drawing.shown(drawing.system.place(place).temperature, Kind.TEMPERATURE)
        wall = f"M{left:g},{top + WALL:g}H{right:g}V{top + FLOOR:g}H{left:g}z"
        yield dashed(wall, theme.CENTRE)
        yield from bubble(left + 18, top + FLOOR, "TI")
        said = fitted(f"{place}, {warmth}", right - left - 40, 10)
        yield text(left + 34, top + FLOOR - 5, said, "start", 10, theme.QUIET)


def _gas_lines(drawing: Drawing) -> Iterator[ET.Element]:
    """One line for each regulator in each row that it feeds or stands in, joined by a riser."""
    layout = drawing.layout
    for name in layout.regulators:
        meets: dict[float, list[float]] = {}
        for placed in layout.cells:
            for x in _meeting_points(placed, name):
                meets.setdefault(placed.top, []).append(x)
        if not meets or sum(map(len, meets.values())) < 2:
            continue
        yield stroke(_gas_path(layout, name, meets))


def _gas_path(layout: Layout, name: str, meets: dict[float, list[float]]) -> str:
    riser = layout.riser(name)
    path = ""
    for top, xs in meets.items():
        ends = [*xs, riser] if len(meets) > 1 else xs
        path += f"M{min(ends):g},{layout.header(name, top):g}H{max(ends):g}"
    if len(meets) > 1:
        first, last = min(meets), max(meets)
        path += f"M{riser:g},{layout.header(name, first):g}V{layout.header(name, last):g}"
    return path


def _meeting_points(placed: Placed, name: str) -> Iterator[float]:
    """Where a cell meets a regulator's gas line."""
    cell = placed.cell
    if cell.keg is not None and cell.keg.regulator == name:
        yield placed.middle - KEG_WIDTH / 4
    for index, one in enumerate(cell.regulators):
        if one.name == name:
            yield _regulator_x(placed, index)


def _regulator_x(placed: Placed, index: int) -> float:
    return placed.part(index, max(len(placed.cell.regulators), 1)) - 24


def _cell(drawing: Drawing, placed: Placed) -> Iterator[ET.Element]:
    if placed.cell.keg is not None:
        yield from _keg(drawing, placed, placed.cell.keg)
        for index, tap in enumerate(placed.cell.taps):
            yield from _tap(drawing, placed, tap, index)
    else:
        yield from _cylinder(drawing, placed)


def _cylinder(drawing: Drawing, placed: Placed) -> Iterator[ET.Element]:
    cylinder = placed.cell.cylinder
    assert cylinder is not None
    x, top = _regulator_x(placed, 0), placed.top
    yield stroke(vessel(x, top + KEG_TOP + 16, CYLINDER_WIDTH, KEG_FOOT - KEG_TOP - 16))
    yield stroke(f"M{x:g},{top + KEG_TOP + 16:g}V{top + REGULATOR:g}")
    yield stroke(valve(x, top + KEG_TOP + 6, 4.5), fill=theme.PAPER)
    for index, one in enumerate(placed.cell.regulators):
        yield from _regulator(drawing, placed, one, index)
    answer = next((gas for gas in drawing.answer.gas if gas.cylinder == cylinder.name), None)
    if answer is not None:
        left = drawing.shown(answer.remaining_kg, Kind.MASS)
        yield from reading(x + CYLINDER_WIDTH / 2 + 16, top + 212, "WI", left)
    said = fitted(f"{cylinder.name}, {cylinder.size}", placed.width - 12)
    yield text(placed.left + 6, top + KEG_FOOT + 20, said, "start")


def _regulator(
    drawing: Drawing, placed: Placed, one: Regulator, index: int
) -> Iterator[ET.Element]:
    x, top = _regulator_x(placed, index), placed.top
    if index:
        branch = f"M{_regulator_x(placed, 0):g},{top + KEG_TOP - 4:g}H{x:g}V{top + REGULATOR:g}"
        yield stroke(branch)
    yield stroke(f"M{x:g},{top + REGULATOR:g}V{drawing.layout.header(one.name, top):g}")
    yield from regulator(x, top + REGULATOR)
    value = "not told" if one.pressure is None else drawing.shown(one.pressure, Kind.PRESSURE)
    yield from reading(x + 24, top + REGULATOR + 6, "PI", value, theme.ACCENT)


def _keg(drawing: Drawing, placed: Placed, keg: Keg) -> Iterator[ET.Element]:
    x, top = placed.middle, placed.top
    yield from _contents(drawing, placed, keg)
    yield stroke(vessel(x, top + KEG_TOP, KEG_WIDTH, KEG_FOOT - KEG_TOP), 1.3)
    if keg.regulator is not None:
        post = x - KEG_WIDTH / 4
        head = drawing.layout.header(keg.regulator, top)
        yield stroke(f"M{post:g},{head:g}V{top + KEG_TOP + 8:g}")
        yield stroke(f"M{post - 2:g},{head:g}a2,2,0,1,0,4,0a2,2,0,1,0,-4,0", fill=theme.INK)
    answer = next((one for one in drawing.answer.carbonation if one.keg == keg.name), None)
    if answer is not None:
        foot = KEG_FOOT - 28 if _fill(keg) > 0.5 else KEG_TOP + 48
        kelvin = keg.temperature or drawing.system.place(keg.place).temperature
        held = drawing.shown(answer.start_vol, Kind.CARBONATION)
        yield text(x, top + foot - 14, held, numbers=True)
        yield text(x, top + foot, drawing.shown(kelvin, Kind.TEMPERATURE), numbers=True)
    yield text(x, top + KEG_FOOT + 16, fitted(keg.beer or "empty", placed.width - 8))
    said = fitted(keg.name, placed.width - 8, 10)
    yield text(x, top + KEG_FOOT + 29, said, size=10, colour=theme.QUIET)


def _beer_m3(keg: Keg) -> float:
    return parts.keg_kind(keg.kind).usual_fill_m3 if keg.volume is None else keg.volume


def _fill(keg: Keg) -> float:
    """How full a keg is, as a share of what it holds to the brim."""
    return min(max(_beer_m3(keg) / parts.keg_kind(keg.kind).capacity_m3, 0.0), 1.0)


def _contents(drawing: Drawing, placed: Placed, keg: Keg) -> Iterator[ET.Element]:
    """The beer in a keg: a tint up to its level, the level's sign, and how much there is."""
    if keg.beer is None:
        return
    x, half, dish = placed.middle, KEG_WIDTH / 2, KEG_WIDTH / 5
    foot, head = placed.top + KEG_FOOT - dish, placed.top + KEG_TOP + dish
    y = foot - _fill(keg) * (foot - head)
    beer = f"M{x - half:g},{y:g}h{KEG_WIDTH:g}V{foot:g}a{half:g},{dish:g},0,0,1,{-KEG_WIDTH:g},0z"
    yield ET.Element("path", {"d": beer, "fill": theme.TINT})
    yield stroke(f"M{x - half:g},{y:g}h{KEG_WIDTH:g}", theme.HAIRLINE)
    yield level(x - half + 12, y)
    yield from reading(x + half + 13, y, "LI", "")
    held = drawing.shown(_beer_m3(keg), Kind.VOLUME)
    yield text(x + half + 5, y + 24, held, "start", numbers=True)


def _tap(drawing: Drawing, placed: Placed, tap: Tap, index: int) -> Iterator[ET.Element]:
    count = len(placed.cell.taps)
    post = placed.middle + KEG_WIDTH / 4
    x = post if count == 1 else placed.part(index, count)
    top = placed.top
    bend = top + KEG_TOP - 12
    yield stroke(f"M{post:g},{top + KEG_TOP + 8:g}V{bend:g}H{x:g}V{top + FAUCET:g}", PIPE)
    yield from faucet(x, top + FAUCET)
    width = placed.width / count - 8
    middle = x if count == 1 else placed.part(index, count)
    yield text(middle, top + 14, fitted(tap.name, width))
    answer = next((one for one in drawing.answer.pours if one.tap == tap.name), None)
    if answer is not None:
        pint = drawing.units == "us"
        seconds = (answer.pint_s if pint else answer.half_litre_s).value
        said = f"{'pint' if pint else '½ L'} {drawing.shown(seconds, Kind.DURATION)}"
        yield text(middle, top + 28, said, numbers=True)
