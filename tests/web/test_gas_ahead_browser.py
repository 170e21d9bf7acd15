"""The gas ahead in a real browser: no barriers, nothing sticks out, a lead time is asked live."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

PAGES = ("/gas/ahead", "/gas/ahead?refill-5-lb=20&refill-10-lb=25-30&requalification=much")


@pytest.mark.parametrize("path", PAGES)
@every_size
@every_scheme
def test_no_barriers(
    page: Page, address: str, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    page.emulate_media(color_scheme=scheme)
    show(page, address + path, size)
    no_barriers(page)
    assert sticking_out(page) == [0, []]


def test_the_day_moves_with_the_lead_time(page: Page, address: str) -> None:
    show(page, f"{address}/gas/ahead", SIZES[0])
    before = page.locator(".lead").inner_text()
    page.get_by_label("A refill takes").fill("30")
    expect(page.locator(".lead")).not_to_have_text(before)
    expect(page.locator(".lead")).to_contain_text("Have cylinder main")


def test_its_weight_is_written_down_from_here(page: Page, address: str) -> None:
    show(page, f"{address}/gas/ahead", SIZES[0])
    page.get_by_role("link", name="Write down its weight").click()
    expect(page.get_by_role("heading", name="Weighed Cylinder main")).to_be_visible()
