"""The sharing in a real browser: no barriers, nothing sticks out, a choice brings the answer."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

PAGES = (
    "/gas/share",
    "/gas/share?beers=Pale+2.5%3B+Soda+with+quite+a+long+name+5%3B+1.9%3B+3&regulators=3",
    "/gas/share?keep=K1",
)


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
    wrong = path.endswith("keep=K1")
    assert len(complaints) == (1 if wrong else 0), complaints  # the browser itself notes the 422


def test_a_choice_brings_the_answer(page: Page, address: str) -> None:
    show(page, f"{address}/gas/share", SIZES[0])
    lead = page.locator("#whatif .lead")
    expect(lead).to_contain_text("K1, K2 and K3")
    page.get_by_label("Regulators").select_option("3")
    expect(lead).to_contain_text("each of the three beers keeps its level")
    expect(page).to_have_url(re.compile(r"regulators=3"))


def test_the_links_lead_somewhere(page: Page, address: str) -> None:
    show(page, f"{address}/gas", SIZES[1])
    page.get_by_role("link", name="Several beers on few regulators").click()
    expect(page.locator("h1")).to_have_text("Several beers on few regulators")
    page.get_by_role("link", name="any other beers").click()
    expect(page).to_have_url(re.compile(r"beers="))
    page.get_by_role("link", name="This answer as data (JSON)").click()
    expect(page.locator("body")).to_contain_text('"outside"')
