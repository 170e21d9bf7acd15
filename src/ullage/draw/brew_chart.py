"""Brewing ahead as one picture: fermenters, kegs and taps on one axis of days.

Bars bear the name of their beer. What is begun is solid, what is planned dashed; parties and
seasons are hatched across all rows, a tap with nothing to pour says so. There are two layouts: a
wide one with the rows' names at the left, and a narrow one for phones with them above their bars.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.metric import fitted, width_of
from ullage.draw.plot import stroke, text
from ullage.draw.strips import dated, label, year_row
from ullage.draw.svg import Caption, sheet
from ullage.draw.theme import day_text
from ullage.plan.brewing_answer import Bar, BrewingAnswer, Doing, RowKind
from ullage.plan.spoken import part

MOST_WEEKS: Final = 16
"""So far ahead is drawn; what comes after that stands in the list."""
BAR: Final = 18.0
GROUP_GAP: Final = 10.0
FOOT: Final = 54.0
PAD: Final = 4.0
DRY: Final = "dry"
DANGER: Final = theme.PAPER_COLOURS["danger"]
FILLED: Final[tuple[Doing, ...]] = ("ferments", "pours")
WORDS: Final[dict[Doing, str]] = {
    "ferments": "ferments",
    "waits": "is done and waits",
    "carbonates": "takes up its gas",
    "ready": "is ready and waits",
    "pours": "is poured",
    "dry": "has nothing to pour",
}


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things are, in pixels. `above`: a row's name stands above its bars, not beside them."""

    left: float
    width: float
    row: float
    top: float
    weeks_apart: int
    above: bool

    @property
    def whole(self) -> float:
        """The picture's width."""
        return self.left + self.width + 8.0


WIDE: Final = Layout(left=104.0, width=720.0, row=26.0, top=34.0, weeks_apart=1, above=False)
NARROW: Final = Layout(left=2.0, width=348.0, row=40.0, top=34.0, weeks_apart=3, above=True)


def brew_chart(
    answer: BrewingAnswer, *, narrow: bool = False, standalone: bool = False, prefix: str = ""
) -> str:
    """Draw the plan and give the finished SVG."""
    drawing = _Drawing(answer, NARROW if narrow else WIDE)
    body = [*drawing.drawn()]
    caption = Caption(
        prefix or ("brew-narrow" if narrow else "brew"),
        f"Brewing from {day_text(answer.at)} to {day_text(drawing.end, answer.at)}",
        describe(answer),
    )
    return sheet(drawing.layout.whole, drawing.height, caption, body, standalone)


def describe(answer: BrewingAnswer) -> str:
    """Say in words what the chart shows."""
    said = [
        f"{one.beer} is brewed into {part('fermenter', one.fermenter)} on "
        f"{day_text(one.brew_at, answer.at)}."
        for one in answer.brews
    ]
    said += [
        f"{one.tap} has nothing to pour from {_span(one.begins, one.ends, answer.at)}."
        for one in answer.dry
    ]
    said += [
        f"{one.about} from {_span(one.begins, one.ends, answer.at)}." for one in answer.gatherings
    ]
    return " ".join(said) or "Nothing is brewed and no tap runs dry."


@dataclass(frozen=True, slots=True)
class _Drawing:
    """One picture of an answer in a layout."""

    answer: BrewingAnswer
    layout: Layout

    @property
    def end(self) -> datetime:
        """The right edge."""
        return min(self.answer.until, self.answer.at + timedelta(weeks=MOST_WEEKS))

    @property
    def foot(self) -> float:
        """Where the rows end."""
        kinds = {row.kind for row in self.answer.rows}
        gaps = GROUP_GAP * max(len(kinds) - 1, 0)
        return self.layout.top + self.layout.row * len(self.answer.rows) + gaps

    @property
    def height(self) -> float:
        """The picture's height."""
        return self.foot + FOOT + self.years

    @property
    def mondays(self) -> list[tuple[float, datetime]]:
        """The Mondays that are told, each with its place."""
        left, right = self.layout.left + 46, self.layout.left + self.layout.width - 14
        told = _mondays(self.answer.at, self.end)[:: self.layout.weeks_apart]
        return [(self.x(day), day) for day in told if left < self.x(day) < right]

    @property
    def years(self) -> float:
        """The room for years below those days."""
        return year_row(self.mondays, self.answer.at)

    def x(self, when: datetime) -> float:
        """Pixels from the left edge."""
        share = (when - self.answer.at) / (self.end - self.answer.at)
        return self.layout.left + min(max(share, 0.0), 1.0) * self.layout.width

    def tops(self) -> dict[tuple[RowKind, str], float]:
        """The upper edge of each row."""
        found: dict[tuple[RowKind, str], float] = {}
        at, before = self.layout.top, None
        for row in self.answer.rows:
            if before is not None and row.kind != before:
                at += GROUP_GAP
            found[row.kind, row.name] = at
            at, before = at + self.layout.row, row.kind
        return found

    def drawn(self) -> Iterator[ET.Element]:
        """Everything, the ground first."""
        tops = self.tops()
        yield from self._weeks()
        yield from self._gatherings()
        yield from self._names(tops)
        for bar in self.answer.bars:
            if bar.begins < self.end and (bar.row_kind, bar.row) in tops:
                yield from self._bar(bar, tops[bar.row_kind, bar.row])
        yield from self._now()

    def _weeks(self) -> Iterator[ET.Element]:
        """Mondays as hairlines, with their day."""
        for day in _mondays(self.answer.at, self.end):
            x = self.x(day)
            yield stroke(
                f"M{x:.1f},{self.layout.top - 4:.1f}V{self.foot + 4:.1f}",
                theme.HAIRLINE,
                theme.HAIR,
            )
        yield from dated(self.mondays, self.foot + 17, self.answer.at, theme.QUIET)

    def _gatherings(self) -> Iterator[ET.Element]:
        for one in self.answer.gatherings:
            if one.begins >= self.end:
                continue
            left, right = self.x(one.begins), max(self.x(one.ends), self.x(one.begins) + 4)
            top = self.layout.top - 4
            box = f"M{left:.1f},{top:.1f}H{right:.1f}V{self.foot + 4:.1f}H{left:.1f}z"
            yield stroke(box, theme.HAIRLINE, theme.INK, fill=theme.HATCH)
            yield self._at_top((left + right) / 2, one.about)

    def _at_top(self, x: float, said: str) -> ET.Element:
        """A word above the rows, kept inside the picture."""
        word = fitted(said, self.layout.width / 2, theme.NUMBER_SIZE)
        half = width_of(word, theme.NUMBER_SIZE) / 2
        low, high = half + 2, self.layout.whole - half - 2
        return label((min(max(x, low), max(low, high)), self.layout.top - 9), word)

    def _names(self, tops: dict[tuple[RowKind, str], float]) -> Iterator[ET.Element]:
        layout, before = self.layout, None
        for (kind, name), top in tops.items():
            if before is not None and kind != before:
                y = top - GROUP_GAP / 2
                yield stroke(f"M0,{y:.1f}H{layout.whole:.1f}", theme.HAIRLINE, theme.HAIR)
            before = kind
            told = part(kind, name)
            said = f"{told[:1].upper()}{told[1:]}"
            if layout.above:
                word = fitted(said, layout.width - 4, theme.TEXT_SIZE)
                yield label((layout.left, top + 13), word, "start")
            else:
                word = fitted(said, layout.left - 10, theme.TEXT_SIZE)
                yield text((2, top + 16), word, "start", theme.TEXT_SIZE)

    def _bar(self, bar: Bar, top: float) -> Iterator[ET.Element]:
        left, right = self.x(bar.begins), self.x(bar.ends)
        upper = top + (self.layout.row - BAR - 2.0 if self.layout.above else 3.0)
        box = f"M{left:.1f},{upper:.1f}H{right:.1f}V{upper + BAR:.1f}H{left:.1f}z"
        is_dry = bar.doing == "dry"
        ink = DANGER if is_dry else theme.INK
        fill = theme.TINT if bar.doing in FILLED else theme.PAPER
        dash = {"stroke-dasharray": "4,3"} if bar.planned and not is_dry else {}
        shape = stroke(box, theme.LINE if is_dry else theme.THIN, ink, fill=fill, **dash)
        ET.SubElement(shape, "title").text = _hover(bar, self.answer.at)
        yield shape
        yield from self._word(bar, (left, right), upper)

    def _word(self, bar: Bar, sides: tuple[float, float], upper: float) -> Iterator[ET.Element]:
        """The beer's name in its bar, cut where there is no room for all of it."""
        if bar.doing == "dry":
            yield self._dry(sides, upper)
            return
        room = sides[1] - sides[0] - 2 * PAD
        if room >= width_of(bar.beer[:1] + "…", theme.NUMBER_SIZE):
            word = fitted(bar.beer, room, theme.NUMBER_SIZE)
            yield text((sides[0] + PAD, upper + 13), word, "start")

    def _dry(self, sides: tuple[float, float], upper: float) -> ET.Element:
        """The word for a tap with nothing to pour, or a cross where its span is too short."""
        left, right = sides
        if right - left >= width_of(DRY, theme.NUMBER_SIZE) + 2:
            return text((left + 2, upper + 13), DRY, "start", colour=DANGER)
        wide, high = f"{right - left:.1f}", f"{BAR:.1f}"
        cross = f"M{left:.1f},{upper:.1f}l{wide},{high}m0,-{high}l-{wide},{high}"
        return stroke(cross, theme.THIN, DANGER)

    def _now(self) -> Iterator[ET.Element]:
        x = self.layout.left
        yield stroke(
            f"M{x:.1f},{self.layout.top - 8:.1f}V{self.foot + 8:.1f}", theme.THIN, theme.QUIET
        )
        yield text((x, self.foot + 17), "now", "start", colour=theme.QUIET)
        for number, said in enumerate(self._legend()):
            at = (self.layout.left, self.foot + 34 + self.years + 14 * number)
            yield text(at, said, "start", colour=theme.QUIET)

    def _legend(self) -> tuple[str, ...]:
        """What outlines and fills mean, in as many lines as there is room for."""
        said = ("Dashed: planned. Filled: ferments or pours.", "Open: waits, or takes up its gas.")
        return said if self.layout.above else (" ".join(said),)


def _mondays(begin: datetime, end: datetime) -> list[datetime]:
    first = begin.replace(hour=0, minute=0, second=0, microsecond=0)
    first += timedelta(days=(7 - first.weekday()) % 7 or 7)
    count = max(int((end - first) / timedelta(days=7)) + 1, 0)
    return [first + timedelta(days=7 * number) for number in range(count)]


def _hover(bar: Bar, at: datetime) -> str:
    what = f"{bar.beer} {WORDS[bar.doing]}" if bar.doing != "dry" else f"{bar.row} has nothing"
    return f"{what}, {_span(bar.begins, bar.ends, at)}"


def _span(begins: datetime, ends: datetime, at: datetime) -> str:
    return f"{day_text(begins, at)} to {day_text(ends, at)}"
