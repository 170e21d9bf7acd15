"""The pressure profile of one tap: from the dip tube's foot to the glass.

The parts of the way lie above the plot as a strip, their lengths to the scale of the axis below.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import ceil, floor
from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.labels import Label, Span, place_above, spread
from ullage.draw.plot import Plot, Range, stroke, text
from ullage.draw.svg import Caption, sheet, slug
from ullage.plan.answers import LinePoint, PourAnswer
from ullage.units import UnitSystem

WIDTH: Final = 252.0
HEIGHT: Final = 188.0
LEFT: Final = 44.0
RIGHT: Final = 72.0
FOOT: Final = 38.0
ROW: Final = 13
STRIP: Final = 11.0
"""Height of the strip; a piece of line is drawn half as high as a fitting."""
WARMER_K: Final = 0.5
MARK: Final = 4.5


@dataclass(frozen=True, slots=True)
class Curve:
    """One of the three pressures along the way."""

    word: str
    dash: tuple[float, ...]
    weight: float
    of: Callable[[LinePoint], float]


CURVES: Final = (
    Curve("faucet shut", theme.DASHED, theme.THIN, lambda point: point.gauge_shut_pa),
    Curve("saturation", theme.LONG_SHORT, theme.THIN, lambda point: point.gauge_saturation_pa),
    Curve("pouring", (), theme.LINE, lambda point: point.gauge_pouring_pa),
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One part of the way: where it begins and ends in metres, and whether it is warm."""

    part: str
    start_m: float
    end_m: float
    warm: bool


@dataclass(frozen=True, slots=True)
class Scene:
    """What all marks share: the plot, its scales, the parts and their labels."""

    plot: Plot
    pressure: theme.Scale
    length: theme.Scale
    stretches: tuple[Stretch, ...]
    labels: tuple[Label, ...]

    def x(self, metres: float) -> float:
        """Pixels for a distance along the way."""
        return self.plot.x(self.length.of(metres))

    def y(self, pascal: float) -> float:
        """Pixels for a gauge pressure."""
        return self.plot.y(self.pressure.of(pascal))

    def path(self, points: Sequence[tuple[float, float]]) -> str:
        """Write a path through metres and pascals."""
        return self.plot.line([(self.length.of(m), self.pressure.of(pa)) for m, pa in points])


def profile_svg(
    answer: PourAnswer, units: UnitSystem, standalone: bool = False, prefix: str | None = None
) -> str:
    """Draw the three pressures along the way as an SVG. Raises `ValueError` without a profile."""
    if not answer.profile:
        raise ValueError(f"no profile to draw for {answer.tap}")
    scene = _scene(answer, units)
    body = [
        *_edges(scene),
        _foam(scene, answer.profile),
        *scene.plot.axes(),
        *_strip(scene),
        *(_curve(scene, curve, answer.profile) for curve in CURVES),
        *_ends(scene, answer.profile),
        *_breakout(scene, answer, units),
    ]
    caption = Caption(
        prefix or f"profile-{slug(answer.tap)}",
        f"Pressure along the way to {answer.tap}, pouring {answer.beer}",
        describe(answer, units),
    )
    plot = scene.plot
    return sheet(LEFT + WIDTH + RIGHT, plot.foot + FOOT, caption, body, standalone)


def describe(answer: PourAnswer, units: UnitSystem) -> str:
    """Say in words what the chart shows."""
    stretches = _stretches(answer.profile)
    parts = ", ".join(one.part for one in stretches)
    warm = " and ".join(one.part for one in stretches if one.warm)
    where = (
        _breakout_text(answer, units) or "no foam on the way: the pressure stays above saturation"
    )
    warmer = f" Warmer than the keg: {warm}." if warm else ""
    return f"The beer passes {parts}. {where[0].upper()}{where[1:]}.{warmer}"


def _scene(answer: PourAnswer, units: UnitSystem) -> Scene:
    pressure, length = theme.pressure_scale(units), theme.length_scale(units)
    stretches = tuple(_stretches(answer.profile))
    far = max(length.of(stretches[-1].end_m), 1e-3)
    spans = [
        Span(one.part, *(length.of(end) / far * WIDTH for end in (one.start_m, one.end_m)))
        for one in stretches
    ]
    labels = place_above(spans, WIDTH, theme.NUMBER_SIZE)
    rows = 1 + max(label.level for label in labels)
    across = Range(f"along the way from the dip tube's foot, {length.sign}", 0.0, far, 6)
    top = rows * ROW + STRIP + 10.0
    plot = Plot(LEFT, top, WIDTH, HEIGHT, across, _pressures(answer, pressure, units))
    return Scene(plot, pressure, length, stretches, labels)


def _pressures(answer: PourAnswer, scale: theme.Scale, units: UnitSystem) -> Range:
    shown = [scale.of(curve.of(point)) for point in answer.profile for curve in CURVES]
    step = 2.0 if units == "us" else 0.2
    low = floor(min(0.0, *shown) / step + 1e-6) * step
    high = ceil(max(shown) / step + 0.2) * step
    return Range(f"gauge pressure, {scale.sign}", low, high, 6)


def _stretches(profile: Sequence[LinePoint]) -> list[Stretch]:
    """Name each part once with where it starts and ends."""
    groups = [(part, [*points]) for part, points in groupby(profile, lambda point: point.part)]
    starts = [points[0].distance_m for _, points in groups]
    ends = [*starts[1:], profile[-1].distance_m]
    cold = profile[0].temperature_k + WARMER_K
    return [
        Stretch(part, start, end, max(point.temperature_k for point in points) > cold)
        for (part, points), start, end in zip(groups, starts, ends, strict=True)
    ]


def _edges(scene: Scene) -> list[ET.Element]:
    """Hairlines between the parts, down through the plot."""
    plot = scene.plot
    drops = "".join(
        f"M{scene.x(one.start_m):.1f},{plot.top:.1f}V{plot.foot:.1f}" for one in scene.stretches[1:]
    )
    return [stroke(drops, theme.HAIRLINE, theme.HAIR)] if drops else []


def _strip(scene: Scene) -> list[ET.Element]:
    """The parts of the way to scale, each with its name and a leader."""
    drawn = [element for one in scene.stretches for element in _part(scene, one)]
    top = scene.plot.top - STRIP - 4.0
    leaders = ""
    for label in scene.labels:
        foot = top - 3.0 - ROW * label.level
        x = LEFT + label.x
        leaders += f"M{x:.1f},{foot + 1:.1f}V{top:.1f}"
        shift = {"left": -3, "center": 0, "right": 3}[label.anchor]
        anchor = {"left": "start", "center": "middle", "right": "end"}[label.anchor]
        drawn.append(text((x + shift, foot - 1.0), label.name, anchor))
    return [*drawn, stroke(leaders, theme.HAIRLINE, theme.QUIET)]


def _part(scene: Scene, one: Stretch) -> list[ET.Element]:
    """A fitting as a full box, tube half as high; tinted where it is warmer than the keg."""
    tall = STRIP / 2 if one.part.startswith("line") or one.part == "dip tube" else STRIP
    middle = scene.plot.top - 4.0 - STRIP / 2
    left, right = scene.x(one.start_m), scene.x(one.end_m)
    box = f"M{left:.1f},{middle - tall / 2:.1f}H{right:.1f}v{tall:.1f}H{left:.1f}z"
    fill = theme.TINT if one.warm else theme.PAPER
    return [stroke(box, theme.THIN, fill=fill)]


def _foam(scene: Scene, profile: Sequence[LinePoint]) -> ET.Element:
    """Hatch where the pressure, pouring, lies below saturation: there gas comes out."""
    rows = _with_crossings(profile)
    top = [(metres, saturation) for metres, _, saturation in rows]
    low = [(metres, min(pouring, saturation)) for metres, pouring, saturation in reversed(rows)]
    return ET.Element("path", {"d": f"{scene.path([*top, *low])}z", "fill": theme.HATCH})


def _with_crossings(profile: Sequence[LinePoint]) -> list[tuple[float, float, float]]:
    """Give distance, pouring and saturation at each point and where the two lines cross."""
    trio = [(p.distance_m, p.gauge_pouring_pa, p.gauge_saturation_pa) for p in profile]
    found = trio[:1]
    for before, after in pairwise(trio):
        above, below = before[1] - before[2], after[1] - after[2]
        if above * below < 0:
            share = above / (above - below)
            metres, pouring = (before[i] + share * (after[i] - before[i]) for i in (0, 1))
            found.append((metres, pouring, pouring))
        found.append(after)
    return found


def _curve(scene: Scene, curve: Curve, profile: Sequence[LinePoint]) -> ET.Element:
    more = {"stroke-dasharray": ",".join(f"{dash:g}" for dash in curve.dash)} if curve.dash else {}
    points = _bends([(point.distance_m, curve.of(point)) for point in profile])
    return stroke(scene.path(points), curve.weight, **more)


def _bends(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Leave out the points that lie on the straight line between their neighbours."""
    kept = [points[0]]
    for here, after in pairwise(points[1:]):
        (x0, y0), (x1, y1), (x2, y2) = kept[-1], here, after
        if abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) > 1e-9 * (1.0 + abs(y2 - y0)):
            kept.append(here)
    return [*kept, points[-1]]


def _ends(scene: Scene, profile: Sequence[LinePoint]) -> list[ET.Element]:
    """Name each line where it ends."""
    plot = scene.plot
    ends = [scene.y(curve.of(profile[-1])) for curve in CURVES]
    places = spread(ends, ROW, plot.top + 4, plot.foot - 4)
    x = plot.left + plot.width + 6
    return [
        text((x, place + 4), curve.word, "start")
        for curve, place in zip(CURVES, places, strict=True)
    ]


def _breakout_text(answer: PourAnswer, units: UnitSystem) -> str | None:
    if answer.breakout_m is None:
        return None
    scale = theme.length_scale(units)
    along = f"{scale.of(answer.breakout_m):.1f}"
    return "can foam from the start" if along == "0.0" else f"can foam from {along} {scale.sign}"


def _breakout(scene: Scene, answer: PourAnswer, units: UnitSystem) -> list[ET.Element]:
    """Mark where, pouring, the gas can first come out."""
    said = _breakout_text(answer, units)
    if answer.breakout_m is None or said is None:
        return []
    plot, x = scene.plot, scene.x(answer.breakout_m)
    y = scene.y(_pouring_at(answer.profile, answer.breakout_m))
    left = x - plot.left > 0.55 * plot.width
    triangle = f"M{x:.1f},{y - MARK:.1f}l{MARK:g},{2 * MARK:g}h{-2 * MARK:g}z"
    word = text(
        (x + (-5 if left else 5), plot.foot - 6),
        said,
        "end" if left else "start",
        theme.TEXT_SIZE,
        theme.WARN,
    )
    word.attrib |= {"stroke": theme.PAPER, "stroke-width": "3", "paint-order": "stroke"}
    return [
        stroke(f"M{x:.1f},{y:.1f}V{plot.foot:.1f}", theme.HAIRLINE, theme.WARN),
        stroke(triangle, 1.4, theme.WARN, fill=theme.PAPER),
        word,
    ]


def _pouring_at(profile: Sequence[LinePoint], metres: float) -> float:
    for before, after in pairwise(profile):
        if before.distance_m <= metres <= after.distance_m and after.distance_m > before.distance_m:
            share = (metres - before.distance_m) / (after.distance_m - before.distance_m)
            return before.gauge_pouring_pa + share * (
                after.gauge_pouring_pa - before.gauge_pouring_pa
            )
    return profile[-1].gauge_pouring_pa
