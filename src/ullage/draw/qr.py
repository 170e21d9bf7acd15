"""QR codes (ISO/IEC 18004) as the outline of their dark modules, as large as their place allows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, TypeAlias, get_args

import segno

from ullage.errors import OutOfRange

Level: TypeAlias = Literal["H", "Q", "M", "L"]
LEVELS: Final[tuple[Level, ...]] = get_args(Level)
"""Error correction, the strongest first: 30, 25, 15, 7 % may be torn or dirty (ISO/IEC 18004)."""
QUIET: Final = 4
"""Modules that stay blank all around (ISO/IEC 18004)."""
LEAST_MODULE_MM: Final = 0.4
"""A smaller module is lost by a worn printer or a phone held an arm's length away; common
practice, no source."""
Corner: TypeAlias = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Code:
    """A code in a square of `side_mm`, its quiet zone included.

    `modules`: along a side, without the quiet zone; `path`: the outline of the dark ones as SVG in
    modules, to be filled by the even-odd rule.
    """

    said: str
    level: Level
    modules: int
    path: str
    side_mm: float

    @property
    def module_mm(self) -> float:
        """The side of one module as printed."""
        return self.side_mm / (self.modules + 2 * QUIET)


def code(said: str, side_mm: float) -> Code:
    """The code of an address for a square of that side: the strongest level that is still legible.

    Raises `OutOfRange` where even the weakest level would need modules below 0.4 mm.
    """
    for level in LEVELS:
        modules, path = _drawn(said, level)
        found = Code(said, level, modules, path, side_mm)
        if modules and found.module_mm >= LEAST_MODULE_MM:
            return found
    raise OutOfRange(
        f"an address of {len(said)} characters needs a code of {least_side(said):.0f} mm, "
        f"there is room for {side_mm:.0f} mm"
    )


def least_side(said: str) -> float:
    """The smallest side in mm, quiet zone included, at which an address is legible at all.

    Raises `OutOfRange` where it is longer than any code holds.
    """
    modules, _ = _drawn(said, "L")
    if not modules:
        raise OutOfRange(f"an address of {len(said)} characters is longer than any code holds")
    return (modules + 2 * QUIET) * LEAST_MODULE_MM


@lru_cache(maxsize=1024)
def _drawn(said: str, level: Level) -> tuple[int, str]:
    """Modules along a side and the outline of the dark ones; 0 where it does not fit any code."""
    try:
        made = segno.make_qr(said, error=level, boost_error=False)
    except segno.DataOverflowError:
        return 0, ""
    return len(made.matrix), outline(made.matrix)


def outline(matrix: Sequence[Sequence[int]]) -> str:
    """Outline the dark cells of a matrix as an SVG path in cells, without seams between them.

    >>> outline([[1, 1], [0, 0]])
    'M0,0h2v1h-2z'
    """
    ends = _edges(matrix)
    pieces = []
    for start in sorted(ends):
        while start in ends:
            pieces.append(_loop(ends, start))
    return "".join(pieces)


def _edges(matrix: Sequence[Sequence[int]]) -> defaultdict[Corner, list[Corner]]:
    """Every edge between dark and light, with the dark on its right."""
    dark = {(x, y) for y, row in enumerate(matrix) for x, cell in enumerate(row) if cell}
    ends: defaultdict[Corner, list[Corner]] = defaultdict(list)
    for x, y in sorted(dark):
        for beside, start, end in (
            ((x, y - 1), (x, y), (x + 1, y)),
            ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
            ((x, y + 1), (x + 1, y + 1), (x, y + 1)),
            ((x - 1, y), (x, y + 1), (x, y)),
        ):
            if beside not in dark:
                ends[start].append(end)
    return ends


def _loop(ends: defaultdict[Corner, list[Corner]], start: Corner) -> str:
    """Follow the edges from a corner back to it, taking them out."""
    path, here, step, run = f"M{start[0]},{start[1]}", start, (0, 0), 0
    while True:
        there = ends[here].pop()
        if not ends[here]:
            del ends[here]
        turned = (there[0] - here[0], there[1] - here[1])
        if turned != step:
            path += _run(step, run)
            step, run = turned, 0
        run, here = run + 1, there
        if here == start:
            return path + "z"


def _run(step: Corner, count: int) -> str:
    if not count:
        return ""
    return f"h{step[0] * count}" if step[0] else f"v{step[1] * count}"
