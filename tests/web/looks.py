"""A page looked at in a real browser: how wide, in which colours, what sticks out, what bars."""

from __future__ import annotations

from itertools import product
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

Scheme = Literal["light", "dark"]
SIZES = ((390, 844), (1400, 900))
SCHEMES: tuple[Scheme, ...] = ("light", "dark")
LOOKS = tuple(product(SIZES, SCHEMES))

every_size = pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
every_scheme = pytest.mark.parametrize("scheme", SCHEMES)


def show(page: Page, address: str, size: tuple[int, int] = SIZES[1]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(address)
    page.evaluate("document.fonts.ready")


def look(page: Page, size: tuple[int, int], scheme: Scheme) -> None:
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.set_viewport_size({"width": size[0], "height": size[1]})


def no_barriers(page: Page) -> None:
    """Assert that nothing keeps anybody from using the page, as far as a program can see."""
    found = Axe().run(page)
    assert len(found.response["passes"]) > 10
    assert found.violations_count == 0, found.generate_report()


def sticking_out(page: Page) -> Any:
    """How far the page is wider than the window, and which elements end beyond it."""
    return page.evaluate(
        """() => {
          const wide = document.documentElement.clientWidth;
          const all = [...document.querySelectorAll("main *, footer *, header *")];
          return [
            document.documentElement.scrollWidth - wide,
            all.filter((one) => one.getBoundingClientRect().right > wide + 1)
               .map((one) => one.outerHTML.slice(0, 80)),
          ];
        }"""
    )
