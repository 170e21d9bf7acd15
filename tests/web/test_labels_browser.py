"""Labels and the card in a real browser: no barriers, printed to size, and every code read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.codes import Read, codes_of
from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.odd_names import ODD, with_odd_names
from tests.web.serving import served
from ullage.draw.label_sheet import PAPERS_MM, SHEETS, LabelSheet, Paper
from ullage.web.app import create_app

PAGES = ("/labels", "/labels?sheet=a5&start=99", "/safety/card")
DPI = 96.0
FINE = 2.0
"""Pixels of the picture for each of the page: 192 to the inch, coarser than any printer."""
PHONE = "http://garage.local:8420"
SLACK_MM = 0.6


@pytest.fixture(scope="module")
def odd_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve a store with odd names, for tests that write nothing down."""
    with served(create_app(with_odd_names(tmp_path_factory.mktemp("odd")))) as address:
        yield address


@pytest.fixture
def printed(browser: Browser) -> Iterator[Page]:
    """A page as a printer sees it."""
    page = browser.new_page(device_scale_factor=FINE)
    page.emulate_media(media="print")
    yield page
    page.close()


@pytest.mark.parametrize("path", PAGES)
@every_size
@every_scheme
def test_no_barriers(
    page: Page, address: str, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.emulate_media(color_scheme=scheme)
    show(page, address + path, size)
    no_barriers(page)
    assert sticking_out(page) == [0, []]
    assert [one for one in complaints if "422" not in one] == []


def paper_of(sheet: LabelSheet) -> tuple[int, int]:
    wide, high = (round(side / 25.4 * DPI) for side in sheet.paper_mm)
    return wide, high


def read_sheet(
    printed: Page, page: Page, address: str, sheet: LabelSheet, start: int
) -> list[Read]:
    """Every code of the first printed sheet, where it lies in mm."""
    wide, high = paper_of(sheet)
    printed.set_viewport_size({"width": wide, "height": high})
    asked = {"sheet": sheet.name, "start": str(start), "address": PHONE, "copies": "5"}
    printed.goto(f"{address}/labels?{urlencode(asked)}")
    printed.evaluate("document.fonts.ready")
    picture = printed.screenshot(clip={"x": 0, "y": 0, "width": wide, "height": high})
    page.goto("about:blank")
    mm = 25.4 / DPI / FINE
    return [
        Read(one.said, one.level, one.left * mm, one.top * mm, one.right * mm, one.bottom * mm)
        for one in codes_of(page, picture)
    ]


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda one: one.name)
def test_every_code_of_a_printed_sheet_is_read_in_its_own_label(
    printed: Page, page: Page, odd_address: str, sheet: LabelSheet
) -> None:
    start = 2
    found = read_sheet(printed, page, odd_address, sheet, start)
    asked = {"sheet": sheet.name, "start": str(start), "address": PHONE, "copies": "5"}
    told = printed.request.get(f"{odd_address}/labels.json?{urlencode(asked)}").json()["labels"]
    wanted = [one for one in told if one["page"] == 1]
    assert len(found) == len(wanted) == min(sheet.per_sheet - start + 1, 35)
    for one in wanted:
        box = sheet.box(one["label"])
        (code,) = [
            each
            for each in found
            if box.left - SLACK_MM <= each.left
            and each.right <= box.right + SLACK_MM
            and box.top - SLACK_MM <= each.top
            and each.bottom <= box.bottom + SLACK_MM
        ]
        assert code.said == one["address"]
        assert code.level == one["code_level"]
        assert one["code_module_m"] >= 0.0004
        modules = round((code.right - code.left) / (1e3 * one["code_module_m"]))
        assert modules % 4 == 1  # published: ISO/IEC 18004, a side has 17 + 4 n modules
        assert box.right - code.right >= 4 * 1e3 * one["code_module_m"] - SLACK_MM  # kept quiet


def test_what_a_code_says_opens_that_very_thing(
    printed: Page, page: Page, odd_address: str
) -> None:
    found = read_sheet(printed, page, odd_address, SHEETS["a4-63.5x33.9"], 1)
    named = set()
    for said in {one.said for one in found}:
        answer = page.goto(odd_address + urlsplit(said).path)
        assert answer is not None
        assert answer.status == 200
        heading = page.locator("h1").inner_text()
        expect(page.get_by_role("heading", name="What happened?")).to_be_visible()
        named |= {name for name in ODD.values() if heading.endswith(name)}
    assert named >= {ODD["K1"], ODD["K2"], ODD["K3"]}


@pytest.mark.parametrize("sheet", ["a4-70x37", "letter-2.625x1", "a4-plain", "letter-plain"])
def test_no_text_leaves_its_label(page: Page, odd_address: str, sheet: str) -> None:
    known = SHEETS[sheet]
    show(page, f"{odd_address}/labels?sheet={sheet}&address={PHONE}")
    scale = page.evaluate("document.querySelector('.paper svg').getBoundingClientRect().width")
    mm = known.paper_mm[0] / scale
    texts = page.evaluate(
        """() => {
          const origin = document.querySelector(".paper svg").getBoundingClientRect();
          return [...document.querySelectorAll(".paper svg text")].map((one) => {
            const box = one.getBoundingClientRect();
            return [box.left - origin.left, box.top - origin.top,
                    box.right - origin.left, box.bottom - origin.top];
          });
        }"""
    )
    boxes = [known.box(number) for number in range(1, 8)]
    assert len(texts) > 7 * 2
    for left, top, right, bottom in texts:
        assert any(
            box.left <= left * mm
            and right * mm <= box.right
            and box.top <= top * mm
            and bottom * mm <= box.bottom
            for box in boxes
        ), (left * mm, top * mm, right * mm, bottom * mm)


def sizes_of(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of each page of a PDF in mm."""
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    return [(float(w) * 25.4 / 72, float(h) * 25.4 / 72) for w, h in boxes]


@pytest.mark.parametrize("sheet", ["a4-70x37", "letter-4x2", "a4-plain", "letter-plain"])
def test_each_sheet_is_one_page_of_its_paper(
    page: Page, address: str, tmp_path: Path, sheet: str
) -> None:
    known = SHEETS[sheet]
    asked = f"sheet={sheet}&copies=9&start=3"
    count = -(-(7 * 9 + 2) // known.per_sheet)  # analytic
    show(page, f"{address}/labels?{asked}")
    file = tmp_path / "labels.html"
    file.write_bytes(page.request.get(f"{address}/labels.html?{asked}").body())
    printouts = [page.pdf(prefer_css_page_size=True)]
    page.goto(file.as_uri())
    printouts.append(page.pdf(prefer_css_page_size=True))
    for pdf in printouts:
        sizes = sizes_of(pdf)
        assert len(sizes) == count
        assert sizes == [pytest.approx(known.paper_mm, abs=0.2)] * count


def test_the_sheet_follows_what_is_asked_and_so_does_the_address(page: Page, address: str) -> None:
    show(page, f"{address}/labels", SIZES[1])
    expect(page.locator(".lead")).to_contain_text("7 labels on 1 sheet")
    page.get_by_label("Copies of each").fill("2")
    expect(page.locator(".lead")).to_contain_text("14 labels on 2 sheets")
    page.get_by_role("checkbox", name="K1").uncheck()
    expect(page.locator(".lead")).to_contain_text("12 labels on 2 sheets")
    page.get_by_label("Sheet", exact=True).select_option("a4-70x37")
    expect(page.locator(".lead")).to_contain_text("12 labels on 1 sheet: A4, 3 × 8")
    assert "sheet=a4-70x37" in page.url
    assert sizes_of(page.pdf(prefer_css_page_size=True)) == [pytest.approx((210.0, 297.0), abs=0.2)]
    page.get_by_label("Address in the codes").fill(PHONE)
    expect(page.locator(".loopback")).to_have_count(0)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_card_is_one_page(page: Page, address: str, odd_address: str, paper: Paper) -> None:
    for site in (address, odd_address):
        show(page, f"{site}/safety/card")
        (size,) = sizes_of(page.pdf(format=paper))
        assert size == pytest.approx(PAPERS_MM[paper], abs=0.5)
