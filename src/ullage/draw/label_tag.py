"""One tag: what a thing is called, what it is, lines to write on, and the code of its page.

Lengths are millimetres; it is black on white whatever the page's theme, as it is printed so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final
from xml.sax.saxutils import escape

from ullage.draw.metric import fitted, width_of
from ullage.draw.pen import Box
from ullage.draw.qr import QUIET, Code, code
from ullage.errors import OutOfRange
from ullage.plan.labels import LabelKind, Labelled
from ullage.plan.spoken import MONTHS
from ullage.units import Kind, UnitSystem, format_quantity

HEADS: Final[dict[LabelKind, str]] = {"keg": "Keg", "tap": "Tap", "cylinder": "CO2 cylinder"}
BLANKS: Final[dict[LabelKind, tuple[str, ...]]] = {
    "keg": ("Beer", "Filled"),
    "tap": ("Beer", "Cleaned"),
    "cylinder": ("Filled",),
}
"""What is written on a tag by hand."""
SHARE: Final = 0.48
"""The most of a label's width that its code takes."""
BETWEEN_MM: Final = 2.0
NAME_MM: Final = (14.0, 11.0, 9.0, 7.0, 6.0, 5.0, 4.2, 3.5)
"""Sizes of a name, the largest that fits first."""
WORDS_MM: Final = (3.6, 3.2, 2.8, 2.5, 2.2)
"""Sizes of everything else."""
NAME_SHARE: Final = 0.3
"""The most of a label's height that the size of a name takes."""
NAME_LEAD: Final = 1.15
LEAD: Final = 1.3
BLANK_MM: Final = (6.5, 9.0)
"""From one line to write on to the next: at least, and where there is room."""
DESCENT: Final = 0.22
"""Of a type's size: so far letters such as g reach below their line."""
INK: Final = "#000"


@dataclass(frozen=True, slots=True)
class Tag:
    """What a tag says: `head`, what sort of thing; `lines`, what is known; `blanks`, to fill in."""

    kind: LabelKind
    name: str
    called: str
    head: str
    lines: tuple[str, ...]
    blanks: tuple[str, ...]
    address: str


@dataclass(frozen=True, slots=True)
class _Set:
    """How a tag's words are set: each line of the name and its size, the size of the rest.

    `high_mm`: down to the foot of the last line, without the lines to write on.
    """

    name: tuple[str, ...]
    name_mm: float
    words_mm: float
    high_mm: float


def tag_of(thing: Labelled, address: str, units: UnitSystem) -> Tag:
    """What the tag of a thing says; `address` is what its code leads to."""
    lines, blanks = [thing.what] if thing.what else [], [*BLANKS[thing.kind]]
    if thing.kind == "cylinder":
        if thing.tare_kg is None:
            blanks.insert(0, "Tare")
        else:
            lines.append(f"Tare {format_quantity(thing.tare_kg, Kind.MASS, units)}")
        if thing.tested is None:
            blanks.insert(0, "Tested")
        else:
            lines.append(f"Tested {day(thing.tested)}")
        if thing.test_due is not None:
            lines.append(f"Next test {day(thing.test_due)}")
    head = HEADS[thing.kind]
    return Tag(thing.kind, thing.name, thing.called, head, tuple(lines), tuple(blanks), address)


def day(one: date) -> str:
    """A day as it is written on a tag, in any locale: `1 Apr 2029`.

    >>> day(date(2029, 4, 1))
    '1 Apr 2029'
    """
    return f"{one.day} {MONTHS[one.month - 1]} {one.year}"


def code_of(tag: Tag, inside: Box) -> Code:
    """The code of a tag for the room within its label. Raises `OutOfRange`, naming the thing."""
    try:
        return code(tag.address, code_side(inside))
    except OutOfRange as wrong:
        raise OutOfRange(f"{tag.called}: {wrong}") from None


def code_side(inside: Box) -> float:
    """The side of the square that a code may take within that room."""
    return min(inside.bottom - inside.top, SHARE * (inside.right - inside.left))


def tag_svg(tag: Tag, inside: Box) -> str:
    """Draw a tag within that room of its sheet; a name too long for it ends in an ellipsis.

    Raises `OutOfRange` where its address is too long for a legible code.
    """
    square = code_of(tag, inside)
    wide = inside.right - inside.left - square.side_mm - BETWEEN_MM
    return (
        f"<g><title>{escape(tag.called)}</title>"
        f"{''.join(_words(tag, inside, wide))}{_code(square, inside)}</g>"
    )


def _code(square: Code, inside: Box) -> str:
    """The code at the right, its quiet zone within the room."""
    middle = (inside.top + inside.bottom - square.side_mm) / 2
    rim = QUIET * square.module_mm
    x, y = inside.right - square.side_mm + rim, middle + rim
    return (
        f'<path transform="translate({x:.3f},{y:.3f}) scale({square.module_mm:.5f})"'
        f' fill="{INK}" fill-rule="evenodd" d="{square.path}"/>'
    )


def _words(tag: Tag, inside: Box, wide: float) -> Iterator[str]:
    how = _set(tag, wide, inside.bottom - inside.top)
    x, small = inside.left, how.words_mm
    y = inside.top + small
    yield _text(x, y, fitted(tag.head, wide, small), small)
    y += (LEAD - 1.0) * small
    for line in how.name:
        y += how.name_mm
        yield _text(x, y - 0.1 * how.name_mm, line, how.name_mm)
        y += (NAME_LEAD - 1.0) * how.name_mm
    for line in tag.lines:
        y += small
        yield _text(x, y, fitted(line, wide, small), small)
        y += (LEAD - 1.0) * small
    least, most = BLANK_MM
    lowest = inside.bottom - DESCENT * small
    step = max(min((lowest - y) / len(tag.blanks), most), least)
    for blank in tag.blanks:
        y += step
        if y > lowest + 1e-9:
            return
        yield _text(x, y, blank, small)
        begin = x + width_of(blank, small) + 1.0
        yield f'<path d="M{begin:.2f},{y:.2f}H{x + wide:.2f}" stroke="{INK}" stroke-width="0.15"/>'


def _text(x: float, y: float, said: str, size: float) -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}">{escape(said)}</text>'


def _set(tag: Tag, wide: float, high: float) -> _Set:
    """How the words are set: all whole, with a line to write on if there is room for both.

    Where nothing makes a name whole it is cut; what is known is never given up for a larger name.
    """
    ways = [
        _Set(name, size, small, _height(len(name) * size, small, len(tag.lines)))
        for name, size in _name_ways(tag.name, wide, NAME_SHARE * high)
        for small in WORDS_MM
        if small <= size
    ]
    whole = [
        one for one in ways if all(width_of(line, one.words_mm) <= wide for line in tag.lines)
    ] or ways[-1:]
    for spare in (BLANK_MM[0] + DESCENT * WORDS_MM[0], 0.0):
        found = next((one for one in whole if one.high_mm + spare <= high), None)
        if found is not None:
            return found
    return whole[-1]


def _height(name_mm: float, words_mm: float, lines: int) -> float:
    return name_mm * NAME_LEAD + (1 + lines) * words_mm * LEAD


def _name_ways(name: str, wide: float, most: float) -> Iterator[tuple[tuple[str, ...], float]]:
    """A name on one line, from large to small, on two lines, and at last cut."""
    for size in NAME_MM:
        if size <= max(most, NAME_MM[-1]) and width_of(name, size) <= wide:
            yield (name,), size
    for size in NAME_MM[-2:]:
        first, second = _broken(name, wide, size)
        if second and width_of(second, size) <= wide:
            yield (first, second), size
    first, second = _broken(name, wide, NAME_MM[-1])
    if second:
        yield (first, fitted(second, wide, NAME_MM[-1])), NAME_MM[-1]
    yield (fitted(name, wide, NAME_MM[-1]),), NAME_MM[-1]


def _broken(name: str, wide: float, size: float) -> tuple[str, str]:
    """A name in two, at its last blank that still lies on the first line, or within a word."""
    whole = max(
        (at for at in range(1, len(name) + 1) if width_of(name[:at], size) <= wide), default=1
    )
    if whole == len(name):
        return name, ""
    blank = name.rfind(" ", 0, whole + 1)
    at = blank if blank > 0 else whole
    return name[:at].rstrip(), name[at:].lstrip()
