"""What a beer comes to on each blend at each pressure, and where this one stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.labels import spread
from ullage.draw.plot import Plot, Range, stroke, text
from ullage.draw.svg import Caption, sheet
from ullage.plan.blend import levels_at
from ullage.plan.blend_answer import BlendAnswer, BlendQuestion
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

WIDTH: Final = 262.0
HEIGHT: Final = 190.0
LEFT: Final = 44.0
RIGHT: Final = 62.0
TOP: Final = 20.0
FOOT: Final = 38.0
ROW: Final = 13.0
WIDE: Final = 46.0
"""Room for a name at the top edge."""
SHARES: Final = (1.0, 0.75, 0.5, 0.25)
POINTS: Final = 41
LEAST_PA: Final = 3.0e5
MARK: Final = 4.5
NEAR: Final = 0.12
"""A blend that differs by less from one of those drawn takes that one's place."""


@dataclass(frozen=True, slots=True)
class _Scene:
    plot: Plot
    pressure: theme.Scale
    level: str
    asked: BlendQuestion
    answer: BlendAnswer

    def y(self, volumes: float) -> float:
        return self.plot.y(to_unit(volumes, self.level))


def blend_svg(
    asked: BlendQuestion, answer: BlendAnswer, units: UnitSystem, standalone: bool = False
) -> str:
    """Draw the levels against pressure for several blends; the one in question stands out."""
    scene = _scene(asked, answer, units)
    body = [_wanted(scene), *scene.plot.axes(), *_curves(scene), *_point(scene)]
    caption = Caption("blend", "CO2 in the beer by blend and pressure", describe(answer, units))
    return sheet(LEFT + WIDTH + RIGHT, scene.plot.foot + FOOT, caption, body, standalone)


def describe(answer: BlendAnswer, units: UnitSystem) -> str:
    """Say in words what the picture shows."""
    gauge = format_quantity(answer.gauge_pressure_pa, Kind.PRESSURE, units)
    held, wanted = (
        format_quantity(level, Kind.CARBONATION, units)
        for level in (answer.equilibrium_vol.value, answer.target_vol)
    )
    return f"A blend with {answer.share:.0%} CO2 at {gauge} brings it to {held}; wanted {wanted}."


def _scene(asked: BlendQuestion, answer: BlendAnswer, units: UnitSystem) -> _Scene:
    pressure = theme.pressure_scale(units)
    level = "vol" if units == "us" else "g/L"
    far = max(LEAST_PA, 1.15 * answer.gauge_pressure_pa)
    highest = max(
        1.25 * (answer.target_vol + answer.tolerance_vol), 1.15 * answer.equilibrium_vol.value
    )
    across = Range(f"gauge pressure of the gas, {pressure.sign}", 0.0, pressure.of(far), 6)
    up = Range(f"CO2 in the beer, {level}", 0.0, to_unit(highest, level), 5)
    return _Scene(Plot(LEFT, TOP, WIDTH, HEIGHT, across, up), pressure, level, asked, answer)


def _wanted(scene: _Scene) -> ET.Element:
    """The tint between the least and the most that the beer may hold."""
    answer, plot = scene.answer, scene.plot
    top = scene.y(answer.target_vol + answer.tolerance_vol)
    foot = scene.y(max(answer.target_vol - answer.tolerance_vol, 0.0))
    area = f"M{plot.left:.1f},{top:.1f}h{plot.width:.1f}V{foot:.1f}H{plot.left:.1f}z"
    return ET.Element("path", {"d": area, "fill": theme.TINT})


def _curves(scene: _Scene) -> Iterator[ET.Element]:
    """Each blend's line up to the edge of the picture, named at its end."""
    own = scene.answer.share
    shares = [one for one in SHARES if abs(one - own) >= NEAR] + [own]
    ends = []
    for share in shares:
        points = _points(scene, share)
        yield stroke(scene.plot.line(points), theme.LINE if share == own else theme.THIN)
        ends.append((scene.plot.x(points[-1][0]), scene.plot.y(points[-1][1]), share))
    yield from _names(scene, ends, own)


def _points(scene: _Scene, share: float) -> list[tuple[float, float]]:
    """Pressure and level in the axes' numbers, cut off where the line leaves through the top."""
    far = scene.plot.across.high
    gauges = [far * i / (POINTS - 1) for i in range(POINTS)]
    pascals = [gauge / scene.pressure.of(1.0) for gauge in gauges]
    levels = [to_unit(one, scene.level) for one in levels_at(scene.asked, share, pascals)]
    found: list[tuple[float, float]] = []
    for gauge, level in zip(gauges, levels, strict=True):
        if level > scene.plot.up.high:
            if found:
                before = found[-1]
                part = (scene.plot.up.high - before[1]) / (level - before[1])
                found.append((before[0] + part * (gauge - before[0]), scene.plot.up.high))
            break
        found.append((gauge, level))
    return found or [(0.0, scene.plot.up.high)]


def _names(
    scene: _Scene, ends: Sequence[tuple[float, float, float]], own: float
) -> Iterator[ET.Element]:
    """At the right edge beside each line's end; those that leave through the top, above it."""
    edge = scene.plot.left + scene.plot.width
    right = [end for end in ends if end[0] > edge - 1.0]
    places = spread([end[1] for end in right], ROW, scene.plot.top + 4, scene.plot.foot - 4)
    for (x, _, share), y in zip(right, places, strict=True):
        yield text((x + 6, y + 4), _named(share, own), "start")
    top = [end for end in ends if end[0] <= edge - 1.0]
    along = spread([end[0] for end in top], WIDE, scene.plot.left, edge)
    for (_, y, share), x in zip(top, along, strict=True):
        yield text((x, y - 5), _named(share, own), "middle")


def _named(share: float, own: float) -> str:
    said = f"{100 * share:.3g} %"
    return f"{said} CO\u2082" if share == own else said


def _point(scene: _Scene) -> list[ET.Element]:
    """The pressure in question: a diamond on its line and a hairline down to the axis."""
    x = scene.plot.x(scene.pressure.of(scene.answer.gauge_pressure_pa))
    y = scene.y(scene.answer.equilibrium_vol.value)
    diamond = f"M{x:.1f},{y - MARK:.1f}l{MARK},{MARK}l{-MARK},{MARK}l{-MARK},{-MARK}z"
    return [
        stroke(f"M{x:.1f},{y:.1f}V{scene.plot.foot:.1f}", theme.HAIRLINE, theme.ACCENT),
        stroke(diamond, 1.4, theme.ACCENT, fill=theme.PAPER),
    ]
