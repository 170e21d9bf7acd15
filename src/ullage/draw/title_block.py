"""A drawing on a sheet of paper: frame, zone marks and title block, after ISO 5457 and ISO 7200.

The drawing is set as large as the sheet allows, upright or lying, whichever shows it larger.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from ullage.draw import theme
from ullage.draw.live import Live
from ullage.draw.pen import WORDS, Pen, Stroke, Type
from ullage.draw.single_line import Diagram, diagram
from ullage.draw.svg import Caption, Size, named
from ullage.system.model import System
from ullage.units import UnitSystem

Paper: TypeAlias = Literal["A4", "Letter"]
MILLIMETRE: Final = 96.0 / 25.4
"""One in pixels."""
PAPERS_MM: Final[dict[Paper, tuple[float, float]]] = {
    "A4": (210.0, 297.0),
    "Letter": (215.9, 279.4),
}
BINDING_MM: Final = 20.0
EDGE_MM: Final = 10.0
ZONE_MM: Final = 50.0
BLOCK_WIDTH: Final = 460.0
ROW_HEIGHT: Final = 34.0
BLOCK_HEIGHT: Final = 4 * ROW_HEIGHT
PADDING: Final = 14.0
LARGEST: Final = 1.2
ROW_WIDTHS: Final = (620.0, 840.0, 1060.0, 1280.0, 1480.0)
"""Widths of the rows to try, in pixels of the drawing."""
FRAME: Final = Stroke(theme.LINE)
RULE: Final = Stroke(theme.HAIRLINE)
LABEL: Final = Type(7.5, theme.QUIET)
VALUE: Final = Type(10.5)
ZONE: Final = Type(8.0, theme.QUIET, "middle")


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What a sheet says of itself. `revision`: the last event that the drawing knows of."""

    system: str
    sheet: str
    revision: str
    date: str
    units: str
    number: str = "1 of 1"
    made_by: str = ""

    def rows(self) -> tuple[tuple[tuple[str, str, float], ...], ...]:
        """Give label, text and share of the width of each field, row by row."""
        return (
            (("System", self.system, 1.0),),
            (("Drawing", self.sheet, 0.72), ("Sheet", self.number, 0.28)),
            (("Revision", self.revision, 0.72), ("Date", self.date, 0.28)),
            (("Units", self.units, 0.3), ("Scale", "none", 0.2), ("Made by", self.made_by, 0.5)),
        )


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet of paper in pixels: its size, the frame within it, the room for the drawing."""

    width: float
    height: float

    @property
    def frame(self) -> tuple[float, float, float, float]:
        edge = EDGE_MM * MILLIMETRE
        return BINDING_MM * MILLIMETRE, edge, self.width - edge, self.height - edge

    def scale(self, drawing: Diagram) -> float:
        """How many times its own pixels the drawing can be shown at above the title block."""
        left, top, right, bottom = self.frame
        high = bottom - top - BLOCK_HEIGHT - 2 * PADDING
        return min((right - left - 2 * PADDING) / drawing.width, high / drawing.height, LARGEST)


def on_paper(
    system: System,
    live: Live,
    units: UnitSystem,
    block: TitleBlock,
    paper: Paper = "A4",
    *,
    standalone: bool = True,
) -> str:
    """Draw the single-line diagram of a system on a sheet, its rows broken to fill it best.

    Standing alone it is in paper's colours, for a file or a printer; else in a page's classes.
    """
    drawn = [diagram(system, live, units, prefix="sheet", most=most) for most in ROW_WIDTHS]
    best = max(drawn, key=lambda one: _best_sheet(one, paper).scale(one))
    return framed(best, block, paper, standalone=standalone)


def framed(
    drawing: Diagram, block: TitleBlock, paper: Paper = "A4", *, standalone: bool = True
) -> str:
    """Set a drawing on a sheet with its frame and title block; give it as SVG of paper's size."""
    sheet = _best_sheet(drawing, paper)
    pen = Pen()
    _frame(pen, sheet)
    _zones(pen, sheet)
    _block(pen, sheet, block)
    scale = sheet.scale(drawing)
    left, top, right, bottom = sheet.frame
    x = left + (right - left - scale * drawing.width) / 2
    y = top + max((bottom - top - BLOCK_HEIGHT - scale * drawing.height) / 2, PADDING)
    body = (
        f'<g transform="translate({x:.1f},{y:.1f}) scale({scale:.4f})">'
        f"{drawing.pen.svg(standalone=standalone)}</g>{pen.svg(standalone=standalone)}"
    )
    caption = Caption(drawing.caption.prefix, f"{block.system}: {block.sheet}", _said(block))
    role = "group" if drawing.pen.linked else "img"
    return named(Size(sheet.width, sheet.height), caption, body, standalone=standalone, role=role)


def _best_sheet(drawing: Diagram, paper: Paper) -> _Sheet:
    """Choose the sheet, lying or upright, that shows the drawing larger."""
    short, long = (side * MILLIMETRE for side in PAPERS_MM[paper])
    return max((_Sheet(long, short), _Sheet(short, long)), key=lambda one: one.scale(drawing))


def _said(block: TitleBlock) -> str:
    fields = (field for row in block.rows() for field in row)
    return ", ".join(f"{label}: {text}" for label, text, _ in fields if text)


def _frame(pen: Pen, sheet: _Sheet) -> None:
    left, top, right, bottom = sheet.frame
    around = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
    pen.line(around, FRAME)


def _zones(pen: Pen, sheet: _Sheet) -> None:
    """Mark the zones along the frame: numbers across, letters down."""
    left, top, right, bottom = sheet.frame
    for at, (start, end) in enumerate(_parts(left, right)):
        for y in (top - 5, bottom + 11):
            pen.text(((start + end) / 2, y), str(at + 1), ZONE)
        if at:
            pen.line([(start, top - 14), (start, top)], RULE)
            pen.line([(start, bottom), (start, bottom + 14)], RULE)
    for at, (start, end) in enumerate(_parts(top, bottom)):
        for x in (left - 8, right + 8):
            pen.text((x, (start + end) / 2 + 3), "ABCDEFGH"[at], ZONE)
        if at:
            pen.line([(left - 14, start), (left, start)], RULE)
            pen.line([(right, start), (right + 14, start)], RULE)


def _parts(low: float, high: float) -> Iterator[tuple[float, float]]:
    count = max(round((high - low) / (ZONE_MM * MILLIMETRE)), 2)
    step = (high - low) / count
    for at in range(count):
        yield low + step * at, low + step * (at + 1)


def _block(pen: Pen, sheet: _Sheet, block: TitleBlock) -> None:
    _, _, right, bottom = sheet.frame
    left, rows = right - BLOCK_WIDTH, block.rows()
    top = bottom - ROW_HEIGHT * len(rows)
    pen.line([(left, bottom), (left, top), (right, top)], FRAME)
    for at, row in enumerate(rows):
        y, x = top + ROW_HEIGHT * at, left
        if at:
            pen.line([(left, y), (right, y)], RULE)
        for label, text, share in row:
            if x > left:
                pen.line([(x, y), (x, y + ROW_HEIGHT)], RULE)
            pen.text((x + 7, y + 11), label, LABEL)
            pen.text((x + 7, y + 26), text, VALUE if at else WORDS, share * BLOCK_WIDTH - 14)
            x += share * BLOCK_WIDTH
