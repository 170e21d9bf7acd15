"""The guide's pictures that no page of the program shows: of its physics, rules and answers."""

from __future__ import annotations

from datetime import datetime
from typing import Final
from xml.etree import ElementTree as ET

import numpy as np

from scripts.pictures.chart import (
    WIDTH,
    Drawn,
    axes,
    curve,
    finished,
    level,
    name,
    plot,
)
from scripts.pictures.curves_gas import purging_curves, room_curve
from scripts.pictures.scene import NOW, log, three_taps
from ullage.draw import theme
from ullage.draw.metric import fitted
from ullage.draw.plot import Plot, Range, stroke, text
from ullage.draw.svg import Caption
from ullage.everyday_units import GALLON, OUNCE_KG, PSI
from ullage.physics import co2
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan.clean_drive import Drive
from ullage.plan.clean_flow import clean_flows
from ullage.plan.party import party
from ullage.plan.party_answer import PartyAnswer, PartyQuestion
from ullage.system.model import LinePiece
from ullage.system.upkeep_rules import Rule, rules

WARM_K, COOL_K = (68.0 + 459.67) / 1.8, (50.0 + 459.67) / 1.8
HOURS: Final = 12.0
LEAK_KG_DAY: Final = 2.5 * OUNCE_KG / 7.0
KEG_M3: Final = 5.0 * GALLON
INCH_M, FOOT_M = 0.0254, 0.3048
GALLON_A_MINUTE: Final = GALLON / 60.0
YEAR_DAYS: Final = 365.0
ROW: Final = 26.0
NAMES: Final = 110.0


def leak_test() -> str:
    """An empty keg shut in at 30 psi: tight, leaking, and tight but cooled."""
    area = plot(Range("hours", 0.0, HOURS, 6), Range("on the gauge, psi", 27.0, 30.5, 7), 84.0)
    hours = [float(one) for one in np.linspace(0.0, HOURS, 25)]
    leaking = [(one, _held(one, LEAK_KG_DAY, WARM_K)) for one in hours]
    cooled = [(one, _held(one, 0.0, WARM_K + (COOL_K - WARM_K) * one / HOURS)) for one in hours]
    caption = Caption(
        "leak-test",
        "An empty 5 gal keg shut in at 30 psi and read again",
        "Tight at an even temperature it stays at 30 psi. It falls by 2 psi in 12 hours where it "
        "loses 2.5 oz of gas a week, and nearly as far where it only cools from 68 to 50 °F.",
    )
    drawn = [
        *curve(area, [(0.0, 30.0), (HOURS, 30.0)]),
        *curve(area, leaking),
        *curve(area, cooled, theme.DASHED),
        *name(area, (HOURS, 30.0), "tight"),
        *name(area, (HOURS, leaking[-1][1] - 0.06), "2.5 oz/week"),
        *name(area, (HOURS, cooled[-1][1] + 0.06), "tight, cools"),
    ]
    return finished(caption, [*drawn, *axes(area)]).svg


def _held(hours: float, leak_kg_day: float, kelvin: float) -> float:
    """Gauge (psi) of a keg's gas after so long."""
    sea = STANDARD_ATMOSPHERE.value
    begun = co2.gas_mass(sea + 30.0 * PSI, KEG_M3, WARM_K)
    left = begun - leak_kg_day * hours / 24.0
    return float(co2.pressure_of_mass(left, KEG_M3, kelvin) - sea) / PSI


def clean() -> str:
    """How much a pump moves through a line, by its length and bore."""
    area = plot(Range("line, ft", 2.0, 16.0, 7), Range("US gal/min", 0.0, 2.2, 5), 60.0)
    drawn: Drawn = level(area, 2.0, "published: at most")
    for sixteenths, word in ((3, "3/16 in"), (4, "1/4 in"), (5, "5/16 in")):
        flows = [(feet, _pumped(feet, sixteenths)) for feet in np.linspace(2.0, 16.0, 15)]
        drawn += curve(area, flows)
        drawn += name(area, flows[-1], word)
    caption = Caption(
        "clean",
        "What a small cleaning pump moves through a beer line, by its length and width",
        "A pump that lifts 10 ft and moves 4 gal/min freely. The wide line takes many times the "
        "flow of the thin one; what is published, 2 US gallons a minute, is the most.",
    )
    return finished(caption, [*drawn, *axes(area)]).svg


def _pumped(feet: float, sixteenths: int) -> float:
    system = three_taps()
    piece = LinePiece(length=f"{feet * FOOT_M} m", bore=f"{sixteenths / 16.0 * INCH_M} m")
    tap = system.taps[0].model_copy(update={"line": (piece,)})
    pumped, _ = clean_flows(system, tap, Drive(), 1e-4, 2e-3)
    return pumped.flow_m3_s / GALLON_A_MINUTE


def fill() -> str:
    """Oxygen left by purging: the curves of the models page."""
    return purging_curves().svg


def safety() -> str:
    """A cylinder let into a room: the curve of the models page."""
    return room_curve().svg


def upkeep() -> str:
    """A year of upkeep: when each task of a fixed interval comes round."""
    told = [one for one in rules() if _days(one) is not None]
    told.sort(key=lambda one: _days(one) or 0.0)
    shown = [one for one in told if (_days(one) or 0.0) <= YEAR_DAYS]
    across = Range("weeks", 0.0, YEAR_DAYS / 7.0, 7)
    area = Plot(NAMES, 8.0, WIDTH - NAMES - 16.0, ROW * len(shown), across, Range("", 0.0, 1.0))
    drawn: Drawn = []
    for at, one in enumerate(shown):
        drawn += _task(area, one, 8.0 + ROW * (at + 0.5))
    caption = Caption(
        "upkeep",
        "A year of upkeep, for a part in steady use",
        f"Each mark is a day on which the task is due, done on time before. {_rare(told)}",
    )
    return finished(caption, [*drawn, *axes(area, up=())], area.foot + 42.0).svg


def _task(area: Plot, rule: Rule, y: float) -> Drawn:
    days = _days(rule) or YEAR_DAYS
    due = np.arange(days, YEAR_DAYS + 1.0, days)
    marks = "".join(f"M{area.x(float(one) / 7.0):.1f},{y - 5.0:.1f}v10" for one in due)
    ground = stroke(f"M{area.left:.1f},{y:.1f}h{area.width:.1f}", theme.HAIRLINE, theme.HAIR)
    said = fitted(rule.name, NAMES - 16.0, theme.NUMBER_SIZE)
    word = text((NAMES - 10.0, y + 4.0), said, "end")
    return [ground, stroke(marks, theme.LINE), word]


def _days(rule: Rule) -> float | None:
    if rule.days is not None:
        return float(rule.days)
    return None if rule.years is None else YEAR_DAYS * rule.years


def _rare(told: list[Rule]) -> str:
    rare = [one for one in told if (_days(one) or 0.0) > YEAR_DAYS]
    return "Rarer: " + "; ".join(f"{one.name} every {one.years} years" for one in rare) + "."


def party_beer() -> str:
    """What a party wants of each beer, and what will be there."""
    answer = _party()
    most = max(one.wanted_m3 for one in answer.beers) / GALLON
    across = Range("gallons", 0.0, 1.1 * most, 6)
    rows = len(answer.beers)
    area = Plot(16.0, 8.0, WIDTH - 32.0, 44.0 * rows, across, Range("", 0.0, 1.0))
    drawn: Drawn = []
    for at, one in enumerate(answer.beers):
        top = 8.0 + 44.0 * at
        there = f"{one.beer}: {one.there_m3 / GALLON:.1f} of {one.wanted_m3 / GALLON:.1f} gal"
        short = one.short_m3 > 0.0
        colour = theme.WARN if short else theme.INK
        drawn.append(text((area.left + 5.0, top + 12.0), there, "start", colour=colour))
        drawn.append(_bar(area, one.wanted_m3 / GALLON, top, theme.TINT))
        drawn.append(_bar(area, min(one.there_m3, one.wanted_m3) / GALLON, top, theme.HAIR))
    caption = Caption(
        "party",
        f"Beer for {answer.guests} guests: what is wanted and what will be there",
        "Light: wanted of each beer. Dark: what its kegs will hold on the day.",
    )
    return finished(caption, [*drawn, *axes(area, up=())], area.foot + 42.0).svg


def _bar(area: Plot, gallons: float, top: float, colour: str) -> ET.Element:
    path = f"M{area.x(0.0):.1f},{top + 18.0:.1f}H{area.x(gallons):.1f}v14H{area.x(0.0):.1f}z"
    return stroke(path, theme.HAIRLINE, theme.INK, fill=colour)


def _party() -> PartyAnswer:
    starts: datetime = NOW.replace(day=20, hour=16)
    asked = PartyQuestion(starts=starts, lasts_s=4 * 3600.0, guests=12)
    return party(list(log()), NOW, asked, three_taps())
