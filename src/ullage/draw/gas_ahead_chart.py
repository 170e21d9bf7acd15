"""A cylinder through time: what it held, what it will hold, when to refill it.

What the log tells is solid, what is expected dashed with its band as a tint, a hairline stands at
now. Weighings are crosses with their dates. Drawn by hand, as the keg's timeline is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import gas_ahead_words as words
from ullage.draw import theme
from ullage.draw.metric import width_of
from ullage.draw.plot import TICK, Plot, Range, stroke, text
from ullage.draw.strips import axes, dated, label, midnights, ring, straightened, year_row
from ullage.draw.svg import Caption, sheet, slug
from ullage.plan.gas_ahead_answer import CylinderGas
from ullage.plan.spoken import date_text, headed
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

LEFT: Final = 40.0
WIDE: Final = 326.0
HIGH: Final = 168.0
TOP: Final = 26.0
FOOT: Final = 40.0
MARK: Final = 3.2
LEAST_BACK: Final = timedelta(days=28)
MOST_BACK: Final = timedelta(days=182)


def gas_ahead_chart(
    one: CylinderGas,
    now: datetime,
    units: UnitSystem,
    *,
    standalone: bool = False,
    prefix: str | None = None,
) -> str:
    """Draw the contents of a cylinder against time, and give the finished SVG."""
    drawn = _Drawing(one, now, units)
    caption = Caption(
        prefix or f"gas-ahead-{slug(one.cylinder)}",
        f"{headed('cylinder', one.cylinder)}: CO2 in it, {theme.day_text(drawn.begin, now)} to "
        f"{theme.day_text(drawn.end, now)}",
        describe(one, now, units),
    )
    height = TOP + HIGH + FOOT + year_row(drawn.days(drawn.plot), now)
    return sheet(LEFT + WIDE + 12, height, caption, list(drawn.parts()), standalone)


def describe(one: CylinderGas, now: datetime, units: UnitSystem) -> str:
    """Say in words what the chart shows."""
    said = [f"Now {words.held(one, units)}.", words.lead(one, now, units)]
    said += [
        f"{point.what} on {theme.day_text(point.at.astimezone(), now)}: "
        f"{format_quantity(point.contents_kg, Kind.MASS, units)}."
        for point in one.known
    ]
    return " ".join(said)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The chart of one cylinder in some units."""

    one: CylinderGas
    now: datetime
    units: UnitSystem

    @property
    def begin(self) -> datetime:
        """The left edge: as far back as it looks ahead, within bounds, or where the log begins."""
        ahead = self.end - self.now
        back = min(max(ahead, LEAST_BACK), MOST_BACK)
        first = self.one.before[0].at if self.one.before else self.now - LEAST_BACK
        return max(first, self.now - back).astimezone()

    @property
    def end(self) -> datetime:
        """The right edge."""
        return self.one.ahead[-1].at.astimezone()

    @property
    def plot(self) -> Plot:
        """Where its numbers lie."""
        days = Range("", 0.0, self.day(self.end))
        return Plot(LEFT, TOP, WIDE, HIGH, days, Range("", 0.0, 1.04 * self._top(), 5))

    def day(self, when: datetime) -> float:
        """Days since the left edge."""
        return (when - self.begin) / timedelta(days=1)

    def of(self, mass_kg: float) -> float:
        """A mass as it is shown."""
        return to_unit(max(mass_kg, 0.0), "lb" if self.units == "us" else "kg")

    def parts(self) -> Iterator[ET.Element]:
        """Everything, the ground first."""
        plot = self.plot
        yield from self._ahead(plot)
        yield from self._before(plot)
        x = plot.x(self.day(self.now))
        yield stroke(f"M{x:.1f},{plot.top:.1f}V{plot.foot:.1f}", theme.HAIRLINE, theme.QUIET)
        yield from self._refill(plot)
        yield from self._known(plot)
        yield from self._gone(plot)
        yield from axes(plot)
        yield from self._words(plot)

    def _top(self) -> float:
        shown = [point.contents_kg for point in self._past()]
        shown += [point.contents_kg for point in self.one.known if point.at >= self.begin]
        shown += [then.contents_kg.high for then in self.one.ahead]
        return max(*map(self.of, shown), self.of(0.1 * self.one.rated_kg))

    def _past(self) -> list[_Held]:
        return [
            _Held(point.at, point.contents_kg)
            for point in self.one.before
            if point.at >= self.begin
        ]

    def _before(self, plot: Plot) -> Iterator[ET.Element]:
        held = [(self.day(point.at), self.of(point.contents_kg)) for point in self._past()]
        if len(held) > 1:
            yield stroke(plot.line(straightened(held, plot)), theme.LINE)

    def _ahead(self, plot: Plot) -> Iterator[ET.Element]:
        ahead = self.one.ahead
        above = [(self.day(then.at), self.of(then.contents_kg.high)) for then in ahead]
        below = [(self.day(then.at), self.of(then.contents_kg.low)) for then in reversed(ahead)]
        area = plot.line([*above, *below]) + "z"
        yield ET.Element("path", {"d": area, "fill": theme.TINT, "fill-opacity": "0.8"})
        held = [(self.day(then.at), self.of(then.contents_kg.value)) for then in ahead]
        gone = self.one.empty.at
        if gone is not None and gone < ahead[-1].at:
            held = [*(pair for pair in held if pair[0] < self.day(gone)), (self.day(gone), 0.0)]
        dashes = {"stroke-dasharray": "5,3"}
        yield stroke(plot.line(straightened(held, plot)), theme.LINE, **dashes)

    def _refill(self, plot: Plot) -> Iterator[ET.Element]:
        """The day to have it refilled by, as a line of long and short dashes."""
        by = self.one.refill.by
        if by is None or not self.now <= by <= self.end:
            return
        x = plot.x(self.day(by))
        pattern = ",".join(f"{one:g}" for one in theme.LONG_SHORT)
        path = f"M{x:.1f},{plot.top:.1f}V{plot.foot:.1f}"
        yield stroke(path, theme.THIN, theme.WARN, **{"stroke-dasharray": pattern})
        said = "refill now" if self.one.refill.late else f"refill by {words.day(by, self.now)}"
        yield _set(x, plot, plot.top + 11, said)

    def _known(self, plot: Plot) -> Iterator[ET.Element]:
        """A cross for each weighing; its date where the falling line is not, the newest first."""
        free = LEFT + WIDE
        for point in reversed(self.one.known):
            if point.at < self.begin:
                continue
            x, y = plot.x(self.day(point.at)), plot.y(self.of(point.contents_kg))
            cross = f"M{x - MARK:.1f},{y - MARK:.1f}l{2 * MARK:g},{2 * MARK:g}m0,-{2 * MARK:g}"
            mark = stroke(f"{cross}l-{2 * MARK:g},{2 * MARK:g}", theme.THIN)
            said = date_text(point.at.astimezone(), self.now)
            held = format_quantity(point.contents_kg, Kind.MASS, self.units)
            ET.SubElement(mark, "title").text = f"{point.what} on {said}: {held}"
            yield mark
            wide = width_of(said, theme.NUMBER_SIZE)
            if x + MARK - wide > LEFT and x + MARK < free and y + 18 < plot.foot:
                free = x + MARK - wide - 4
                yield label((x + MARK, y + MARK + 13), said, "end")
            elif x + MARK + 2 + wide < free and y - 18 > plot.top:
                free = x - MARK
                yield label((x + MARK + 2, y - MARK - 3), said, "start")

    def _gone(self, plot: Plot) -> Iterator[ET.Element]:
        """A ring where it is empty, with its day."""
        gone = self.one.empty.at
        if gone is None or gone > self.end:
            return
        yield ring(plot, self.day(gone), 0.0)
        said = f"empty {words.day(gone, self.now)}"
        yield label((LEFT + WIDE, plot.top + 27), said, "end")

    def _words(self, plot: Plot) -> Iterator[ET.Element]:
        unit = "lb" if self.units == "us" else "kg"
        yield text((2, TOP - 12), f"CO2 in it, {unit}", "start", theme.TEXT_SIZE)
        now = format_quantity(self.one.contents_kg.value, Kind.MASS, self.units)
        yield text((LEFT + WIDE, TOP - 12), f"now {now}", "end", theme.TEXT_SIZE)
        days = midnights(self.begin, self.end)
        marks = "".join(f"M{plot.x(self.day(one)):.1f},{plot.foot:.1f}v{TICK:g}" for one in days)
        yield stroke(marks, theme.HAIRLINE)
        yield from dated(self.days(plot), plot.foot + 16, self.now)
        edge = min(max(plot.x(self.day(self.now)), LEFT + 10), LEFT + WIDE - 10)
        below = plot.foot + 31 + year_row(self.days(plot), self.now)
        yield text((edge, below), "now", colour=theme.QUIET)

    def days(self, plot: Plot) -> list[tuple[float, datetime]]:
        """The midnights that are told at the foot, each with its place."""
        found = [(plot.x(self.day(one)), one) for one in midnights(self.begin, self.end)]
        return [(x, one) for x, one in found if LEFT - 8 < x < LEFT + WIDE - 8]


@dataclass(frozen=True, slots=True)
class _Held:
    at: datetime
    contents_kg: float


def _set(x: float, plot: Plot, foot: float, said: str) -> ET.Element:
    """A word beside a line, on the side where there is room."""
    room = plot.left + plot.width - x > width_of(said, theme.NUMBER_SIZE) + 10
    return label((x + 6 if room else x - 6, foot), said, "start" if room else "end")
