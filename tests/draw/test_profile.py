"""The picture of the pressure along the way: its strip to scale, its ticks, its mark, its inks."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from tests.draw import samples
from ullage.draw.charts import profile_chart
from ullage.draw.plot import Plot, Range, tick_text, ticks
from ullage.plan.line_text import parse_line
from ullage.plan.what_if_tap import PourQuestion, pour_what_if

POUR = samples.whole().pours[0]
BOX = re.compile(r"M([\d.]+),([\d.]+)H([\d.]+)v([\d.]+)H[\d.]+z")


def boxes(svg: str) -> list[tuple[float, float, float]]:
    """Left edge, right edge and height of the parts in the strip."""
    return [(float(left), float(right), float(tall)) for left, _, right, tall in BOX.findall(svg)]


def test_the_strip_is_to_scale() -> None:
    parts = boxes(profile_chart(POUR, "us", standalone=True))
    # analytic: the made-up way is 1.9, 0.15, 6, 0.45 and 0.3 ft long, 8.8 ft in all, over 252 px
    wanted = [length / 8.8 * 252 for length in (1.9, 0.15, 6.0, 0.45, 0.3)]
    assert [right - left for left, right, _ in parts] == pytest.approx(wanted, abs=0.11)
    assert all(one[1] == after[0] for one, after in pairwise(parts))


def test_tube_is_drawn_thinner_than_fittings() -> None:
    tube, disconnect, line, shank, faucet = (
        tall for *_, tall in boxes(profile_chart(POUR, "us", standalone=True))
    )
    assert tube == line < disconnect == shank == faucet


def test_warm_parts_are_tinted_and_named() -> None:
    svg = profile_chart(POUR, "us")
    tinted = [one for one in ET.fromstring(svg).iter() if "f-tint" in one.get("class", "")]
    assert tinted
    assert "Warmer than the keg: shank and faucet." in svg
    cold = tuple(replace(one, temperature_k=276.5) for one in POUR.profile)
    assert "f-tint" not in profile_chart(replace(POUR, profile=cold), "us")


def test_the_mark_stands_where_the_pressure_crosses_saturation() -> None:
    svg = profile_chart(POUR, "us", standalone=True)
    (triangle,) = re.findall(r'd="M([\d.]+),([\d.]+)l4\.5,9h-9z"', svg)
    # analytic: 3.25 of 8.8 ft, from the plot's left edge at 44 px
    assert float(triangle[0]) == pytest.approx(44 + 3.25 / 8.8 * 252, abs=0.06)


def test_ten_is_written_as_ten() -> None:
    answer = pour_what_if(PourQuestion(80e3, parse_line("10 ft x 3/16 in")))
    said = [one.text for one in ET.fromstring(profile_chart(answer, "us")).iter("text")]
    assert "10" in said
    assert not [one for one in said if one and "e+" in one]


def test_in_a_page_it_has_no_colours_of_its_own() -> None:
    svg = profile_chart(POUR, "us")
    assert not re.search(r'(fill|stroke)="#', svg.split("<pattern")[0])
    assert "style=" not in svg
    assert set(re.findall(r'stroke="(#\w+)"', svg)) <= {"#17222d"}  # the hatch, inked by its class


def test_points_on_a_straight_line_are_left_out() -> None:
    svg = profile_chart(POUR, "us")
    (pouring,) = re.findall(r'd="([^"]+)" stroke-width="1\.6"', svg)
    # analytic: five parts, each a straight line
    assert pouring.count("L") == 5


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (0.0, 1.0, [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]),
        (-2.0, 14.0, [0.0, 5.0, 10.0]),
        (0.0, 3.7, [0.0, 1.0, 2.0, 3.0]),
    ],
)
def test_ticks_are_round_numbers(low: float, high: float, wanted: list[float]) -> None:
    # analytic: the smallest of 1, 2, 5 times a power of ten that is no less than a fifth
    assert ticks(Range("x", low, high)) == pytest.approx(wanted)


def test_a_tick_is_written_short() -> None:
    assert [tick_text(one) for one in (0.0, 0.5, 20.0)] == ["0", "0.5", "20"]


def test_a_plot_maps_its_corners() -> None:
    plot = Plot(10.0, 20.0, 100.0, 50.0, Range("x", 0.0, 5.0), Range("y", -1.0, 1.0))
    assert (plot.x(0.0), plot.x(5.0)) == (10.0, 110.0)
    assert (plot.y(1.0), plot.y(-1.0), plot.foot) == (20.0, 70.0, 70.0)
