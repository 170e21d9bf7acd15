"""The pressure profile of one tap: from the dip tube's foot to the glass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import ceil, floor
from typing import Final

from ullage.draw import theme
from ullage.draw.canvas import (
    Channel,
    Layer,
    Row,
    layer,
    overlay,
    pixel,
    quantity,
    render,
    second,
    words,
)
from ullage.draw.labels import Label, Span, place_above, spread
from ullage.draw.svg import Caption, slug
from ullage.plan.answers import LinePoint, PourAnswer
from ullage.units import UnitSystem

WIDTH: Final = 252
HEIGHT: Final = 188
ROW: Final = 13


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
    Curve("pouring", (1, 0), theme.LINE, lambda point: point.gauge_pouring_pa),
)
SPOT: Final = {
    "shape": "triangle-up",
    "size": 60,
    "fill": theme.PAPER,
    "stroke": theme.WARN,
    "strokeWidth": 1.4,
    "opacity": 1,
}


@dataclass(frozen=True, slots=True)
class Axes:
    """What all marks of the chart share: the scales, and the ends of both axes as shown."""

    pressure: theme.Scale
    length: theme.Scale
    far: float
    low: float
    high: float

    @property
    def x(self) -> Channel:
        """Distance along the way, read from `x`."""
        axis = {
            "title": f"along the way from the dip tube's foot, {self.length.sign}",
            "tickCount": 6,
            "format": "~g",
            "labelFlush": False,
        }
        return quantity("x", (0, self.far), axis)

    def y(self, field: str = "y") -> Channel:
        """Gauge pressure, read from `field`."""
        axis = {"title": f"gauge pressure, {self.pressure.sign}", "tickCount": 5, "format": "~g"}
        return quantity(field, (self.low, self.high), axis)

    def pixel_x(self, metres: float) -> float:
        """Pixels from the left edge of the plot."""
        return self.length.of(metres) / self.far * WIDTH

    def pixel_y(self, pascal: float) -> float:
        """Pixels from the top edge of the plot."""
        return (self.high - self.pressure.of(pascal)) / (self.high - self.low) * HEIGHT


def profile_svg(
    answer: PourAnswer, units: UnitSystem, standalone: bool = False, prefix: str | None = None
) -> str:
    """Draw the three pressures along the way and give the finished SVG."""
    spec = profile_spec(answer, units)
    caption = Caption(
        prefix or f"profile-{slug(answer.tap)}",
        f"Pressure along the way to {answer.tap}, pouring {answer.beer}",
        describe(answer, units),
    )
    return render(spec, caption, standalone)


def profile_spec(answer: PourAnswer, units: UnitSystem) -> Layer:
    """Write the chart as a Vega-Lite specification. Raises `ValueError` without a profile."""
    if not answer.profile:
        raise ValueError(f"no profile to draw for {answer.tap}")
    axes = _axes(answer, units)
    layers = [
        *_parts(axes, answer.profile),
        _foam(axes, answer.profile),
        *(_curve(axes, curve, answer.profile) for curve in CURVES),
        *_ends(axes, answer.profile),
        *_breakout(axes, answer, units),
    ]
    return overlay(layers, WIDTH, HEIGHT)


def _axes(answer: PourAnswer, units: UnitSystem) -> Axes:
    pressure, length = theme.pressure_scale(units), theme.length_scale(units)
    shown = [pressure.of(curve.of(point)) for point in answer.profile for curve in CURVES]
    step = 2.0 if units == "us" else 0.2
    low = floor(min(0.0, *shown) / step) * step
    high = ceil(max(shown) / step + 0.2) * step
    far = max(length.of(point.distance_m) for point in answer.profile)
    return Axes(pressure, length, far, low, high)


def describe(answer: PourAnswer, units: UnitSystem) -> str:
    """Say in words what the chart shows."""
    parts = ", ".join(name for name, _ in _stretches(answer.profile))
    where = (
        _breakout_text(answer, units) or "no foam on the way: the pressure stays above saturation"
    )
    return f"The beer passes {parts}. {where[0].upper()}{where[1:]}."


def _stretches(profile: Sequence[LinePoint]) -> list[tuple[str, tuple[float, float]]]:
    """Name each part once with where it starts and ends, in metres."""
    groups = [(part, [*points]) for part, points in groupby(profile, lambda point: point.part)]
    starts = [points[0].distance_m for _, points in groups]
    ends = [*starts[1:], profile[-1].distance_m]
    return [
        (part, (start, end)) for (part, _), start, end in zip(groups, starts, ends, strict=True)
    ]


def _parts(axes: Axes, profile: Sequence[LinePoint]) -> list[Layer]:
    """Hairlines between the parts, and each part's name above its stretch."""
    stretches = _stretches(profile)
    spans = [Span(name, axes.pixel_x(a), axes.pixel_x(b)) for name, (a, b) in stretches]
    edges: list[Row] = [{"x": axes.length.of(start)} for _, (start, _) in stretches[1:]]
    layers = [layer(edges, "rule", {"color": theme.HAIR}, x=axes.x)] if edges else []
    for label in place_above(spans, WIDTH, theme.NUMBER_SIZE):
        layers += _part_name(label)
    return layers


def _part_name(label: Label) -> list[Layer]:
    row: Row = {"word": label.name}
    foot = -5 - ROW * label.level
    look = {
        "align": label.anchor,
        "baseline": "bottom",
        "fontSize": theme.NUMBER_SIZE,
        "dx": {"left": -3, "center": 0, "right": 3}[label.anchor],
    }
    at = pixel(label.x)
    return [
        layer([row], "text", look, x=at, y=pixel(foot), text=words()),
        layer([row], "rule", {"color": theme.QUIET}, x=at, y=pixel(foot + 1), y2=pixel(1)),
    ]


def _foam(axes: Axes, profile: Sequence[LinePoint]) -> Layer:
    """Hatch where the pressure, pouring, lies below saturation: there gas comes out."""
    rows: list[Row] = [
        {
            "x": axes.length.of(metres),
            "y": axes.pressure.of(min(pouring, saturation)),
            "top": axes.pressure.of(saturation),
        }
        for metres, pouring, saturation in _with_crossings(profile)
    ]
    look = {"color": theme.HATCH, "opacity": 1}
    return layer(rows, "area", look, x=axes.x, y=axes.y(), y2=second("top"))


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


def _curve(axes: Axes, curve: Curve, profile: Sequence[LinePoint]) -> Layer:
    rows: list[Row] = [
        {
            "x": round(axes.length.of(point.distance_m), 3),
            "y": round(axes.pressure.of(curve.of(point)), 3),
            "i": i,
        }
        for i, point in enumerate(profile)
    ]
    look = {"strokeDash": [*curve.dash], "strokeWidth": curve.weight}
    order = {"field": "i", "type": "ordinal"}
    return layer(rows, "line", look, x=axes.x, y=axes.y(), order=order)


def _ends(axes: Axes, profile: Sequence[LinePoint]) -> list[Layer]:
    """Name each line where it ends."""
    ends = [axes.pixel_y(curve.of(profile[-1])) for curve in CURVES]
    places = spread(ends, ROW, 4, HEIGHT - 4)
    look = {"align": "left", "fontSize": theme.NUMBER_SIZE}
    return [
        layer(
            [{"word": curve.word}], "text", look, x=pixel(WIDTH + 6), y=pixel(place), text=words()
        )
        for curve, place in zip(CURVES, places, strict=True)
    ]


def _breakout_text(answer: PourAnswer, units: UnitSystem) -> str | None:
    if answer.breakout_m is None:
        return None
    scale = theme.length_scale(units)
    return f"can foam from {scale.of(answer.breakout_m):.1f} {scale.sign}"


def _breakout(axes: Axes, answer: PourAnswer, units: UnitSystem) -> list[Layer]:
    """Mark where, pouring, the gas can first come out."""
    said = _breakout_text(answer, units)
    if answer.breakout_m is None or said is None:
        return []
    x = axes.length.of(answer.breakout_m)
    level = axes.pressure.of(_pouring_at(answer.profile, answer.breakout_m))
    left = axes.pixel_x(answer.breakout_m) > 0.55 * WIDTH
    look = {"align": "right" if left else "left", "dx": -5 if left else 5, "color": theme.WARN}
    drop: Row = {"x": x, "y": axes.low, "y2": level}
    spot: Row = {"x": x, "y": level, "word": said}
    return [
        layer([drop], "rule", {"color": theme.WARN}, x=axes.x, y=axes.y(), y2=second("y2")),
        layer([spot], "point", SPOT, x=axes.x, y=axes.y()),
        layer([spot], "text", look, x=axes.x, y=pixel(HEIGHT - 10), text=words()),
    ]


def _pouring_at(profile: Sequence[LinePoint], metres: float) -> float:
    for before, after in pairwise(profile):
        if before.distance_m <= metres <= after.distance_m and after.distance_m > before.distance_m:
            share = (metres - before.distance_m) / (after.distance_m - before.distance_m)
            return before.gauge_pouring_pa + share * (
                after.gauge_pouring_pa - before.gauge_pouring_pa
            )
    return profile[-1].gauge_pouring_pa
