"""The few shapes of a Vega-Lite chart that our charts are made of, as plain specifications.

Specifications are written here as data, since a chart is drawn on the server once a minute at most
and building it through a class for each word would take longer than drawing it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from ullage.draw.svg import Caption, finish
from ullage.draw.theme import chart_config

Row = dict[str, float | str]
Channel = dict[str, Any]
Layer = dict[str, Any]

# The version of Vega-Lite that the drawing library must speak.
VERSION: Final = "6.1"


def layer(rows: Sequence[Row], mark: str, look: dict[str, Any], **channels: Channel) -> Layer:
    """Draw rows with one kind of mark; `look` is how it looks, `channels` what places it."""
    return {"data": {"values": [*rows]}, "mark": {"type": mark, **look}, "encoding": channels}


def quantity(field: str, domain: tuple[float, float], axis: dict[str, Any]) -> Channel:
    """Place by a number on an axis that shows just this domain."""
    scale = {"domain": [*domain], "nice": False, "zero": False}
    return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}


def second(field: str) -> Channel:
    """End, by a number, what the first channel of that axis began."""
    return {"field": field}


def words(field: str = "word") -> Channel:
    """Read the text to write."""
    return {"field": field, "type": "nominal"}


def pixel(value: float) -> Channel:
    """Place at a fixed pixel of the plot."""
    return {"value": round(value, 1)}


def overlay(layers: Sequence[Layer], width: int, height: int, **more: Any) -> Layer:
    """Lay marks over each other in one plot."""
    return {"layer": [*layers], "width": width, "height": height, **more}


def render(chart: Layer, caption: Caption, standalone: bool = False) -> str:
    """Draw a chart in our theme, in this process and without a browser."""
    import vl_convert  # noqa: PLC0415  (its engine takes a moment to wake)

    spec = {**chart, "config": chart_config()}
    return finish(vl_convert.vegalite_to_svg(spec, vl_version=VERSION), caption, standalone)
