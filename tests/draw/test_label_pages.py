"""Sheets ready to print: copies, starts, pages, exact sizes; where each label lies, as data."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.draw.label_pages import (
    LabelJob,
    label_svgs,
    labels_file,
    large_enough,
    placed_labels,
)
from ullage.draw.label_sheet import SHEETS
from ullage.draw.label_tag import Tag, tag_of
from ullage.errors import OutOfRange
from ullage.plan.as_json import as_json
from ullage.plan.labels import Labelled

SVG = "{http://www.w3.org/2000/svg}"


def tag(name: str, more: str = "") -> Tag:
    return tag_of(Labelled("keg", name), f"http://garage.local/record/keg/{name}{more}", "us")


TAGS = tuple(tag(f"K{number}") for number in range(1, 8))


@settings(deadline=None)
@given(st.sampled_from(list(SHEETS.values())), st.integers(1, 7), st.integers(1, 20), st.data())
def test_each_thing_has_its_copies_side_by_side(
    sheet: object, count: int, copies: int, data: st.DataObject
) -> None:
    known = next(one for one in SHEETS.values() if one is sheet)
    start = data.draw(st.integers(1, known.per_sheet))
    answer = placed_labels(LabelJob(known, TAGS[:count], start, copies))
    names = [one.name for one in answer.labels]
    assert names == [f"K{number}" for number in range(1, count + 1) for _ in range(copies)]
    assert answer.pages == -(-(start - 1 + count * copies) // known.per_sheet)  # analytic
    assert answer.labels[0].label == start


def test_the_data_are_metres_from_the_papers_corner() -> None:
    answer = placed_labels(LabelJob(SHEETS["a4-70x37"], TAGS[:2], start=5))
    second = answer.labels[1]
    assert (second.page, second.label) == (1, 6)
    # analytic: the third column begins at 2 x 70 mm, the second row at 0.5 + 37 mm
    assert (second.left_m, second.top_m) == pytest.approx((0.140, 0.0375))
    assert (second.width_m, second.height_m) == (0.07, 0.037)
    assert second.code_module_m >= 0.0004
    assert '"code_module_m": 0.000' in as_json(answer)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda one: one.name)
def test_a_drawing_has_its_papers_size_in_millimetres(sheet: object) -> None:
    known = next(one for one in SHEETS.values() if one is sheet)
    svgs = label_svgs(LabelJob(known, TAGS, copies=20))
    assert len(svgs) == -(-140 // known.per_sheet)  # analytic
    # published: ISO 216, A4 210 x 297 mm; ANSI Letter 8.5 x 11 in
    size = {"A4": ("210mm", "297mm"), "Letter": ("215.9mm", "279.4mm")}[known.paper]
    for svg in svgs:
        root = ET.fromstring(svg)
        assert (root.get("width"), root.get("height")) == size
        assert root.get("viewBox") == f"0 0 {size[0][:-2]} {size[1][:-2]}"
        assert not root.findall(f".//{SVG}path[@class='guide']")
    assert 'class="guide"' in label_svgs(LabelJob(known, TAGS), standalone=False)[0]


def test_a_file_prints_each_sheet_on_its_own_page() -> None:
    text = labels_file(LabelJob(SHEETS["letter-4x2"], TAGS, start=9))
    assert "@page{size:215.9mm 279.4mm;margin:0}" in text
    assert len(re.findall(r'<div class="paper"><svg', text)) == 1 + 1  # 2 + 5 labels
    assert "http" not in re.sub(r'xmlns="[^"]*"', "", text)  # nothing is asked of any host


def test_what_cannot_be_printed_is_refused_with_what_can() -> None:
    long = (tag("K1", "x" * 400),)
    with pytest.raises(OutOfRange, match=r"keg K1: .*; large enough: A4, .*4 × 3⅓ in"):
        placed_labels(LabelJob(SHEETS["letter-2.625x1"], long))
    for one in SHEETS.values():
        fits = one in large_enough(long)
        if fits:
            assert placed_labels(LabelJob(one, long)).pages == 1
        else:
            with pytest.raises(OutOfRange, match="needs a code"):
                placed_labels(LabelJob(one, long))
    for copies in (0, 21):
        with pytest.raises(OutOfRange, match="1 to 20 copies"):
            placed_labels(LabelJob(SHEETS["a4-plain"], TAGS, copies=copies))


def test_the_longest_names_and_addresses_find_a_sheet() -> None:
    # analytic: 80 letters of 9 characters each in an address, after an address of 200
    assert large_enough((tag("K1", "x" * (720 + 200)),))
