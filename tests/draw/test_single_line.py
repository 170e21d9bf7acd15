"""The single-line diagram says what is owned and how it is joined."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from tests.draw import samples
from ullage.draw.layout import cells_of, lay_out
from ullage.draw.single_line import single_line
from ullage.plan.answers import WholeAnswer
from ullage.system.demo import demo_system


def words(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("text")]


def test_it_shows_every_part_with_its_number(demo_answer: WholeAnswer) -> None:
    said = words(single_line(demo_system(samples.START.date()), demo_answer, "us"))
    assert {"left", "middle", "right", "Backyard Pale", "Cellar Stout", "Harvest Wheat"} <= {*said}
    assert {"11 psi", "6.3 lb", "3.6 gal", "2.2 gal", "5 gal", "66 °F"} <= {*said}
    assert {tag: said.count(tag) for tag in ("PI", "WI", "LI", "TI")} == {
        "PI": 1,
        "WI": 1,
        "LI": 3,
        "TI": 2,
    }


def test_metric(demo_answer: WholeAnswer) -> None:
    said = words(single_line(demo_system(samples.START.date()), demo_answer, "metric"))
    assert {"0.76 bar", "2.86 kg", "13.6 L", "18.9 °C"} <= {*said}


@pytest.mark.parametrize("taps", range(1, 13))
@pytest.mark.parametrize("columns", [2, 6])
def test_nothing_overlaps_for_one_to_twelve_taps(taps: int, columns: int) -> None:
    system = samples.system_of(taps)
    layout = lay_out(system, columns, 160)
    assert len(layout.cells) == len(cells_of(system)) == taps + 2
    for row in {one.row for one in layout.cells}:
        cells = [one for one in layout.cells if one.row == row]
        edges = [(one.left, one.left + one.width) for one in cells]
        assert all(a[1] <= b[0] for a, b in pairwise(edges))
        assert edges[-1][1] <= layout.width
    svg = single_line(system, samples.silent(), "us", columns=columns, column_width=160)
    assert {f"tap {i}" for i in range(taps)} <= {*words(svg)}


def test_a_system_of_nothing_still_draws() -> None:
    empty = demo_system().model_copy(
        update=dict.fromkeys(("cylinders", "regulators", "kegs", "taps"), ())
    )
    assert ET.fromstring(single_line(empty, samples.silent(), "us")).tag == "svg"
