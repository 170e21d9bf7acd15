"""The building page in a real browser: no barriers, nothing sticks out, more taps are asked."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import no_barriers


def sticking_out(page: Page) -> Any:
    return page.evaluate("document.documentElement.scrollWidth - innerWidth")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1400])
@pytest.mark.parametrize("path", ["/build", "/build?taps=3"])
def test_no_barriers_and_nothing_sticks_out(
    page: Page, address: str, path: str, width: int, scheme: Any
) -> None:
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(address + path)
    no_barriers(page)
    assert sticking_out(page) <= 0


def test_more_taps_are_answered_as_they_are_chosen(page: Page, address: str) -> None:
    page.goto(f"{address}/build")
    page.get_by_label("Taps in all").select_option("6")
    expect(page.locator("#grow .lead")).to_contain_text("From 3 to 6 taps")
