"""Where labels go so that none covers another: along the top of a picture, and at lines' ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

LETTER: Final = 0.6
"""Width of a letter of our type as a share of its size; a little wide, to be on the safe side."""
LEVELS: Final = 6
Anchor = Literal["left", "center", "right"]


@dataclass(frozen=True, slots=True)
class Span:
    """A named stretch of an axis, in pixels."""

    name: str
    start: float
    end: float

    @property
    def middle(self) -> float:
        """The pixel half way."""
        return (self.start + self.end) / 2


@dataclass(frozen=True, slots=True)
class Label:
    """A name set above an axis: `level` counts rows upward, a leader drops at `x`."""

    name: str
    x: float
    anchor: Anchor
    level: int
    left: float
    right: float


def text_width(text: str, size: float) -> float:
    """Estimate how wide a text is, in pixels."""
    return LETTER * size * len(text)


def place_above(spans: Sequence[Span], width: float, size: float) -> tuple[Label, ...]:
    """Set a name above each stretch so that no name overlaps another nor crosses a leader.

    A name that fits its stretch stands above it. The last leans out to the right; the narrow
    ones of the right half lean left, those of the left half lean right, in rows as needed.
    """
    placed: list[Label] = []
    for span, anchor in _in_order(spans, width, size):
        options = (_label(span, anchor, level, size, width) for level in range(LEVELS))
        free = (one for one in options if not any(_clash(one, other) for other in placed))
        placed.append(next(free, _label(span, anchor, LEVELS, size, width)))
    return tuple(sorted(placed, key=lambda label: label.x))


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> tuple[float, ...]:
    """Move positions as little as needed to be `gap` apart and within `low` to `high`.

    >>> spread([10.0, 12.0, 40.0], 10.0, 0.0, 50.0)
    (10.0, 20.0, 40.0)
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    places = [0.0] * len(wanted)
    edge = low
    for i in order:
        places[i] = edge = max(wanted[i], edge)
        edge += gap
    edge = high
    for i in reversed(order):
        places[i] = edge = min(places[i], edge)
        edge -= gap
    return tuple(places)


def _in_order(spans: Sequence[Span], width: float, size: float) -> list[tuple[Span, Anchor]]:
    wide = [span for span in spans if text_width(span.name, size) <= span.end - span.start]
    narrow = [span for span in spans if span not in wide]
    last = [span for span in narrow if span is spans[-1]]
    rest = [span for span in narrow if span is not spans[-1]]
    right = [span for span in rest if span.middle > width / 2]
    left = [span for span in reversed(rest) if span.middle <= width / 2]
    order: list[tuple[Span, Anchor]] = [(span, "center") for span in wide]
    order += [(span, "left") for span in last]
    order += [(span, "right") for span in right]
    return order + [(span, "left") for span in left]


def _label(span: Span, anchor: Anchor, level: int, size: float, width: float) -> Label:
    long = text_width(span.name, size)
    x = span.middle
    left = {"left": x - 3, "center": x - long / 2, "right": x + 3 - long}[anchor]
    if anchor == "right" and left < 0:
        return _label(span, "left", level, size, width)
    return Label(span.name, x, anchor, level, left, left + long)


def _clash(one: Label, other: Label) -> bool:
    if one.level == other.level:
        return one.left < other.right + 4 and other.left < one.right + 4
    low, high = (one, other) if one.level < other.level else (other, one)
    return low.left - 2 < high.x < low.right + 2
