"""Upkeep and safety in a real browser: no barriers, nothing sticks out, one tap does it."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.web.test_browser import SIZES, Scheme, every_scheme, every_size, show, sticking_out

PAGES = (
    "/upkeep",
    "/upkeep/how?task=clean+line&about=left&strength=99",
    "/safety",
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


def test_one_tap_does_it(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/upkeep", SIZES[0])
    page.get_by_role("button", name="Done: Have the cylinder tested").click()
    expect(page.get_by_role("status")).to_contain_text("upkeep done: requalify")
    expect(page.locator(".lead")).to_contain_text("Nothing is due")
