"""Where the parts of a system stand on the single-line diagram: cells, rows, gas lines.

A cell is a keg with its taps or a cylinder with its regulators. On a wide sheet cells stand side by
side, their gas lines run level above them; on a narrow one they stand below each other, their gas
lines run upright on the left. Lengths in pixels of the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Regulator, System, Tap

BLOCK: Final = 208.0
"""Width of a keg with its readings."""
BLOCK_HEIGHT: Final = 132.0
GAS_POST: Final = 14.0
BEER_POST: Final = 40.0
SPARE_WIDTH: Final = 108.0
"""Width of a keg that waits: no beer, no gas, no tap."""
TAP_PITCH: Final = 160.0
REGULATOR_PITCH: Final = 132.0
CYLINDER_WIDTH: Final = 194.0
MOST_WIDE: Final = 1480.0
GAP: Final = 8.0
PLACE_GAP: Final = 26.0
LANE: Final = 9.0
MARGIN: Final = 6.0
INSET: Final = 8.0
"""Between a place's wall and the first and last cell."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A keg with its taps, or a cylinder with its regulators."""

    place: str
    keg: Keg | None = None
    taps: tuple[Tap, ...] = ()
    cylinder: Cylinder | None = None
    regulators: tuple[Regulator, ...] = ()

    @property
    def spare(self) -> bool:
        """Whether it is a keg that waits, with nothing in it or on it."""
        return self.keg is not None and not (self.keg.beer or self.keg.regulator or self.taps)

    @property
    def width(self) -> float:
        """What it needs on a wide sheet."""
        if self.spare:
            return SPARE_WIDTH
        if self.keg is not None:
            return max(BLOCK, BEER_POST - 16 + TAP_PITCH * len(self.taps))
        return max(CYLINDER_WIDTH, REGULATOR_PITCH * len(self.regulators) + 24)

    @property
    def meets(self) -> tuple[str, ...]:
        """The regulators whose gas lines it meets."""
        if self.keg is None:
            return tuple(one.name for one in self.regulators)
        return () if self.keg.regulator is None else (self.keg.regulator,)


@dataclass(frozen=True, slots=True)
class Placed:
    """A cell and the left top corner of its keg's or cylinder's block."""

    cell: Cell
    left: float
    top: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A stretch of a place's wall; `first` of those that the rows have."""

    place: str
    left: float
    top: float
    right: float
    bottom: float
    first: bool


def cells_of(system: System) -> list[Cell]:
    """List the cells, place by place: gas first, then beer, spare kegs last."""
    beer = {keg.place for keg in system.kegs if keg.beer or system.taps_of(keg.name)}
    gas = {one.place for one in system.cylinders}
    places = sorted(system.places, key=lambda place: (place.name in beer, place.name not in gas))
    found: list[Cell] = []
    for place in places:
        cylinders = [one for one in system.cylinders if one.place == place.name]
        found += [Cell(place.name, cylinder=one, regulators=_on(system, one)) for one in cylinders]
        kegs = [keg for keg in system.kegs if keg.place == place.name]
        cells = [Cell(place.name, keg=keg, taps=system.taps_of(keg.name)) for keg in kegs]
        found += sorted(cells, key=lambda one: one.spare)
    return found


def lines_of(cells: Sequence[Cell]) -> list[str]:
    """Name the regulators whose gas line joins two cells or more, in the order they are met."""
    met = [name for cell in cells for name in cell.meets]
    return [name for name in dict.fromkeys(met) if met.count(name) > 1]


def _on(system: System, cylinder: Cylinder) -> tuple[Regulator, ...]:
    return tuple(one for one in system.regulators if one.cylinder == cylinder.name)


def rows_of(cells: Sequence[Cell]) -> list[list[Cell]]:
    """Break the cells into as few rows as fit `MOST_WIDE`, about equally wide."""
    rows = _broken(cells, MOST_WIDE)
    while len(rows) > 1:
        widest = max(map(_row_width, rows))
        tried = _broken(cells, widest - 1.0)
        if len(tried) > len(rows) or max(map(_row_width, tried)) >= widest:
            break
        rows = tried
    return rows


def _broken(cells: Sequence[Cell], most: float) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for cell in cells:
        if rows and _row_width([*rows[-1], cell]) <= most:
            rows[-1].append(cell)
        else:
            rows.append([cell])
    return rows


def _row_width(row: Sequence[Cell]) -> float:
    return 2 * INSET + sum(wide for _, wide in _steps(row))


def _steps(row: Sequence[Cell]) -> Iterator[tuple[float, float]]:
    """For each cell: the gap before it, and gap and cell together."""
    before: Cell | None = None
    for cell in row:
        gap = 0.0
        if before is not None:
            gap = GAP if before.place == cell.place else PLACE_GAP + 2 * INSET
        yield gap, gap + cell.width
        before = cell


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a wide sheet: its cells, and the height of each gas line in it.

    `goes_on`: the place whose kegs began in the row before.
    """

    placed: tuple[Placed, ...]
    wall: float
    lanes: dict[str, float]
    block: float
    floor: float
    goes_on: str | None = None

    def outlines(self) -> Iterator[Outline]:
        """Give each place's stretch of the row."""
        for place, cells in groupby(self.placed, lambda one: one.cell.place):
            group = [*cells]
            right = group[-1].left + group[-1].cell.width + INSET
            first = place != self.goes_on
            yield Outline(place, group[0].left - INSET, self.wall, right, self.floor, first)


@dataclass(frozen=True, slots=True)
class WideLayout:
    """All rows, the risers that carry gas between them, and the size of the sheet."""

    rows: tuple[Row, ...]
    risers: dict[str, float]
    width: float
    height: float


def lay_out_wide(cells: Sequence[Cell]) -> WideLayout:
    """Set the cells in rows of at most `MOST_WIDE` pixels, joined by risers on the left."""
    joined = lines_of(cells)
    rows = rows_of(cells)
    many = [name for name in joined if sum(_meets(row, name) for row in rows) > 1]
    risers = {name: MARGIN + 3 + LANE * at for at, name in enumerate(many)}
    left = MARGIN + (LANE * len(many) + 6 if many else 0.0)
    placed: list[Row] = []
    top = MARGIN
    before: str | None = None
    for row in rows:
        goes_on = before if row[0].place == before else None
        placed.append(replace(_row(row, left, top, joined), goes_on=goes_on))
        before = row[-1].place
        top = placed[-1].floor + 26
    right = max((left + _row_width(row) for row in rows), default=300.0)
    return WideLayout(tuple(placed), risers, right + MARGIN, top - 26 + 16 if rows else 40.0)


def _meets(row: Sequence[Cell], name: str) -> bool:
    return any(name in cell.meets for cell in row)


def _row(row: Sequence[Cell], left: float, top: float, joined: Sequence[str]) -> Row:
    tapped = any(cell.taps for cell in row)
    fed = [name for name in joined if _meets(row, name)]
    wall = top + (64.0 if tapped else 0.0)
    lanes = {name: wall + 20 + LANE * at for at, name in enumerate(fed)}
    supplied = any(cell.cylinder for cell in row)
    block = wall + 16 + LANE * len(fed) + (44.0 if supplied else 30.0 if fed else 10.0)
    placed: list[Placed] = []
    x = left + INSET
    for cell, (gap, wide) in zip(row, _steps(row), strict=True):
        placed.append(Placed(cell, x + gap, block))
        x += wide
    return Row(tuple(placed), wall, lanes, block, block + BLOCK_HEIGHT + 38)
