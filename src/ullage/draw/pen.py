"""A pen that draws parts of a sheet and keeps account of where it has put ink.

Strokes and texts of one look are gathered into one element for each part, so a sheet of many parts
stays small. The account (`boxes` of symbols and texts, `lines`, `hits` of the parts) is what tests
hold the layout to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from typing import Literal, TypeAlias
from xml.sax.saxutils import escape, quoteattr

from ullage.draw import theme
from ullage.draw.live import Link, PartRef
from ullage.draw.metric import fitted, width_of
from ullage.draw.svg import ROLE_OF

Point: TypeAlias = tuple[float, float]
Inks: TypeAlias = Callable[[str | None, str | None], str]
Anchor: TypeAlias = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the sheet and what stands in it, in pixels."""

    left: float
    top: float
    right: float
    bottom: float
    what: str = ""

    def overlaps(self, other: Box) -> bool:
        """Whether two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Stroke:
    """The look of a line, and of the area it closes."""

    weight: float = theme.THIN
    colour: str | None = theme.INK
    dashes: tuple[float, ...] = ()
    fill: str | None = None


@dataclass(frozen=True, slots=True)
class Type:
    """The look of a text: words in the words' face, numbers in the figures'."""

    size: float
    colour: str = theme.INK
    anchor: Anchor = "start"
    numbers: bool = False


PIPE = Stroke()
BEER = Stroke(theme.LINE)
FINE = Stroke(theme.HAIRLINE)
SOLID = Stroke(colour=None, fill=theme.INK)
WORDS = Type(12.0)
NUMBERS = Type(11.0, numbers=True)
DEGREES = Type(11.0)
SETTING = Type(11.0, theme.ACCENT, numbers=True)
SMALL = Type(9.5, theme.QUIET)
WARNING = Type(9.5, theme.WARN)
TAG = Type(8.0, anchor="middle")


@dataclass(slots=True)
class _Ink:
    """What one part has drawn so far, gathered by look."""

    paths: dict[Stroke, list[str]] = field(default_factory=dict)
    texts: dict[Type, list[tuple[float, float, str]]] = field(default_factory=dict)

    def svg(self, inked: Inks) -> Iterator[str]:
        for stroke, paths in self.paths.items():
            yield f'<path d="{"".join(paths)}"{_stroke_look(stroke, inked)}/>'
        for look, texts in self.texts.items():
            yield f"<g{_type_look(look, inked)}>"
            for x, y, said in texts:
                yield f'<text x="{_n(x)}" y="{_n(y)}">{escape(said)}</text>'
            yield "</g>"


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the sheet: what it is called, where it leads, the area it answers to, its ink."""

    name: str
    address: str | None
    hit: Box
    ink: _Ink

    def svg(self, inked: Inks) -> Iterator[str]:
        title = f"<title>{escape(self.name)}</title>"
        if self.address is None:
            yield f"<g>{title}"
        else:
            yield f"<a href={quoteattr(self.address)}>{title}"
            yield f'<path class="hit" d="{_rectangle(self.hit)}" pointer-events="all"/>'
        yield from self.ink.svg(inked)
        yield "</g>" if self.address is None else "</a>"


class Pen:
    """Draws on one sheet; `link` gives the address of a part's page."""

    def __init__(self, link: Link | None = None) -> None:
        """Start an empty sheet."""
        self._link = link
        self._ground = self._ink = _Ink()
        self._parts: list[_Part] = []
        self.boxes: list[Box] = []
        self.lines: list[tuple[Point, Point]] = []
        self.hits: dict[PartRef, Box] = {}

    @property
    def linked(self) -> bool:
        """Whether any part is a link."""
        return any(part.address is not None for part in self._parts)

    def svg(self, *, standalone: bool = False) -> str:
        """Write all that was drawn, what joins the parts beneath; in classes, or in colours."""
        inked: Inks = _coloured if standalone else _classed
        parts = (text for part in self._parts for text in part.svg(inked))
        return "".join([*self._ground.svg(inked), *parts])

    @contextmanager
    def part(self, ref: PartRef, name: str, hit: Box) -> Iterator[None]:
        """Draw within a part that is called `name`, and is a link if it has an address.

        `hit` is the area that takes the finger or the pointer.
        """
        before, self._ink = self._ink, _Ink()
        yield
        address = None if self._link is None else self._link(ref)
        self._parts.append(_Part(name, address, hit, self._ink))
        self._ink = before
        self.hits[ref] = hit

    def path(self, path: str, stroke: Stroke = PIPE) -> None:
        """Draw a path that is no obstacle to others, or whose symbol is accounted for."""
        self._ink.paths.setdefault(stroke, []).append(path)

    def symbol(self, path: str, box: Box, stroke: Stroke = PIPE) -> None:
        """Draw a symbol that fills a box."""
        self.path(path, stroke)
        self.boxes.append(box)

    def line(self, points: Sequence[Point], stroke: Stroke = PIPE) -> None:
        """Draw straight from point to point, upright or level."""
        (x, y), *rest = points
        path = f"M{_n(x)},{_n(y)}"
        for before, (here_x, here_y) in pairwise(points):
            path += f"V{_n(here_y)}" if here_x == before[0] else f"H{_n(here_x)}"
        self.path(path, stroke)
        self.lines += pairwise([(x, y), *rest])

    def joint(self, x: float, y: float) -> None:
        """Mark where two lines are joined; lines that only cross bear no mark."""
        self.path(f"M{_n(x - 2.2)},{_n(y)}a2.2,2.2,0,1,0,4.4,0a2.2,2.2,0,1,0,-4.4,0", SOLID)

    def text(self, at: Point, said: str, look: Type, room: float | None = None) -> None:
        """Write a line with its foot at `at`; cut to `room` pixels if it is wider."""
        if not said:
            return
        shown = said if room is None else fitted(said, room, look.size, look.numbers)
        x, y = at
        self._ink.texts.setdefault(look, []).append((x, y, shown))
        wide = width_of(shown, look.size, look.numbers)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[look.anchor]
        box = Box(left, y - 0.76 * look.size, left + wide, y + 0.22 * look.size, shown)
        self.boxes.append(box)


def _n(number: float) -> str:
    return f"{round(number, 1):g}"


def _rectangle(box: Box) -> str:
    wide, high = _n(box.right - box.left), _n(box.bottom - box.top)
    return f"M{_n(box.left)},{_n(box.top)}h{wide}v{high}h-{wide}z"


def _coloured(fill: str | None, stroke: str | None) -> str:
    return (f' fill="{fill}"' if fill else "") + (f' stroke="{stroke}"' if stroke else "")


def _classed(fill: str | None, stroke: str | None) -> str:
    roles = [f"f-{ROLE_OF[fill]}"] if fill else []
    roles += [f"s-{ROLE_OF[stroke]}"] if stroke else []
    return f' class="{" ".join(roles)}"'


@cache
def _stroke_look(stroke: Stroke, inked: Inks) -> str:
    look = inked(stroke.fill, stroke.colour)
    if stroke.colour is not None and stroke.weight != theme.THIN:
        look += f' stroke-width="{stroke.weight:g}"'
    if stroke.dashes:
        look += f' stroke-dasharray="{",".join(f"{dash:g}" for dash in stroke.dashes)}"'
    return look


@cache
def _type_look(look: Type, inked: Inks) -> str:
    found = f'{inked(look.colour, None)} font-size="{look.size:g}"'
    if look.anchor != "start":
        found += f' text-anchor="{look.anchor}"'
    if look.numbers:
        found += f' font-family="{theme.NUMBERS_FONT}"'
    return found
