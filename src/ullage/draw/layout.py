"""Where the parts of a system stand on the single-line diagram: cells, rows, places, gas lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from ullage.system.model import Cylinder, Keg, Regulator, System, Tap

ROW_HEIGHT: Final = 336.0
GAP: Final = 22.0
RISER: Final = 7.0
HEADERS: Final = 5

WALL, HEADER, KEG_TOP, KEG_FOOT, FLOOR = 66.0, 84.0, 138.0, 264.0, 312.0
"""Heights within a row: the wall's top, the first gas line, the vessels, the wall's foot."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A keg with its taps, or a cylinder with its regulators, `span` columns wide."""

    place: str
    keg: Keg | None = None
    taps: tuple[Tap, ...] = ()
    cylinder: Cylinder | None = None
    regulators: tuple[Regulator, ...] = ()

    @property
    def span(self) -> int:
        """How many columns it needs: one for each tap or regulator, and at least one."""
        return max(1, len(self.taps), len(self.regulators))


@dataclass(frozen=True, slots=True)
class Placed:
    """A cell with its place on the sheet: left edge, top, width, all in pixels."""

    cell: Cell
    left: float
    top: float
    width: float
    row: int

    @property
    def middle(self) -> float:
        """The x of its vessel's middle line; its readings stand to the right."""
        return self.left + self.width / 2 - 12

    def part(self, index: int, count: int) -> float:
        """The x of one of `count` things side by side."""
        return self.left + self.width * (index + 0.5) / count


@dataclass(frozen=True, slots=True)
class Layout:
    """All cells in their places, and the size of the whole."""

    cells: tuple[Placed, ...]
    width: float
    height: float
    regulators: tuple[str, ...]

    def outlines(self) -> Iterator[tuple[str, float, float, float]]:
        """Give each stretch of a place within a row: name, left, top, right."""
        for (_, place), cells in groupby(self.cells, lambda one: (one.row, one.cell.place)):
            group = [*cells]
            yield place, group[0].left, group[0].top, group[-1].left + group[-1].width

    def header(self, regulator: str, top: float) -> float:
        """The y of a regulator's gas line in the row that begins at `top`."""
        return top + HEADER + RISER * (self.regulators.index(regulator) % HEADERS)

    def riser(self, regulator: str) -> float:
        """The x of the upright line that carries a regulator's gas from row to row."""
        return 8.0 + RISER * (self.regulators.index(regulator) % HEADERS)


def cells_of(system: System) -> list[Cell]:
    """List the cells, place by place: first the places that hold cylinders and no kegs."""
    with_kegs = {keg.place for keg in system.kegs}
    places = sorted(system.places, key=lambda place: place.name in with_kegs)
    found = []
    for place in places:
        found += [
            Cell(
                place.name,
                cylinder=one,
                regulators=tuple(r for r in system.regulators if r.cylinder == one.name),
            )
            for one in system.cylinders
            if one.place == place.name
        ]
        found += [
            Cell(place.name, keg=keg, taps=system.taps_of(keg.name))
            for keg in system.kegs
            if keg.place == place.name
        ]
    return found


def lay_out(system: System, columns: int, column_width: float) -> Layout:
    """Set the cells in rows of at most `columns`, with a margin for the risers on the left."""
    used = tuple(one.name for one in system.regulators)
    rows = [*_rows(cells_of(system), columns)]
    margin = 8.0 + (RISER * min(len(used), HEADERS) + 6 if len(rows) > 1 else 0.0)
    placed: list[Placed] = []
    for number, row in enumerate(rows):
        left, before = margin, ""
        for cell in row:
            left += GAP if before and cell.place != before else 0.0
            width = column_width * min(cell.span, columns)
            placed.append(Placed(cell, left, number * ROW_HEIGHT, width, number))
            left, before = left + width, cell.place
    right = max((one.left + one.width for one in placed), default=column_width)
    height = max(len(rows), 1) * ROW_HEIGHT - (ROW_HEIGHT - FLOOR) + 14
    return Layout(tuple(placed), right + 8, height, used)


def _rows(cells: Sequence[Cell], columns: int) -> Iterator[list[Cell]]:
    row: list[Cell] = []
    for cell in cells:
        if row and sum(one.span for one in row) + cell.span > columns:
            yield row
            row = []
        row.append(cell)
    if row:
        yield row
