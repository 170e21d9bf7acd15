"""What holds for every picture: small, named, safe for a strict page, right by itself."""

from __future__ import annotations

import gzip
import re
from collections import Counter
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest

from ullage.draw.svg import Caption, finish, sheet, slug
from ullage.draw.theme import PAPER_COLOURS

Draw = Callable[[bool], str]
NS = "{http://www.w3.org/2000/svg}"
RAW_LIMIT, ZIPPED_LIMIT = 12_000, 6_000
ELEMENTS = {"svg", "title", "desc", "defs", "pattern", "g", "path", "line", "text", "circle"}


def test_it_is_a_named_image(draw: Draw) -> None:
    root = ET.fromstring(draw(False))
    names = {one.get("id"): one for one in root if one.tag in ("title", "desc")}
    assert root.get("role") == "img"
    assert (root.get("aria-labelledby") or "").split() == list(names)
    assert all(one.text for one in names.values())


def test_a_strict_page_may_carry_it(draw: Draw) -> None:
    root = ET.fromstring(draw(False))
    assert {one.tag for one in root.iter()} <= ELEMENTS
    for one in root.iter():
        assert "style" not in one.attrib
        assert not [key for key in one.attrib if key.startswith("on") or "href" in key]


def test_the_page_inks_it(draw: Draw) -> None:
    text = draw(False)
    assert "#" not in re.sub(r"url\(#[\w-]+-h\)", "", text)
    classes = {name for found in re.findall(r'class="([^"]*)"', text) for name in found.split()}
    assert classes <= {f"{letter}-{role}" for letter in "fs" for role in PAPER_COLOURS}
    assert {"f-ink", "s-ink"} <= classes


def test_ids_are_its_own(draw: Draw) -> None:
    ids = Counter(one.get("id") for one in ET.fromstring(draw(False)).iter() if one.get("id"))
    assert set(ids.values()) == {1}
    assert len({str(name).rpartition("-")[0] for name in ids}) == 1


def test_standing_alone_it_has_paper_and_ink(draw: Draw) -> None:
    root = ET.fromstring(draw(True))
    assert root.tag == f"{NS}svg"
    assert float(root.get("width", "0")) > 100
    paper = root.find(f"{NS}rect")
    assert paper is not None
    assert paper.get("fill") == PAPER_COLOURS["paper"]
    assert not [one for one in root.iter() if "class" in one.attrib or "style" in one.attrib]


def test_it_is_small(draw: Draw, request: pytest.FixtureRequest) -> None:
    text = draw(False).encode()
    twelve_taps = "big" in request.node.name
    assert len(text) <= RAW_LIMIT * (3 if twelve_taps else 1)
    assert len(gzip.compress(text)) <= ZIPPED_LIMIT


def test_it_is_the_same_each_time(draw: Draw) -> None:
    assert draw(False) == draw(False)


def test_a_style_attribute_becomes_attributes() -> None:
    raw = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">'
        '<text style="fill: #17222d; opacity: 0.5" font-size="9px">a</text></svg>'
    )
    text = finish(raw, Caption("p", "Name", "Words"))
    assert 'opacity="0.5"' in text
    assert 'class="f-ink"' in text
    assert "style" not in text


def test_words_cannot_break_out() -> None:
    text = sheet(9, 9, Caption("p", "<script>", 'a "b" & c'), [])
    assert "<script>" not in text
    assert ET.fromstring(text)[0].text == "<script>"


def test_a_slug_is_never_empty() -> None:
    assert slug("Tap № 1, left") == "tap-1-left"
    assert slug("…") == "x"
