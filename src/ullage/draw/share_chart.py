"""Beers over one axis of pressure: what keeps each of them, and what the regulators give.

A bar a beer, the upright line in it the pressure that it wants; a hairline for each regulator
through all of them; a ring where a beer hangs, filled where that keeps it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.metric import fitted, width_of
from ullage.draw.plot import TICK, Plot, Range, numeral, stroke, text, tick_text, ticks
from ullage.draw.share_labels import Named, placed
from ullage.draw.share_words import lead_text, level, standing
from ullage.draw.svg import Caption, sheet
from ullage.plan.share_answer import BeerShare, Setting, ShareAnswer
from ullage.units import UnitSystem, pressure_text

LEFT: Final = 12.0
WIDE: Final = 354.0
ROW: Final = 40.0
BAR: Final = 9.0
BAR_TOP: Final = 21.0
LABEL_ROW: Final = 14.0
FOOT: Final = 38.0
WORDS_FOOT: Final = 15.0
NEAR: Final = 3.0
MOST_NAMED: Final = 4
UNUSED: Final = Range("", 0.0, 1.0)
RING: Final = 3.6
SPARE: Final = 0.06
"""Room at both ends of the axis, as a share of what must be shown."""


def share_chart(answer: ShareAnswer, units: UnitSystem, *, standalone: bool = False) -> str:
    """Draw a sharing, and give the finished SVG."""
    drawing = _Drawing.of(answer, units)
    caption = Caption("share", "Which pressures keep which beer", describe(answer, units))
    return sheet(
        LEFT + WIDE + LEFT, drawing.plot.foot + FOOT, caption, list(drawing.drawn()), standalone
    )


def describe(answer: ShareAnswer, units: UnitSystem) -> str:
    """Say in words what the picture shows."""
    each = [
        f"{one.beer} in {one.keg} is kept from "
        f"{pressure_text(one.low_gauge_pressure_pa, units)} to "
        f"{pressure_text(one.high_gauge_pressure_pa, units)} and gets "
        f"{pressure_text(one.gauge_pressure_pa, units)}: {standing(one)}."
        for one in _in_order(answer)
    ]
    return " ".join([lead_text(answer, units), *each])


def _in_order(answer: ShareAnswer) -> list[BeerShare]:
    """The beers by the pressure that they want."""
    return sorted(answer.beers, key=lambda one: (one.wanted_gauge_pressure_pa, one.keg))


def _across(answer: ShareAnswer, units: UnitSystem) -> Range:
    """The axis, from the least to the greatest pressure that is drawn, and some room."""
    scale = theme.pressure_scale(units)
    shown = [
        scale.of(value)
        for one in answer.beers
        for value in (
            one.low_gauge_pressure_pa,
            one.high_gauge_pressure_pa,
            one.gauge_pressure_pa,
        )
    ]
    spare = SPARE * max(max(shown) - min(shown), scale.of(10.0 * answer.step_pa))
    low, high = max(min(shown) - spare, 0.0), max(shown) + spare
    return Range(f"pressure on the gauge, {scale.sign}", low, high, 6)


def _name(one: Setting, many: int, units: UnitSystem) -> str:
    """A regulator's name and pressure; of many, the pressure alone."""
    gauge = pressure_text(one.gauge_pressure_pa or 0.0, units)
    if many > MOST_NAMED:
        return gauge
    return f"{fitted(one.regulator, 0.3 * WIDE, theme.NUMBER_SIZE)}: {gauge}"


@dataclass(frozen=True, slots=True)
class _Row:
    """A beer's row with its words: its name on the left, where it ends on the right."""

    beer: BeerShare
    top: float
    name: str
    ends: str

    def crosses(self, x: float) -> bool:
        """Whether an upright line there would touch its words."""
        left = LEFT + width_of(self.name, theme.TEXT_SIZE) + NEAR
        return x < left or x > LEFT + WIDE - width_of(self.ends, theme.NUMBER_SIZE) - NEAR


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The picture in the making: where the pressures lie, and the regulators' names above."""

    answer: ShareAnswer
    units: UnitSystem
    plot: Plot
    names: tuple[Named, ...]

    @classmethod
    def of(cls, answer: ShareAnswer, units: UnitSystem) -> _Drawing:
        """Lay it out."""
        across, scale = _across(answer, units), theme.pressure_scale(units)
        bare = Plot(0.0, 0.0, WIDE, 1.0, across, UNUSED)
        fed = [one for one in answer.settings if one.gauge_pressure_pa is not None]
        lines = sorted(
            (bare.x(scale.of(one.gauge_pressure_pa or 0.0)), _name(one, len(fed), units))
            for one in fed
        )
        names = placed([(name, x) for x, name in lines], WIDE, theme.NUMBER_SIZE)
        top = LABEL_ROW * (1 + max((one.level for one in names), default=0)) + 8.0
        plot = Plot(LEFT, top, WIDE, ROW * len(answer.beers), across, UNUSED)
        return cls(answer, units, plot, names)

    def x(self, gauge_pa: float) -> float:
        """Pixels from the left of a pressure."""
        return self.plot.x(theme.pressure_scale(self.units).of(gauge_pa))

    def drawn(self) -> Iterator[ET.Element]:
        """Everything, the ground first."""
        plot, beers = self.plot, _in_order(self.answer)
        rows = [self._row(one, plot.top + ROW * at) for at, one in enumerate(beers)]
        for row in rows:
            yield from self._bar(row)
        yield from self._regulators(plot, rows)
        for row in rows:
            yield from self._words(row)
        yield from self._axis(plot)

    def _row(self, one: BeerShare, top: float) -> _Row:
        ends = f"{level(one.comes_to_vol.value, self.units)}, {standing(one)}"
        room = WIDE - width_of(ends, theme.NUMBER_SIZE) - 12.0
        return _Row(one, top, fitted(f"{one.keg} {one.beer}", room, theme.TEXT_SIZE), ends)

    def _bar(self, row: _Row) -> Iterator[ET.Element]:
        one = row.beer
        low, high = (self.x(p) for p in (one.low_gauge_pressure_pa, one.high_gauge_pressure_pa))
        at, foot = row.top + BAR_TOP, row.top + BAR_TOP + BAR
        if high - low < 1.0:
            return
        box = f"M{low:.1f},{at:.1f}H{high:.1f}V{foot:.1f}H{low:.1f}z"
        yield stroke(box, theme.HAIRLINE, theme.INK, fill=theme.TINT)
        wants = self.x(one.wanted_gauge_pressure_pa)
        yield stroke(f"M{wants:.1f},{at:.1f}V{foot:.1f}", theme.LINE)

    def _words(self, row: _Row) -> Iterator[ET.Element]:
        """Its name on the left, where it ends on the right, a ring where it hangs."""
        kept, foot = row.beer.within, row.top + WORDS_FOOT
        yield text((LEFT, foot), row.name, "start", theme.TEXT_SIZE)
        colour = theme.INK if kept else theme.WARN
        yield text((LEFT + WIDE, foot), row.ends, "end", colour=colour)
        at = (self.x(row.beer.gauge_pressure_pa), row.top + BAR_TOP + BAR / 2.0)
        place = {"cx": f"{at[0]:.1f}", "cy": f"{at[1]:.1f}", "r": f"{RING:g}"}
        look = (theme.ACCENT, theme.ACCENT) if kept else (theme.PAPER, theme.WARN)
        inked = {"fill": look[0], "stroke": look[1], "stroke-width": "1.6"}
        yield ET.Element("circle", place | inked)

    def _regulators(self, plot: Plot, rows: Sequence[_Row]) -> Iterator[ET.Element]:
        """Each one's name and its hairline, which lets the words that it would cross be."""
        for name in self.names:
            x = LEFT + name.x
            foot = plot.top - 8.0 - LABEL_ROW * name.level
            path, begin = "", foot + 3.0
            for row in rows:
                if row.crosses(x):
                    path += f"M{x:.1f},{begin:.1f}V{row.top + 2.0:.1f}"
                    begin = row.top + BAR_TOP - 2.0
            path += f"M{x:.1f},{begin:.1f}V{plot.foot:.1f}"
            yield stroke(path, theme.THIN, theme.ACCENT)
            yield text((LEFT + name.at, foot), name.name, name.anchor, colour=theme.ACCENT)

    def _axis(self, plot: Plot) -> Iterator[ET.Element]:
        places = [(plot.x(tick), tick_text(tick)) for tick in ticks(plot.across)]
        marks = "".join(f"M{at:.1f},{plot.foot:.1f}v{TICK:g}" for at, _ in places)
        yield stroke(f"M{plot.left:.1f},{plot.foot:.1f}h{plot.width:.1f}")
        yield stroke(marks, theme.HAIRLINE)
        for at, said in places:
            yield numeral((at, plot.foot + 16.0), said)
        middle = (plot.left + plot.width / 2.0, plot.foot + 31.0)
        yield text(middle, plot.across.title, colour=theme.QUIET)
