"""What strips on one axis of days are drawn with: edges, numbers, words beside marks, days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from math import ceil
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.metric import width_of
from ullage.draw.plot import TICK, Plot, numeral, stroke, text, tick_text, ticks
from ullage.plan.spoken import date_text

MOST_DAYS: Final = 6
UNSEEN: Final = 0.25
"""Pixels that a line may stray by without being seen to."""
YEAR_ROW: Final = 13.0
"""How high the row of years is, where one is told."""


def axes(plot: Plot) -> Iterator[ET.Element]:
    """Both edges, and the numbers of the upright one."""
    places = [(plot.y(tick), tick_text(tick)) for tick in ticks(plot.up)]
    marks = "".join(f"M{plot.left:.1f},{at:.1f}h{-TICK:g}" for at, _ in places)
    edge = f"M{plot.left:.1f},{plot.top:.1f}V{plot.foot:.1f}h{plot.width:.1f}"
    yield stroke(edge)
    yield stroke(marks, theme.HAIRLINE)
    for at, said in places:
        yield numeral((plot.left - 7, at + 4), said, "end")


def beside(plot: Plot, day: float, value: float, said: str) -> Iterator[ET.Element]:
    """A word beside a mark, on the side where there is room."""
    x = plot.x(day)
    room = plot.left + plot.width - x > width_of(said, theme.NUMBER_SIZE) + 8
    place = (x + 5 if room else x - 5, plot.y(value) - 6)
    yield label(place, said, "start" if room else "end")


def label(at: tuple[float, float], said: str, anchor: str = "middle") -> ET.Element:
    """A word within a strip, clear of the lines that it lies on."""
    word = text(at, said, anchor)
    clear = {"paint-order": "stroke", "stroke": theme.PAPER, "stroke-width": "3"}
    for name, value in clear.items():
        word.set(name, value)
    return word


def ring(plot: Plot, day: float, value: float) -> ET.Element:
    """Draw a ring at a place that matters."""
    ring = {"cx": f"{plot.x(day):.1f}", "cy": f"{plot.y(value):.1f}", "r": "3.5"}
    look = {"fill": theme.PAPER, "stroke": theme.INK, "stroke-width": "1.3"}
    return ET.Element("circle", ring | look)


def midnights(begin: datetime, end: datetime) -> list[datetime]:
    """Midnights of this place between two moments, a whole number of days apart."""
    first = begin.astimezone().replace(hour=0, minute=0, second=0, microsecond=0)
    step = max(ceil((end - begin) / timedelta(days=1) / MOST_DAYS), 1)
    days = [first + timedelta(days=step * i) for i in range(1, MOST_DAYS + 2)]
    return [day for day in days if begin <= day <= end]


def straightened(places: list[tuple[float, float]], plot: Plot) -> list[tuple[float, float]]:
    """Keep the points that the eye needs: none left out strays from the line by `UNSEEN`."""
    if len(places) < 3:
        return places
    strays = [_stray(places[0], here, places[-1], plot) for here in places[1:-1]]
    worst = max(strays)
    if worst < UNSEEN:
        return [places[0], places[-1]]
    cut = strays.index(worst) + 1
    return straightened(places[: cut + 1], plot)[:-1] + straightened(places[cut:], plot)


def _stray(
    before: tuple[float, float], here: tuple[float, float], after: tuple[float, float], plot: Plot
) -> float:
    """Pixels, upright, from a point to the line between two others."""
    span = after[0] - before[0]
    share = (here[0] - before[0]) / span if span > 0.0 else 0.0
    return abs(plot.y(here[1]) - plot.y(before[1] + share * (after[1] - before[1])))


def dated(
    marks: Sequence[tuple[float, datetime]], foot: float, now: datetime, colour: str = theme.INK
) -> Iterator[ET.Element]:
    """Days at their places below an axis; a year that is not this one below its first day."""
    for x, day in marks:
        yield text((x, foot), date_text(day), colour=colour)
    for x, year in _years(marks, now):
        yield text((x, foot + YEAR_ROW), year, colour=colour)


def year_row(marks: Sequence[tuple[float, datetime]], now: datetime) -> float:
    """How much room the years of these days want below them: none where all are of this year."""
    return YEAR_ROW if _years(marks, now) else 0.0


def _years(marks: Sequence[tuple[float, datetime]], now: datetime) -> list[tuple[float, str]]:
    first: dict[int, float] = {}
    for x, day in marks:
        first.setdefault(day.year, x)
    return [(x, str(year)) for year, x in first.items() if year != now.astimezone().year]
