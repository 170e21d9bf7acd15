"""Tags: what they say, whole where it fits and visibly cut where not, always inside their label."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.draw.label_sheet import SHEETS, LabelSheet
from ullage.draw.label_tag import Tag, code_side, tag_of, tag_svg
from ullage.draw.metric import width_of
from ullage.draw.pen import Box
from ullage.errors import OutOfRange
from ullage.plan.labels import LabelKind, Labelled

TEXT = re.compile(r'<text x="([\d.]+)" y="([\d.]+)" font-size="([\d.]+)">([^<]*)</text>')
RULE = re.compile(r'<path d="M([\d.]+),([\d.]+)H([\d.]+)"')
ADDRESS = "http://garage.local:8420/record/keg/K1"
CYLINDER = Labelled("cylinder", "main", "10 lb cylinder", 6.849, date(2019, 4, 1), date(2024, 4, 1))
NAMES = (
    "K1",
    'Grandma\'s "big" keg <&> 5/6',
    "Käsebier für den Sommer",
    "A name that goes on and on until nobody can remember how it began at all, truly",
    "W" * 80,
    "麦酒の樽その一番大きいもの" * 6,
)
ROUNDING = 0.02


def texts(tag: Tag, sheet: LabelSheet) -> list[tuple[float, float, float, str]]:
    svg = tag_svg(tag, sheet.inside(1))
    return [(float(x), float(y), float(s), unescape(t)) for x, y, s, t in TEXT.findall(svg)]


def said(thing: Labelled, sheet: str = "a4-plain") -> list[str]:
    return [one[3] for one in texts(tag_of(thing, ADDRESS, "us"), SHEETS[sheet])]


def test_what_a_tag_says() -> None:
    assert said(Labelled("keg", "K1", "Ball lock, 5 US gal")) == [
        "Keg",
        "K1",
        "Ball lock, 5 US gal",
        "Beer",
        "Filled",
    ]
    assert said(Labelled("tap", "left")) == ["Tap", "left", "Beer", "Cleaned"]
    assert said(CYLINDER) == [
        "CO2 cylinder",
        "main",
        "10 lb cylinder",
        "Tare 15.1 lb",  # analytic: 6.849 kg / 0.45359 kg
        "Tested 1 Apr 2019",
        "Next test 1 Apr 2024",
        "Filled",
    ]


def test_what_is_not_known_of_a_cylinder_has_a_blank() -> None:
    words = said(Labelled("cylinder", "main", "10 lb cylinder"))
    assert words == ["CO2 cylinder", "main", "10 lb cylinder", "Tested", "Tare", "Filled"]


@pytest.mark.parametrize("sheet", SHEETS, ids=str)
def test_a_cylinders_tare_and_dates_are_never_cut(sheet: str) -> None:
    words = said(CYLINDER, sheet)
    assert {"Tare 15.1 lb", "Tested 1 Apr 2019", "Next test 1 Apr 2024"} <= set(words)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda one: one.name)
@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
@pytest.mark.parametrize("kind", ["keg", "tap", "cylinder"])
def test_all_of_it_lies_inside_and_beside_the_code(
    sheet: LabelSheet, name: str, kind: LabelKind
) -> None:
    thing = Labelled(kind, name, "Quarter barrel, slim, 7.75 US gal", 6.8, date(2019, 4, 1))
    inside = sheet.inside(1)
    column = inside.right - code_side(inside)
    svg = tag_svg(tag_of(thing, ADDRESS, "metric"), inside)
    found = TEXT.findall(svg)
    assert len(found) >= 2
    feet = []
    for x, y, size, text in found:
        assert float(x) >= inside.left - ROUNDING
        assert float(x) + width_of(unescape(text), float(size)) <= column
        assert float(y) - float(size) >= inside.top - ROUNDING
        assert float(y) + 0.22 * float(size) <= inside.bottom + ROUNDING
        feet.append((float(y), float(size)))
    for (above, large), (below, small) in pairwise(feet):
        assert below - 0.76 * small >= above + 0.22 * large - ROUNDING
    for _, y, end in RULE.findall(svg):
        assert float(y) <= inside.bottom + ROUNDING
        assert float(end) <= column


def test_a_long_name_is_cut_visibly_and_whole_for_the_reader() -> None:
    tag = tag_of(Labelled("keg", NAMES[3], "Ball lock, 5 US gal"), ADDRESS, "us")
    svg = tag_svg(tag, SHEETS["letter-2.625x1"].inside(1))
    shown = [unescape(one[3]) for one in TEXT.findall(svg)]
    assert any(one.endswith("…") for one in shown)
    assert f"<title>keg {NAMES[3]}</title>" in svg
    short = tag_of(Labelled("keg", "Cellar keg two"), ADDRESS, "us")
    words = [one[3] for one in texts(short, SHEETS["a4-99.1x67.7"])]
    assert " ".join(words[1:-2]) == "Cellar keg two"


@settings(deadline=None)
@given(st.floats(25.0, 60.0), st.floats(20.0, 60.0), st.text(min_size=1, max_size=80))
def test_no_letter_of_a_name_is_lost_without_a_mark(wide: float, high: float, name: str) -> None:
    name = " ".join("".join(one for one in name if one.isprintable()).split()) or "K"
    tag = tag_of(Labelled("tap", name), ADDRESS, "us")
    svg = tag_svg(tag, Box(0.0, 0.0, 2.2 * wide, high))
    shown = [unescape(one[3]) for one in TEXT.findall(svg)][1:]
    shown = [one for one in shown if one not in ("Beer", "Cleaned")] or [name]
    whole = "".join(shown).replace(" ", "")
    assert whole == name.replace(" ", "") or shown[-1].endswith("…") or name in ("Beer", "Cleaned")


def test_an_address_too_long_for_its_label_names_the_thing() -> None:
    tag = tag_of(Labelled("keg", "K1"), ADDRESS + "x" * 700, "us")
    with pytest.raises(OutOfRange, match="keg K1: an address of 738 characters needs a code"):
        tag_svg(tag, SHEETS["letter-2.625x1"].inside(1))
