"""The single-line diagram of a system: its parts, how they are joined, what is known of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from ullage.draw.layout import MARGIN, cells_of, lay_out_wide
from ullage.draw.live import Estimated, Link, Live, PartRef, Told
from ullage.draw.metric import width_of
from ullage.draw.narrow import EDGE, draw_narrow
from ullage.draw.pen import SMALL, Box, Pen, Point
from ullage.draw.scene import Scene
from ullage.draw.svg import Caption, Size, named
from ullage.draw.symbols import BUBBLE, bubble
from ullage.draw.wide import draw_wide
from ullage.system.model import System
from ullage.units import UnitSystem

Variant: TypeAlias = Literal["wide", "narrow"]
LARGEST: Final = 1.5
"""A small system is shown at most this many times its own pixels."""
PAGE: Final = 1400.0
SMALLEST: Final = 390.0
BETWEEN: Final = 14.0
LETTERS: Final = (
    "AI carbonation",
    "TI temperature",
    "LI beer left",
    "PI gauge pressure",
    "WI gas left",
)
READ: Final = "read, or as you told it"
WORKED_OUT: Final = "worked out: ≈, with its 80 % band ±"


@dataclass(frozen=True, slots=True)
class Diagram:
    """A diagram as drawn, with the account of where it has put what, in its own pixels."""

    pen: Pen
    width: float
    height: float
    caption: Caption
    variant: Variant

    @property
    def boxes(self) -> list[Box]:
        """Where symbols and texts stand."""
        return self.pen.boxes

    @property
    def lines(self) -> list[tuple[Point, Point]]:
        """The straight lines between symbols."""
        return self.pen.lines

    @property
    def hits(self) -> dict[PartRef, Box]:
        """The area of each part that takes a finger or a pointer."""
        return self.pen.hits

    def svg(self, *, standalone: bool = False) -> str:
        """Write it out: for a page with our classes, or to stand alone in paper's colours."""
        size = 1.0 if self.variant == "narrow" else min(LARGEST, max(1.0, PAGE / self.width))
        body = self.pen.svg(standalone=standalone)
        return named(
            Size(self.width, self.height, size),
            self.caption,
            body,
            standalone=standalone,
            role="group" if self.pen.linked else "img",
        )


def single_line(
    system: System,
    live: Live,
    units: UnitSystem,
    *,
    variant: Variant = "wide",
    link: Link | None = None,
    prefix: str = "line",
    standalone: bool = False,
) -> str:
    """Draw cylinders, regulators, gas lines, kegs with their levels, beer lines and faucets as SVG.

    `wide` is drawn for a page of 1400 pixels, `narrow` for a phone of 390. `link` gives the
    address that a part leads to. `prefix` begins every id, so that a page may hold several.
    """
    drawn = diagram(system, live, units, variant=variant, link=link, prefix=prefix)
    return drawn.svg(standalone=standalone)


def diagram(
    system: System,
    live: Live,
    units: UnitSystem,
    *,
    variant: Variant = "wide",
    link: Link | None = None,
    prefix: str = "line",
) -> Diagram:
    """Draw as `single_line` does, and give the account of it too."""
    pen, scene = Pen(link), Scene(system, live, units)
    cells = cells_of(system)
    if variant == "wide":
        layout = lay_out_wide(cells)
        draw_wide(pen, scene, layout)
        width, height = layout.width, layout.height
    else:
        width, height = draw_narrow(pen, scene, cells)
    width, height = _key(pen, width, height, bool(cells))
    described = "Every part is a link." if pen.linked else scene.described()
    caption = Caption(prefix, f"Single-line diagram of {system.name}", described)
    return Diagram(pen, width, height, caption, variant)


def _key(pen: Pen, width: float, height: float, drawn: bool) -> tuple[float, float]:
    """Explain the tags below the drawing; give the size of the sheet with its key."""
    if not drawn:
        pen.text((MARGIN, height - 16), "Nothing is described yet.", SMALL)
        return width, height
    x, y = MARGIN + EDGE, height + BUBBLE + 4
    for known, words in ((Told(0.0), READ), (Estimated(0.0), WORKED_OUT)):
        bubble(pen, x + BUBBLE, y, "tag", None, known)
        pen.text((x + 2 * BUBBLE + 5, y + 3.5), words, SMALL)
        x += 2 * BUBBLE + 5 + width_of(words, SMALL.size) + BETWEEN
    y += 3.5
    wide = sum(width_of(words, SMALL.size) + BETWEEN for words in LETTERS)
    fits = x + wide <= max(width, SMALLEST)
    for at, words in enumerate(LETTERS):
        if not fits and at % 3 == 0:
            x, y = MARGIN + EDGE, y + 18
        pen.text((x, y), words, SMALL)
        x += width_of(words, SMALL.size) + BETWEEN
    return max(width, SMALLEST), y + BUBBLE + 4
