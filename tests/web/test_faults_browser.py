"""The faults in a real browser: no barriers, nothing sticks out, ticking answers."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.web.test_browser import SIZES, Scheme, every_scheme, every_size, show, sticking_out

PAGES = (
    "/faults?tap=left&seen=foam+first+glass&yes=second+glass+calm",
    "/faults/leak?test=hold&p1=30&p2=28&t1=68&t2=&time=12&volume=5",
)


@pytest.mark.parametrize("path", PAGES)
@every_size
@every_scheme
def test_no_barriers(
    page: Page, address: str, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    page.emulate_media(color_scheme=scheme)
    show(page, address + path, size)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert sticking_out(page) == [0, []]


def test_ticking_brings_the_answer(page: Page, address: str) -> None:
    show(page, f"{address}/faults", SIZES[0])
    page.get_by_label("Every glass foams").check()
    expect(page.locator("#whatif .lead")).to_contain_text("foam always")
    expect(page).to_have_url(re.compile(r"seen=foam\+always"))
    page.locator(".next").get_by_role("link", name="No").click()
    expect(page.get_by_label("What you looked at")).to_contain_text("No")
