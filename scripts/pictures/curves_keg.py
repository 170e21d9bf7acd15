"""Curves of the models of beer and keg: solubility, absorption, chilling."""

from __future__ import annotations

import tomllib
from typing import Any, Final

import numpy as np

from scripts.models_page import keg, solubility
from scripts.pictures.chart import (
    Drawn,
    Picture,
    axes,
    curve,
    dots,
    finished,
    level,
    level_bar,
    name,
    plot,
    upright_bars,
)
from ullage.draw import theme
from ullage.draw.plot import Range
from ullage.draw.svg import Caption
from ullage.physics import absorption
from ullage.physics import solubility as solubility_physics
from ullage.physics.beer import standard_beer

CRC_SHARE: Final = 0.02
DAYS: Final = 21.0


def water_curve() -> Picture:
    """CO2 in water over the temperature."""
    area = plot(Range("water, °C", 0.0, 32.0, 7), Range("CO2, moles in 1,000", 0.4, 1.45, 6))
    ours = [
        (float(c), 1e3 * float(solubility_physics.mole_fraction(1e5, 273.15 + c)))
        for c in np.linspace(0.0, 32.0, 33)
    ]
    points = [(float(c), x) for c, x in solubility.CRC]
    caption = Caption(
        "water",
        "How much CO2 water holds under 100 kPa of it, by its temperature",
        "Rings: the CRC Handbook's table, its two per cent as bars. Line: Ullage.",
    )
    drawn = [
        *upright_bars(area, points, CRC_SHARE),
        *curve(area, ours),
        *dots(area, points),
        *name(area, (5.0, 1.13), "CRC Handbook, ± 2 %"),
    ]
    return finished(caption, [*drawn, *axes(area)])


def beer_curves() -> Picture:
    """The published chart against the one fitted factor."""
    area = plot(
        Range("on the gauge, psi", 0.0, 22.0, 6), Range("volumes of CO2", 1.5, 3.5, 5), 44.0
    )
    space = 14.0 / area.height * 2.0
    drawn: Drawn = []
    for row in tomllib.loads(solubility.CHART.read_text(encoding="utf-8"))["row"]:
        line = _chart_line(row)
        drawn += curve(area, line, weight=theme.THIN)
        drawn += dots(area, [(x, y) for (x, _), y in zip(line, row["volumes"], strict=True)])
        above = (line[-1][0], line[-1][1] + space)
        drawn += name(area, above, f"{row['temperature_degf']:g}", "middle")
    drawn += name(area, (21.4, line[-1][1] + space), "°F")
    caption = Caption(
        "beer",
        "How much CO2 beer holds at 32 to 44 °F: the trade's chart and Ullage",
        "Rings: every cell of Miller 1994, Table I. Lines: Ullage, one fitted factor for all.",
    )
    return finished(caption, [*drawn, *axes(area)])


def _chart_line(row: dict[str, Any]) -> list[tuple[float, float]]:
    """Ullage at the gauge pressures (psi) of a row of the chart."""
    kelvin = (float(row["temperature_degf"]) - 32.0) / 1.8 + 273.15
    gauges = [float(row["first_gauge_psi"]) + step for step in range(len(row["volumes"]))]
    return [(psi, _at_sea_level(psi, kelvin)) for psi in gauges]


def _at_sea_level(psi: float, kelvin: float) -> float:
    absolute = solubility.ATMOSPHERE_PA + psi * solubility.PSI
    return float(solubility_physics.equilibrium_volumes(absolute, kelvin))


def absorption_curves() -> Picture:
    """Two pressures from flat, and what the trade says of the time."""
    area = plot(Range("days", 0.0, DAYS, 8), Range("volumes of CO2", 0.75, 2.75, 5))
    end = keg.equilibrium(10.0)
    caption = Caption(
        "absorption",
        "How fast beer at rest takes up CO2 at 38 °F, and what the trade says of it",
        "Lines: Ullage at 10 psi and at 40 psi. Bars: 7 to 14 days at 10 psi, taken as 0.2 and as "
        "0.1 volumes short of the end; 24 hours, give or take 40 per cent, at 40 psi.",
    )
    drawn = [
        *level(area, end, "the end at 10 psi"),
        *level_bar(area, 7.0, 14.0, end - 0.2),
        *level_bar(area, 7.0, 14.0, end - 0.1),
        *level_bar(area, 0.6, 1.4, 2.3),
        *curve(area, _absorbed(10.0, DAYS)),
        *curve(area, _absorbed(40.0, 2.0), theme.DASHED),
        *name(area, (14.0, end - 0.22), "said: 7 to 14 days"),
        *name(area, (1.9, 2.62), "40 psi; said of it: 24 hours"),
        *name(area, (4.4, 1.66), "10 psi"),
    ]
    return finished(caption, [*drawn, *axes(area)])


def _absorbed(psi: float, days: float) -> list[tuple[float, float]]:
    """The course from flat, as far as the plot goes."""
    rate = float(absorption.still_rate(standard_beer(), keg.COLD_K, keg.DEPTH_M))
    end = keg.equilibrium(psi)
    course = [
        (float(day), float(absorption.absorb(keg.START_VOL, end, day * keg.DAY_S, rate)))
        for day in np.linspace(0.0, days, 85)
    ]
    return [point for point in course if point[1] <= 2.7]


def chilling_curve() -> Picture:
    """The handbook's table of chilling times."""
    area = plot(Range("the keg before, °F", 38.0, 52.0, 7), Range("hours to 38 °F", 0.0, 30.0, 6))
    points = [(start, hours) for start, hours, _ in keg.HALF_BARREL]
    ours = [(float(f), keg.chilling_hours(float(f))) for f in np.linspace(38.0, 52.0, 57)]
    caption = Caption(
        "chilling",
        "How long a half barrel takes to chill to 38 °F, by how warm it is before",
        "Rings: the handbook's table, with the 15 per cent that Ullage is held to. Line: Ullage.",
    )
    drawn = [
        *upright_bars(area, points, keg.CHILLING_SHARE),
        *curve(area, ours),
        *dots(area, points),
        *name(area, (47.6, 26.0), "the handbook, ± 15 %", "end"),
    ]
    return finished(caption, [*drawn, *axes(area)])
