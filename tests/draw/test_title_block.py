"""The drawing prints on A4 and Letter with its frame and title block."""

from __future__ import annotations

import re
from typing import get_args
from xml.etree import ElementTree as ET

import pytest

from tests.draw.diagram_samples import Wish, live_of, system_of
from ullage.draw.theme import PAPER_COLOURS
from ullage.draw.title_block import Paper, TitleBlock, on_paper

NS = "{http://www.w3.org/2000/svg}"
BLOCK = TitleBlock(
    "Five taps & a <shelf>",
    "Single-line diagram",
    "gas on at 11 psi, keg K3, 12 Nov 2026",
    "12 November 2026",
    "US",
)
# published: ISO 216 for A4, ANSI Y14.1 for Letter (8.5 in by 11 in), in CSS pixels of 1/96 inch
SIZES = {"A4": (793.7, 1122.5), "Letter": (816.0, 1056.0)}


def sheet(taps: int, paper: Paper) -> ET.Element:
    system = system_of(Wish(taps, 2))
    return ET.fromstring(on_paper(system, live_of(system), "us", BLOCK, paper))


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("taps", [1, 3, 7, 12])
def test_it_has_the_size_of_the_paper_and_all_fields(paper: Paper, taps: int) -> None:
    root = sheet(taps, paper)
    size = sorted(float(root.get(side, "0")) for side in ("width", "height"))
    assert size == pytest.approx(SIZES[paper], abs=0.1)
    said = [one.text for one in root.iter(f"{NS}text")]
    assert {BLOCK.system, BLOCK.sheet, BLOCK.revision, BLOCK.date, BLOCK.units} <= {*said}


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("taps", range(1, 13))
def test_the_drawing_stays_above_the_title_block(paper: Paper, taps: int) -> None:
    system = system_of(Wish(taps, 3))
    svg = on_paper(system, live_of(system), "us", BLOCK, paper, standalone=False)
    x, y, scale = map(
        float, re.findall(r"translate\(([\d.]+),([\d.]+)\) scale\(([\d.]+)\)", svg)[0]
    )
    wide, high = map(float, re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)[0])
    assert scale > 0.5, "figures of 11 px stay above 5.5 px, 4 points"
    foot = max(float(found) for found in re.findall(r'y="([\d.]+)"', svg.split("</g></g><path")[0]))
    assert y + scale * foot < high - 10 * 96 / 25.4 - 4 * 34
    assert 20 * 96 / 25.4 < x < wide / 2


def test_it_stands_alone_in_the_colours_of_paper() -> None:
    root = sheet(3, "A4")
    paper = root.find(f"{NS}rect")
    assert paper is not None
    assert paper.get("fill") == PAPER_COLOURS["paper"]
    assert not [one for one in root.iter() if "class" in one.attrib or "style" in one.attrib]
