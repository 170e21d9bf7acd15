"""Every page in the smallest window that is asked of a page, 320 px: nothing scrolls sideways."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.web.looks import show

NARROW = (320, 640)

PAGES = (
    "/",
    "/alarms",
    "/brew",
    "/brew/party",
    "/build",
    "/build/cold",
    "/build/fit",
    "/carbonate",
    "/carbonate/ways",
    "/data",
    "/faults",
    "/faults/leak",
    "/gas",
    "/gas/ahead",
    "/gas/blend",
    "/gas/share",
    "/gas/share?price-regulator=45-60",
    "/kegs",
    "/kegs/K1",
    "/kegs/K3",
    "/kegs/K3/fill",
    "/labels",
    "/learn",
    "/log",
    "/new-keg",
    "/plan",
    "/pour",
    "/readings",
    "/record/cylinder/main",
    "/record/keg/K1",
    "/record/keg/K1/measured",
    "/safety",
    "/safety/card",
    "/system",
    "/upkeep",
    "/upkeep/how?task=clean+line&about=left",
)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("path", PAGES)
def test_nothing_scrolls_sideways(page: Page, address: str, path: str, units: str) -> None:
    page.set_viewport_size({"width": NARROW[0], "height": NARROW[1]})
    answer = page.goto(f"{address}{path}{'&' if '?' in path else '?'}units={units}")
    page.evaluate("document.fonts.ready")
    assert answer is not None
    assert answer.ok
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide == NARROW[0]


def test_every_page_in_the_navigation_is_among_them(page: Page, address: str) -> None:
    show(page, address, NARROW)
    links = "nav[aria-label='Sheets'] a"
    found = page.eval_on_selector_all(links, "all => all.map(one => one.pathname)")
    assert found
    assert set(found) <= set(PAGES)
