"""The carbonation chart: a strip per schedule, volumes of CO2 over days, on one time axis."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, floor
from typing import Any, Final

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
from ullage.draw.frame import Frame, frame_of, thinned
from ullage.draw.labels import text_width
from ullage.draw.svg import Caption, slug
from ullage.plan.answers import CarbonationAnswer, Method, Schedule
from ullage.plan.choice import level_at
from ullage.units import UnitSystem

WIDTH: Final = 318
STRIP: Final = 96
DASHES: Final[dict[Method, tuple[float, ...]]] = {
    "hold": theme.DASHED,
    "burst": theme.LONG_SHORT,
    "shake": theme.DOTTED,
    "stone": theme.CENTRE,
    "top up": (2, 6),
    "prime": (12, 6),
    "spund": (5, 2),
    "vent and shake": theme.DOTTED,
    "pour and vent": theme.LONG_SHORT,
    "vent at rest": theme.DASHED,
}
SHAPES: Final[dict[Method, str]] = {
    "hold": "circle",
    "burst": "square",
    "shake": "triangle-up",
    "stone": "diamond",
    "top up": "triangle-right",
    "prime": "triangle-down",
    "spund": "cross",
    "vent and shake": "triangle-up",
    "pour and vent": "square",
    "vent at rest": "circle",
}
MOST_STRIPS: Final = 4
READY: Final = {
    "size": 46,
    "fill": theme.PAPER,
    "stroke": theme.INK,
    "strokeWidth": 1.3,
    "opacity": 1,
}
END_TICK: Final = {
    "shape": "stroke",
    "angle": 90,
    "size": 60,
    "stroke": theme.INK,
    "strokeWidth": theme.THIN,
    "opacity": 1,
}


def carbonation_svg(
    answer: CarbonationAnswer,
    units: UnitSystem,
    now: datetime | None = None,
    standalone: bool = False,
    prefix: str | None = None,
) -> str:
    """Draw the schedules that matter, each in its own strip, and give the finished SVG."""
    spec = carbonation_spec(answer, units, now)
    caption = Caption(
        prefix or f"carbonation-{slug(answer.keg)}",
        f"Carbonating the {answer.beer} in {answer.keg}",
        describe(answer, units),
    )
    return render(spec, caption, standalone)


def carbonation_spec(
    answer: CarbonationAnswer, units: UnitSystem, now: datetime | None = None
) -> Layer:
    """Write the chart as a Vega-Lite specification. Raises `ValueError` without a schedule."""
    if not answer.schedules:
        raise ValueError(f"no schedule to draw for {answer.beer} in {answer.keg}")
    answer = replace(answer, schedules=drawn(answer))
    frame = frame_of(answer, now)
    last = len(answer.schedules) - 1
    strips = [
        _strip(Axes(frame, theme.carbonation_scale(units), i == last), one)
        for i, one in enumerate(answer.schedules)
    ]
    return {"vconcat": strips, "spacing": 10}


def drawn(answer: CarbonationAnswer) -> tuple[Schedule, ...]:
    """Give the schedules to draw, in their order: those that need nothing, and the advised one."""

    def is_advised(one: Schedule) -> bool:
        return one.method == answer.advised

    able = [one for one in answer.schedules if not one.needs or is_advised(one)]
    chosen = sorted(able or answer.schedules, key=lambda one: not is_advised(one))[:MOST_STRIPS]
    return tuple(one for one in answer.schedules if one in chosen)


def describe(answer: CarbonationAnswer, units: UnitSystem) -> str:
    """Say in words what the chart shows."""
    scale = theme.carbonation_scale(units)
    target, tolerance = scale.of(answer.target_vol), scale.of(answer.tolerance_vol)
    said = [f"Target {target:.2f} ± {tolerance:.2f} {scale.sign}."]
    for one in drawn(answer):
        when = (
            f"ready {theme.day_text(one.ready_at, one.course[0].at)}"
            if one.ready_at
            else "not ready in the time"
        )
        said.append(f"{heading(one)}: {when}.")
    return " ".join(said)


def heading(schedule: Schedule) -> str:
    """Give a strip its name: the schedule's own title, led by its method where that lacks it."""
    if schedule.method in schedule.title.lower():
        return schedule.title
    return f"{schedule.method.capitalize()}: {schedule.title}"


def _strip(axes: Axes, schedule: Schedule) -> Layer:
    layers = [
        *_course(axes, schedule),
        *_target(axes),
        *_uprights(axes),
        *_ready(axes, schedule),
    ]
    title = {
        "text": heading(schedule),
        "anchor": "start",
        "frame": "bounds",
        "offset": 4,
        "font": theme.WORDS_FONT,
        "fontSize": theme.TEXT_SIZE,
        "fontWeight": "normal",
        "color": theme.INK,
        "limit": WIDTH + 44,
    }
    return overlay(layers, WIDTH, STRIP, title=title)


@dataclass(frozen=True, slots=True)
class Axes:
    """The axes of one strip; `last` marks the strip at the foot, which bears the days."""

    frame: Frame
    level: theme.Scale
    last: bool

    @property
    def x(self) -> Channel:
        """Days from the start, read from the field `x`."""
        axis = {
            "title": f"days from {theme.day_text(self.frame.start)}" if self.last else None,
            "titlePadding": 18 if self.frame.wanted or self.frame.now is not None else 4,
            "labels": self.last,
            "labelFlush": False,
            "values": _ticks(0.0, self.frame.days, (0.5, 1, 2, 5, 10, 20, 50), 9),
            "format": "~g",
        }
        return quantity("x", (0, self.frame.days), axis)

    def y(self, field: str = "y") -> Channel:
        """The level of CO2 as shown, read from `field`."""
        low, high = self.level.of(self.frame.low_vol), self.level.of(self.frame.high_vol)
        axis = {
            "title": self.level.sign,
            "values": _ticks(low, high, (0.1, 0.2, 0.5, 1.0, 2.0), 6),
            "format": ".1f",
        }
        return quantity(field, (low, high), axis)


def _ticks(low: float, high: float, steps: tuple[float, ...], most: int) -> list[float]:
    step = next((size for size in steps if (high - low) / size <= most), high - low)
    first = ceil(low / step - 1e-9)
    return [round(step * i, 3) for i in range(first, floor(high / step + 1e-9) + 1)]


def _target(axes: Axes) -> list[Layer]:
    frame, of = axes.frame, axes.level.of
    strip: Row = {
        "x": 0,
        "x2": frame.days,
        "y": of(frame.target_vol - frame.tolerance_vol),
        "y2": of(frame.target_vol + frame.tolerance_vol),
    }
    line: Row = {"x": 0, "x2": frame.days, "y": of(frame.target_vol)}
    across = {"x": axes.x, "x2": second("x2"), "y": axes.y()}
    return [
        layer([strip], "rect", {"color": theme.HATCH}, **across, y2=second("y2")),
        layer([line], "rule", {}, **across),
    ]


def _course(axes: Axes, schedule: Schedule) -> list[Layer]:
    edge = axes.frame.start + timedelta(days=axes.frame.days)
    inside = [point for point in schedule.course if point.at <= edge]
    rows: list[Row] = [
        {
            "x": round(axes.frame.day(point.at), 3),
            "y": round(axes.level.of(point.reached_vol), 3),
            "low": round(axes.level.of(point.reached_low_vol), 3),
            "high": round(axes.level.of(point.reached_high_vol), 3),
        }
        for point in thinned(inside)
    ]
    band = {"color": theme.TINT, "opacity": 1}
    dash = {"strokeDash": [*DASHES[schedule.method]]}
    return [
        layer(rows, "area", band, x=axes.x, y=axes.y("low"), y2=second("high")),
        layer(rows, "line", dash, x=axes.x, y=axes.y()),
    ]


def _uprights(axes: Axes) -> list[Layer]:
    """Hairlines for now and for the day the beer is wanted, each with its word at the foot."""
    frame, layers = axes.frame, []
    for day, word, dash in ((frame.now, "now", (1, 0)), (frame.wanted, "wanted", theme.CENTRE)):
        if day is None:
            continue
        rows: list[Row] = [{"x": day, "word": word}]
        layers.append(layer(rows, "rule", {"strokeDash": [*dash], "color": theme.QUIET}, x=axes.x))
        if axes.last:
            look = {"align": _side(frame, word), "fontSize": theme.NUMBER_SIZE}
            look["color"] = theme.QUIET
            layers.append(layer(rows, "text", look, x=axes.x, y=pixel(STRIP + 26), text=words()))
    return layers


def _side(frame: Frame, word: str) -> str:
    """Keep the two words apart where now and the day wanted lie close together."""
    if frame.now is None or frame.wanted is None:
        return "center"
    if abs(frame.now - frame.wanted) > 0.16 * frame.days:
        return "center"
    return "right" if (word == "now") == (frame.now < frame.wanted) else "left"


def _ready(axes: Axes, schedule: Schedule) -> list[Layer]:
    """The ready mark on the course, dropped to a dimension line that spans its 80 % band."""
    if schedule.ready_at is None:
        return [_never(axes)]
    frame, of = axes.frame, axes.level.of
    day = frame.day(schedule.ready_at)
    early = frame.day(schedule.ready_early or schedule.ready_at)
    late = frame.day(schedule.ready_late or schedule.ready_at)
    foot, level = of(frame.floor_vol), of(level_at(schedule, schedule.ready_at))
    drop: Row = {"x": day, "y": of(frame.low_vol), "y2": level}
    span: Row = {"x": early, "x2": late, "y": foot}
    ends: list[Row] = [{"x": early, "y": foot}, {"x": late, "y": foot}]
    place = {"x": axes.x, "y": axes.y()}
    return [
        layer([drop], "rule", {}, **place, y2=second("y2")),
        layer([span], "rule", {"strokeWidth": theme.THIN}, **place, x2=second("x2")),
        layer(ends, "point", END_TICK, **place),
        layer(
            [{"x": day, "y": level}], "point", READY | {"shape": SHAPES[schedule.method]}, **place
        ),
        _ready_text(axes, schedule, schedule.ready_at, (early, late)),
    ]


def _ready_text(
    axes: Axes, schedule: Schedule, ready: datetime, span: tuple[float, float]
) -> Layer:
    """Beside the dimension line where there is room, else above it."""
    late = schedule.makes_date is False
    said = f"ready {theme.day_text(ready, axes.frame.start)}" + (", too late" if late else "")
    look = {"color": theme.WARN if late else theme.INK}
    long = (text_width(said, theme.TEXT_SIZE) + 8) / WIDTH * axes.frame.days
    if axes.frame.days - span[1] >= long:
        return _foot_text(axes, span[1], said, look | {"align": "left", "dx": 7})
    if span[0] >= long:
        return _foot_text(axes, span[0], said, look | {"align": "right", "dx": -7})
    start = min(span[0], axes.frame.days - long)
    return _foot_text(axes, start, said, look | {"align": "left", "dx": 4, "dy": -11})


def _never(axes: Axes) -> Layer:
    said = f"not ready within {axes.frame.days:.0f} days"
    look = {"align": "right", "dx": -4, "color": theme.WARN}
    return _foot_text(axes, axes.frame.days, said, look)


def _foot_text(axes: Axes, day: float, said: str, look: dict[str, Any]) -> Layer:
    row: Row = {"x": day, "y": axes.level.of(axes.frame.floor_vol), "word": said}
    return layer([row], "text", look, x=axes.x, y=axes.y(), text=words())
