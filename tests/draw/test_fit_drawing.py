"""The drawing is the layout: its circles, read from the SVG, give the places back."""

from __future__ import annotations

import re
from typing import Final
from xml.etree import ElementTree as ET

import pytest

from ullage.draw.fit_drawing import LEFT, PIXELS_IN_M, TOP, fit_drawing, scale_of
from ullage.draw.fit_lines import fit_lines
from ullage.draw.fit_words import counted, tape
from ullage.plan.fit import fit, kegs_of
from ullage.plan.fit_answer import FitAnswer, FitQuestion, Wanted
from ullage.system.inside import Inside, StepInside
from ullage.units import Kind, parse

INCH = 0.0254
RING: Final = re.compile(r"M([-\d.]+),([-\d.]+)a([-\d.]+),[-\d.]+,0,1,0,([-\d.]+),0")
THOUSANDTH_M = 1e-3
"""A hundredth of a pixel is 0.03 mm at 1:10; tape is not read finer than this."""


@pytest.fixture(scope="module")
def answer() -> FitAnswer:
    step = StepInside(where="back-right", width=13 * INCH, depth=9.5 * INCH, height=9 * INCH)
    room = Inside(width=36 * INCH, depth=29 * INCH, height=38 * INCH, opens="top", step=step)
    gas = (Wanted("gas", "5 lb"),)
    return fit(FitQuestion("chest", room, kegs_of("ball-lock-5gal", 6), gas, outside=False))


def circles(svg: str, answer: FitAnswer) -> list[tuple[float, float, float]]:
    """Middle and diameter of each circle, in metres from the front left corner."""
    pixels = PIXELS_IN_M / scale_of(answer.room)
    foot = TOP + answer.room.depth_m * pixels
    return [
        ((x + r - LEFT) / pixels, (foot - y) / pixels, 2.0 * r / pixels)
        for x, y, r, _ in (map(float, found) for found in RING.findall(svg))
    ]


@pytest.mark.parametrize("standalone", [True, False])
def test_its_circles_are_the_layout(answer: FitAnswer, standalone: bool) -> None:
    assert answer.verdict == "fits"
    drawn = circles(fit_drawing(answer, answer.standing, "us", standalone=standalone), answer)
    heads = [one.head for one in answer.standing if one.head is not None]
    wanted = [(one.x_m, one.y_m, one.diameter_m) for one in answer.standing]
    wanted += [(one.x_m, one.y_m, 2.0 * one.radius_m) for one in heads]
    assert len(drawn) == len(wanted)
    for circle in wanted:
        nearest = min(drawn, key=lambda one: abs(one[0] - circle[0]) + abs(one[1] - circle[1]))
        assert nearest == pytest.approx(circle, abs=THOUSANDTH_M)


def test_printed_at_its_own_size_it_has_its_scale(answer: FitAnswer) -> None:
    svg = fit_drawing(answer, answer.standing, "us", standalone=True)
    assert scale_of(answer.room) == 10
    assert "Scale 1:10" in svg
    # analytic: 36 in at 1:10 is 3.6 in, 345.6 pixels of 1/96 in
    root = ET.fromstring(svg)
    assert root.get("width") == root.get("viewBox", "").split()[2]
    walls = max(float(one) for one in re.findall(r"H([\d.]+)", svg) if float(one) < 400)
    assert walls - LEFT == pytest.approx(345.6, abs=0.1)


def test_in_a_page_it_has_classes_and_no_colours(answer: FitAnswer) -> None:
    svg = fit_drawing(answer, answer.standing, "us")
    assert "#" not in re.sub(r"&#\d+;", "", svg)
    assert "style=" not in svg
    assert ET.fromstring(svg).get("role") == "img"


def test_the_sheet_for_the_floor_has_the_middles(answer: FitAnswer) -> None:
    svg = fit_drawing(answer, answer.standing, "us", standalone=True)
    for one in answer.standing:
        assert f">{tape(one.x_m, 'us')}<" in svg
        assert f">{tape(one.y_m, 'us')}<" in svg
    assert "from left" not in fit_drawing(answer, answer.standing, "us")


def test_an_empty_room_can_be_drawn(answer: FitAnswer) -> None:
    svg = fit_drawing(answer, (), "metric", standalone=True)
    assert circles(svg, answer) == []
    assert "Nothing stands in it." in svg


@pytest.mark.parametrize(
    ("length", "us", "metric"),
    [
        ("19 11/16 in", "19 11/16 in", "500 mm"),
        ("1/2 in", "1/2 in", "13 mm"),
        ("3 ft", "36 in", "914 mm"),
        ("11.99 in", "12 in", "305 mm"),
        ("0 in", "0 in", "0 mm"),
    ],
)
def test_lengths_stand_as_on_a_tape(length: str, us: str, metric: str) -> None:
    found = parse(length, Kind.LENGTH)
    assert (tape(found, "us"), tape(found, "metric")) == (us, metric)


def test_numbers_of_things_are_words() -> None:
    assert counted(1, "keg") == "one keg"
    assert counted(0, "keg") == "no kegs"
    assert counted(12, "keg") == "12 kegs"


def test_the_terminal_says_the_same(answer: FitAnswer) -> None:
    lines = fit_lines(answer, "us")
    assert lines[0].startswith("It fits: six kegs and the cylinder stand with")
    said = "\n".join(lines)
    assert all(tape(one.x_m, "us") in said for one in answer.standing)
    assert "turn the regulator" in said
    assert max(map(len, lines)) <= 100
