"""The fit in a real browser: no barriers, nothing sticks out, a finger hits, typing answers."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

PAGES = (
    "/build/fit?place=&kegs=2&cylinder=inside",
    "/build/fit?place=&width=15&depth=15&step=none&kegs=2&collar=x",
    "/build/cold?tower=60&price=0.2",
)
every_page = pytest.mark.parametrize("path", PAGES)


@every_page
@every_size
@every_scheme
def test_no_barriers(
    page: Page, address: str, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    page.emulate_media(color_scheme=scheme)
    show(page, address + path, size)
    no_barriers(page)
    assert sticking_out(page) == [0, []]


def test_typing_brings_the_answer(page: Page, address: str) -> None:
    show(page, f"{address}/build/fit?place=&step=none&kegs=4&width=25", SIZES[0])
    lead = page.locator("#whatif .lead")
    expect(lead).to_contain_text("It fits: four kegs")
    page.get_by_label("Width inside").fill("9.5 in")
    expect(lead).to_contain_text("It does not fit")
    expect(page).to_have_url(re.compile(r"width=9\.5\+in"))
