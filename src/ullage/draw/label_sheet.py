"""Sheets of labels by their geometry: where each label lies on its paper, in millimetres.

A sheet is named by its paper and the size of its labels. All of them are laid out evenly around
the middle of the paper, as such sheets are.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final, Literal, TypeAlias

from ullage.draw.pen import Box
from ullage.errors import OutOfRange, UnknownName

Paper: TypeAlias = Literal["A4", "Letter"]
PAPERS_MM: Final[dict[Paper, tuple[float, float]]] = {
    "A4": (210.0, 297.0),
    "Letter": (215.9, 279.4),
}
"""Width and height of each paper, upright: ISO 216 and ANSI Y14.1."""
INCH_MM: Final = 25.4
PRINTABLE_MM: Final = 5.0
"""So near the edge of the paper many printers print nothing; common practice, no source."""
PADDING_MM: Final = 2.0
"""Kept clear within a label, for paper that is drawn in askew; common practice, no source."""
MARK_MM: Final = 6.0
"""Length of a cut mark."""
MOST_LABELS: Final = 1000


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of `columns` × `rows` labels. `gap_mm`: between columns; rows touch each other.

    `size`: that of a label as people write it. `cut`: plain paper, with marks to cut along.
    """

    name: str
    paper: Paper
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    size: str
    gap_mm: float = 0.0
    cut: bool = False

    @property
    def title(self) -> str:
        """What it is, in words."""
        if self.cut:
            return f"{self.paper}, {self._grid} of {self.size} to cut out"
        return f"{self.paper}, {self._grid} labels of {self.size}"

    @property
    def _grid(self) -> str:
        return f"{self.columns} × {self.rows}"

    @property
    def per_sheet(self) -> int:
        """How many labels are on it."""
        return self.columns * self.rows

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and height of the paper, upright."""
        return PAPERS_MM[self.paper]

    @property
    def left_mm(self) -> float:
        """From the paper's left edge to the first column."""
        wide = self.columns * self.width_mm + (self.columns - 1) * self.gap_mm
        return (self.paper_mm[0] - wide) / 2

    @property
    def top_mm(self) -> float:
        """From the paper's top edge to the first row."""
        return (self.paper_mm[1] - self.rows * self.height_mm) / 2

    def box(self, number: int) -> Box:
        """The rectangle of a label, counted from 1 along the rows. Raises `OutOfRange`."""
        if not 1 <= number <= self.per_sheet:
            raise OutOfRange(f"a sheet has labels 1 to {self.per_sheet}, not {number}")
        row, column = divmod(number - 1, self.columns)
        left = self.left_mm + column * (self.width_mm + self.gap_mm)
        top = self.top_mm + row * self.height_mm
        return Box(left, top, left + self.width_mm, top + self.height_mm)

    def inside(self, number: int) -> Box:
        """What of a label's rectangle is printed on: clear of its edges and of the paper's."""
        box = self.box(number)
        across = max(PADDING_MM, PRINTABLE_MM - self.left_mm)
        down = max(PADDING_MM, PRINTABLE_MM - self.top_mm)
        return Box(box.left + across, box.top + down, box.right - across, box.bottom - down)

    def cut_marks(self) -> str:
        """The marks in the margins as an SVG path in mm: along these lines it is cut."""
        if not self.cut:
            return ""
        wide, high = self.paper_mm
        edge_x, edge_y = self.left_mm - 1.0, self.top_mm - 1.0
        across = [self.left_mm + at * self.width_mm for at in range(self.columns + 1)]
        down = [self.top_mm + at * self.height_mm for at in range(self.rows + 1)]
        upright = [
            f"M{x:g},{y:g}v{MARK_MM:g}" for x in across for y in (edge_y - MARK_MM, high - edge_y)
        ]
        level = [
            f"M{x:g},{y:g}h{MARK_MM:g}" for y in down for x in (edge_x - MARK_MM, wide - edge_x)
        ]
        return "".join(upright + level)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a label comes to lie: which sheet and which label of it, both counted from 1."""

    page: int
    number: int


def spots(sheet: LabelSheet, count: int, start: int = 1) -> tuple[Spot, ...]:
    """Where `count` labels lie when the first sheet is used from label `start` on.

    Raises `OutOfRange` for a start that the sheet has not, and for more than 1,000 labels.
    """
    if not 1 <= start <= sheet.per_sheet:
        raise OutOfRange(
            f"start at a label that the sheet has: 1 to {sheet.per_sheet}, not {start}"
        )
    if count > MOST_LABELS:
        raise OutOfRange(f"{count:,} labels at once are too many; {MOST_LABELS:,} are the most")
    places = (divmod(at, sheet.per_sheet) for at in range(start - 1, start - 1 + count))
    return tuple(Spot(page + 1, at + 1) for page, at in places)


def pages(sheet: LabelSheet, count: int, start: int = 1) -> int:
    """How many sheets that takes."""
    return ceil((start - 1 + count) / sheet.per_sheet) if count else 0


def _us(
    name: str, grid: tuple[int, int], inches: tuple[float, float], size: str, gap: float = 0.0
) -> LabelSheet:
    wide, high = (round(one * INCH_MM, 3) for one in inches)
    return LabelSheet(name, "Letter", *grid, wide, high, f"{size} in", gap * INCH_MM)


SHEETS: Final[dict[str, LabelSheet]] = {
    one.name: one
    for one in (
        LabelSheet("a4-plain", "A4", 2, 5, 90.0, 50.0, "90 × 50 mm", cut=True),
        LabelSheet("a4-70x37", "A4", 3, 8, 70.0, 37.0, "70 × 37 mm"),
        LabelSheet("a4-63.5x33.9", "A4", 3, 8, 63.5, 33.9, "63.5 × 33.9 mm", 2.5),
        LabelSheet("a4-63.5x38.1", "A4", 3, 7, 63.5, 38.1, "63.5 × 38.1 mm", 2.5),
        LabelSheet("a4-99.1x38.1", "A4", 2, 7, 99.1, 38.1, "99.1 × 38.1 mm", 2.5),
        LabelSheet("a4-99.1x67.7", "A4", 2, 4, 99.1, 67.7, "99.1 × 67.7 mm", 2.5),
        LabelSheet("letter-plain", "Letter", 2, 5, 90.0, 50.0, "90 × 50 mm", cut=True),
        _us("letter-2.625x1", (3, 10), (2.625, 1.0), "2⅝ × 1", 1 / 8),
        _us("letter-4x1.33", (2, 7), (4.0, 4 / 3), "4 × 1⅓", 3 / 16),
        _us("letter-4x2", (2, 5), (4.0, 2.0), "4 × 2", 3 / 16),
        _us("letter-4x3.33", (2, 3), (4.0, 10 / 3), "4 × 3⅓", 3 / 16),
    )
}
"""The sheets that are sold everywhere, by their geometry; common practice, no source."""


def label_sheet(name: str) -> LabelSheet:
    """The sheet of that name. Raises `UnknownName` with those there are."""
    if name not in SHEETS:
        raise UnknownName(f'no sheet is called "{name}"; there are: {", ".join(SHEETS)}')
    return SHEETS[name]
