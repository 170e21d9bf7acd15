"""A keg through time: carbonation, pressure, temperature and beer left, one below the other.

All four share one axis of days. What happened is solid, what is planned dashed, and a hairline
stands at now. Drawn by hand: a charting engine would take longer than the replay itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.metric import width_of
from ullage.draw.plot import TICK, Plot, Range, stroke, text
from ullage.draw.strips import axes, beside, dated, label, midnights, ring, straightened, year_row
from ullage.draw.svg import Caption, sheet, slug
from ullage.plan.answers import Band
from ullage.plan.forecast import Forecast
from ullage.plan.keg_timeline import KegPoint, KegTimeline, Quantity
from ullage.plan.spoken import date_text, part
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

LEFT: Final = 40.0
WIDE: Final = 326.0
HIGH: Final = 78.0
GAP: Final = 34.0
TOP: Final = 22.0
FOOT: Final = 38.0
MARK: Final = 3.2
KINDS: Final[dict[Quantity, Kind]] = {
    "level_vol": Kind.CARBONATION,
    "gauge_pressure_pa": Kind.PRESSURE,
    "temperature_k": Kind.TEMPERATURE,
    "beer_m3": Kind.VOLUME,
}
SIGNS: Final[dict[Quantity, tuple[str, str]]] = {
    "level_vol": ("vol", "g/L"),
    "gauge_pressure_pa": ("psi", "bar"),
    "temperature_k": ("degF", "degC"),
    "beer_m3": ("gal", "L"),
}
TITLES: Final[dict[Quantity, str]] = {
    "level_vol": "CO2 in the beer",
    "gauge_pressure_pa": "Pressure in the keg",
    "temperature_k": "Temperature of the beer",
    "beer_m3": "Beer left",
}
LEAST_SPAN: Final[dict[Quantity, float]] = {
    "level_vol": 0.8,
    "gauge_pressure_pa": 4e4,
    "temperature_k": 4.0,
    "beer_m3": 2e-3,
}
"""Show at least so much of each, in SI, or a change too small to matter looks like a cliff."""


@dataclass(frozen=True, slots=True)
class Expected:
    """When the keg is expected to be ready and to be kicked, where that can be told."""

    ready: Forecast | None = None
    kicked: Forecast | None = None


NOTHING: Final = Expected()


def keg_timeline_chart(
    line: KegTimeline,
    units: UnitSystem,
    expected: Expected = NOTHING,
    *,
    standalone: bool = False,
    prefix: str | None = None,
) -> str:
    """Draw a keg's four courses over its days, and give the finished SVG."""
    panels = [_Panel(line, quantity, units, place) for place, quantity in enumerate(KINDS)]
    body = [part for panel in panels for part in panel.drawn(expected)]
    body += _foot(panels[-1])
    height = panels[-1].plot.foot + FOOT + panels[-1].years
    caption = Caption(
        prefix or f"timeline-{slug(line.keg)}",
        f"{line.batch} in {part('keg', line.keg)}, {theme.local_day(_begin(line), line.now)} to "
        f"{theme.local_day(_end(line), line.now)}",
        describe(line, units, expected),
    )
    return sheet(LEFT + WIDE + 12, height, caption, body, standalone)


def describe(line: KegTimeline, units: UnitSystem, expected: Expected = NOTHING) -> str:
    """Say in words what the chart shows."""
    now, last = line.past[-1], line.ahead[-1]
    said = [f"Now {_shown(TITLES[one], _value(now, one), one, units)}." for one in KINDS]
    if line.target_vol is not None:
        said.append(_shown("Wanted", line.target_vol, "level_vol", units) + ".")
    if line.steps:
        ahead = _shown("CO2 in the beer", last.level_vol.value, "level_vol", units)
        said.append(f"If the plan is followed, on {theme.local_day(last.at, line.now)}: {ahead}.")
    said += [
        f"Expected {word} {theme.day_text(found.at, line.now)}."
        for word, found in (("ready", expected.ready), ("kicked", expected.kicked))
        if found is not None and found.at is not None
    ]
    return " ".join(said)


@dataclass(frozen=True, slots=True)
class _Panel:
    """One of the four strips: which quantity it shows, in which units, and its place from top."""

    line: KegTimeline
    quantity: Quantity
    units: UnitSystem
    place: int

    @property
    def plot(self) -> Plot:
        """Where its numbers lie."""
        low, high = self._bounds()
        top = TOP + self.place * (HIGH + GAP)
        days = Range("", 0.0, self.day(_end(self.line)))
        return Plot(LEFT, top, WIDE, HIGH, days, Range("", low, high, 4))

    @property
    def days(self) -> list[tuple[float, datetime]]:
        """The midnights that are told at the foot, each with its place."""
        plot = self.plot
        found = [
            (plot.x(self.day(one)), one) for one in midnights(_begin(self.line), _end(self.line))
        ]
        return [(x, one) for x, one in found if LEFT - 8 < x < LEFT + WIDE - 8]

    @property
    def years(self) -> float:
        """The room for years below those days."""
        return year_row(self.days, self.line.now)

    def day(self, when: datetime) -> float:
        """Days since the chart's left edge."""
        return (when - _begin(self.line)) / timedelta(days=1)

    def of(self, value: float) -> float:
        """The number to show for an SI value."""
        return to_unit(value, SIGNS[self.quantity][0 if self.units == "us" else 1])

    def drawn(self, expected: Expected) -> Iterator[ET.Element]:
        """Everything in this strip, the ground first."""
        plot = self.plot
        yield from self._tint(plot, self.line.past)
        yield from self._tint(plot, self.line.ahead)
        yield from self._wanted(plot)
        yield from self._course(plot, self.line.past, False)
        yield from self._course(plot, self.line.ahead, True)
        if self.quantity == "beer_m3":
            yield from self._drunk(plot, expected)
        if self.quantity == "level_vol":
            yield from self._ready(plot, expected.ready)
        now = plot.x(self.day(self.line.now))
        yield stroke(f"M{now:.1f},{plot.top:.1f}V{plot.foot:.1f}", theme.HAIRLINE, theme.QUIET)
        yield from self._readings(plot)
        yield from axes(plot)
        yield from self._title(plot)

    def _bounds(self) -> tuple[float, float]:
        found = [self.of(value) for value in self._values()]
        step = LEAST_SPAN[self.quantity]
        least = abs(self.of(step) - self.of(0.0))
        low, high = min(found), max(found)
        if self.quantity == "beer_m3":
            return 0.0, self.of(self.line.capacity_m3)
        if self.quantity == "gauge_pressure_pa":
            low = min(low, 0.0)
        room = max(least - (high - low), 0.12 * (high - low))
        floor = low if self.quantity == "gauge_pressure_pa" else low - room / 2
        return floor, high + room / 2

    def _values(self) -> Iterator[float]:
        for point in (*self.line.past, *self.line.ahead):
            found = getattr(point, self.quantity)
            yield from (found.low, found.high) if isinstance(found, Band) else (found,)
        yield from (one.value for one in self.line.readings if one.quantity == self.quantity)
        target, near = self.line.target_vol, self.line.tolerance_vol
        if self.quantity == "level_vol" and target is not None and near is not None:
            yield from (target - near, target + near)

    def _wanted(self, plot: Plot) -> Iterator[ET.Element]:
        """The target's band, hatched, with its word."""
        target, near = self.line.target_vol, self.line.tolerance_vol
        if self.quantity != "level_vol" or target is None or near is None:
            return
        top, foot = plot.y(self.of(target + near)), plot.y(self.of(target - near))
        box = f"M{LEFT:.1f},{top:.1f}h{WIDE:g}V{foot:.1f}h-{WIDE:g}z"
        yield ET.Element("path", {"d": box, "fill": theme.HATCH})
        yield stroke(f"M{LEFT:.1f},{plot.y(self.of(target)):.1f}h{WIDE:g}", theme.HAIRLINE)

    def _tint(self, plot: Plot, points: Sequence[KegPoint]) -> Iterator[ET.Element]:
        """The band of the course, below the hatching, which it would hide."""
        if self.quantity == "temperature_k":
            return
        bands = [(self.day(one.at), getattr(one, self.quantity)) for one in points]
        above = [(day, self.of(found.high)) for day, found in bands]
        below = [(day, self.of(found.low)) for day, found in reversed(bands)]
        if any(abs(high - low) > 1e-9 for (_, high), (_, low) in zip(above, below, strict=True)):
            area = plot.line([*above, *below]) + "z"
            yield ET.Element("path", {"d": area, "fill": theme.TINT, "fill-opacity": "0.8"})

    def _course(
        self, plot: Plot, points: Sequence[KegPoint], planned: bool
    ) -> Iterator[ET.Element]:
        places = [(self.day(one.at), one) for one in points]
        if planned and self.quantity == "beer_m3":
            return
        shown = [(day, self.of(_value(one, self.quantity))) for day, one in places]
        dash = {"stroke-dasharray": "5,3"} if planned else {}
        yield stroke(plot.line(straightened(shown, plot)), theme.LINE, **dash)

    def _drunk(self, plot: Plot, expected: Expected) -> Iterator[ET.Element]:
        """Beer left ahead: level until something is drunk, then in a straight line to the kick."""
        line, kicked = self.line, expected.kicked
        left, end = line.past[-1].beer_m3.value, self.day(_end(line))
        now, last = self.day(line.now), left
        if kicked is not None and kicked.at is not None:
            gone = self.day(kicked.at)
            share = min((end - now) / max(gone - now, 1e-6), 1.0)
            end, last = min(end, gone), left * (1.0 - share)
        path = plot.line([(now, self.of(left)), (end, self.of(last))])
        yield stroke(path, theme.LINE, **{"stroke-dasharray": "5,3"})
        if last <= 0.0 and kicked is not None and kicked.at is not None:
            yield ring(plot, end, 0.0)
            yield label(
                (LEFT + WIDE, plot.top + 12), f"kicked {theme.day_text(kicked.at, line.now)}", "end"
            )

    def _ready(self, plot: Plot, ready: Forecast | None) -> Iterator[ET.Element]:
        """A ring where the level first lies as wanted, with its day."""
        if ready is None or ready.at is None or not self.line.now < ready.at <= _end(self.line):
            return
        when = ready.at
        after = [one for one in self.line.ahead if one.at >= when]
        level = self.of((after[0] if after else self.line.ahead[-1]).level_vol.value)
        yield ring(plot, self.day(when), level)
        yield from beside(
            plot, self.day(when), plot.up.low, f"ready {theme.day_text(when, self.line.now)}"
        )

    def _readings(self, plot: Plot) -> Iterator[ET.Element]:
        """A cross for each reading, with its date where there is room."""
        free = -1e9
        for one in self.line.readings:
            if one.quantity != self.quantity:
                continue
            x, y = plot.x(self.day(one.at)), plot.y(self.of(one.value))
            cross = f"M{x - MARK:.1f},{y - MARK:.1f}l{2 * MARK:g},{2 * MARK:g}m0,-{2 * MARK:g}"
            mark = stroke(f"{cross}l-{2 * MARK:g},{2 * MARK:g}", theme.THIN)
            said = date_text(one.at.astimezone(), self.line.now)
            ET.SubElement(mark, "title").text = f"Read on {said}: {self._number(one.value)}"
            yield mark
            half = width_of(said, theme.NUMBER_SIZE) / 2
            if x - half > free and x - half > LEFT and x + half < LEFT + WIDE:
                free = x + half + 4
                above = y - MARK - 4 > plot.top + theme.NUMBER_SIZE
                yield label((x, y - MARK - 4 if above else y + MARK + 12), said)

    def _title(self, plot: Plot) -> Iterator[ET.Element]:
        sign = SIGNS[self.quantity][0 if self.units == "us" else 1]
        unit = {"vol": "volumes", "degF": "°F", "degC": "°C"}.get(sign, sign)
        foot = plot.top - 8
        yield text((2, foot), f"{TITLES[self.quantity]}, {unit}", "start", theme.TEXT_SIZE)
        now = self._number(_value(self.line.past[-1], self.quantity))
        yield text((LEFT + WIDE, foot), f"now {now}", "end", theme.TEXT_SIZE)

    def _number(self, value: float) -> str:
        return format_quantity(value, KINDS[self.quantity], self.units)


def _foot(panel: _Panel) -> Iterator[ET.Element]:
    """The days below the lowest strip, and the word at the hairline of now."""
    plot, line = panel.plot, panel.line
    days = midnights(_begin(line), _end(line))
    marks = "".join(f"M{plot.x(panel.day(day)):.1f},{plot.foot:.1f}v{TICK:g}" for day in days)
    yield stroke(marks, theme.HAIRLINE)
    yield from dated(panel.days, plot.foot + 16, line.now)
    now, words = plot.x(panel.day(line.now)), plot.foot + 31 + panel.years
    edge = min(max(now, LEFT + 10), LEFT + WIDE - 10)
    yield text((edge, words), "now", colour=theme.QUIET)
    if line.steps and now < LEFT + WIDE - 120:
        yield text((LEFT + WIDE, words), "dashed: as planned", "end", colour=theme.QUIET)


def _value(point: KegPoint, quantity: Quantity) -> float:
    found = getattr(point, quantity)
    return float(found.value if isinstance(found, Band) else found)


def _shown(name: str, value: float, quantity: Quantity, units: UnitSystem) -> str:
    return f"{name} {format_quantity(value, KINDS[quantity], units)}"


def _begin(line: KegTimeline) -> datetime:
    """The left edge: the first point, or a day before now where it was filled just now."""
    return min(line.past[0].at, line.now - timedelta(days=1))


def _end(line: KegTimeline) -> datetime:
    return line.ahead[-1].at
