"""Names along the top of a picture, each above its upright line, none touching another's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from ullage.draw.metric import width_of

GAP: Final = 5.0
LEAN: Final = 3.0
"""Pixels that a name begins before its line, or ends after it."""
MOST_TRIED: Final = 2_000
Anchor = Literal["start", "end", "middle"]


@dataclass(frozen=True, slots=True)
class Named:
    """A name with its line at `x`, set at `at` by its anchor, `level` rows above the lowest.

    It reaches at most from `left` to `right`; all in pixels.
    """

    name: str
    x: float
    at: float
    anchor: Anchor
    left: float
    right: float
    level: int


def placed(names: Sequence[tuple[str, float]], width: float, size: float) -> tuple[Named, ...]:
    """A place for each name and the x of its line, within `width`, in as few rows as can be.

    A name begins at its line, or ends there, or stands around it. It touches no other name and no
    line of a higher one. Where nothing such is found soon, each has a row of its own.
    """
    for levels in range(1, len(names) + 1):
        search = _Search(names, width, size, levels)
        if search.place(()):
            return search.found
    stairs = enumerate(reversed(names))
    own = [next(_ways(name, x, width, size, level)) for level, (name, x) in stairs]
    return tuple(reversed(own))


class _Search:
    """Every way to place names in so many rows, one name after the other, until one will do."""

    def __init__(
        self, names: Sequence[tuple[str, float]], width: float, size: float, levels: int
    ) -> None:
        self._names, self._width, self._size, self._levels = names, width, size, levels
        self._tried = 0
        self.found: tuple[Named, ...] = ()

    def place(self, before: tuple[Named, ...]) -> bool:
        """Place the names that are left; whether that could be done."""
        if len(before) == len(self._names):
            self.found = before
            return True
        name, x = self._names[len(before)]
        for level in range(self._levels):
            for one in _ways(name, x, self._width, self._size, level):
                self._tried += 1
                if self._tried > MOST_TRIED:
                    return False
                if not any(_touch(one, other) for other in before) and self.place((*before, one)):
                    return True
        return False


def _ways(name: str, x: float, width: float, size: float, level: int) -> Iterator[Named]:
    long = width_of(name, size)
    ways: tuple[tuple[Anchor, float, float], ...] = (
        ("start", x - LEAN, x - LEAN),
        ("end", x + LEAN, x + LEAN - long),
        ("middle", x, x - long / 2.0),
    )
    fitting = [way for way in ways if way[2] >= 0.0 and way[2] + long <= width]
    for anchor, at, left in fitting or [_clamped(x, long, width)]:
        yield Named(name, x, at, anchor, left, left + long, level)


def _clamped(x: float, long: float, width: float) -> tuple[Anchor, float, float]:
    """Around its line as nearly as the edges let it."""
    left = min(max(x - long / 2.0, 0.0), max(width - long, 0.0))
    return "middle", left + long / 2.0, left


def _touch(one: Named, other: Named) -> bool:
    if one.level == other.level:
        return one.left < other.right + GAP and other.left < one.right + GAP
    low, high = (one, other) if one.level < other.level else (other, one)
    return low.left - GAP / 2.0 < high.x < low.right + GAP / 2.0
