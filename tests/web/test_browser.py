"""The sheet in a real browser: nothing sticks out, nothing is unreadable, nothing calls home."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

PAGES = ("/plan", "/plan?units=metric", "/nothing")

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


@every_page
@pytest.mark.parametrize("width", [320, 390, 800, 1400])
def test_nothing_sticks_out(page: Page, address: str, path: str, width: int) -> None:
    show(page, address + path, (width, 800))
    assert sticking_out(page) == [0, []]


@every_page
def test_nothing_calls_home_and_nothing_is_blocked(page: Page, address: str, path: str) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, address + path)
    page.evaluate("document.fonts.ready")
    assert asked
    assert [url for url in asked if not url.startswith(address)] == []
    expected = 1 if path == "/nothing" else 0  # the browser itself notes the 404
    assert len(complaints) == expected, complaints


def test_the_fonts_arrive(page: Page, address: str) -> None:
    show(page, f"{address}/plan")
    loaded = page.evaluate(
        "[...document.fonts].filter((one) => one.status === 'loaded').map((one) => one.family)"
    )
    assert {name.strip('"') for name in loaded} == {"B612", "B612 Mono"}


def test_the_theme_in_the_address_beats_the_systems(page: Page, address: str) -> None:
    page.emulate_media(color_scheme="light")
    grounds = {}
    for theme in ("auto", "paper", "blueprint"):
        show(page, f"{address}/plan?theme={theme}")
        grounds[theme] = page.evaluate(
            "getComputedStyle(document.querySelector('.sheet')).backgroundColor"
        )
    assert grounds["auto"] == grounds["paper"] != grounds["blueprint"]


def test_the_drawings_take_the_pages_ink(page: Page, address: str) -> None:
    inks = []
    for theme in ("paper", "blueprint"):
        show(page, f"{address}/plan?theme={theme}")
        inks.append(
            page.evaluate(
                """() => [
                  getComputedStyle(document.body).color,
                  getComputedStyle(document.querySelector("figure svg text.f-ink, "
                    + "figure svg .f-ink text")).fill,
                ]"""
            )
        )
    assert [ink[0] for ink in inks] == [ink[1] for ink in inks]
    assert inks[0] != inks[1]


def test_the_diagram_fits_the_window(page: Page, address: str) -> None:
    show(page, f"{address}/plan", SIZES[0])
    expect(page.locator(".diagram .narrow svg")).to_be_visible()
    expect(page.locator(".diagram .wide svg")).to_be_hidden()
    show(page, f"{address}/plan", SIZES[1])
    expect(page.locator(".diagram .wide svg")).to_be_visible()
    expect(page.locator(".diagram .narrow svg")).to_be_hidden()


def test_small_print_is_readable_on_a_phone(page: Page, address: str) -> None:
    show(page, f"{address}/plan", SIZES[0])
    smallest = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll("figure svg")]
          .filter((svg) => svg.checkVisibility())
          .map((svg) => 11 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width))"""
    )
    assert smallest > 9.5


def test_the_keyboard_reaches_the_sheet_first(page: Page, address: str) -> None:
    show(page, f"{address}/plan")
    page.keyboard.press("Tab")
    skip = page.locator(".skip")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_folded_steps_open_without_a_script(page: Page, address: str) -> None:
    show(page, f"{address}/plan")
    fold = page.locator("details.way").first
    expect(fold.locator("table")).to_be_hidden()
    fold.locator("summary").click()
    expect(fold.locator("table")).to_be_visible()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_as_a_sheet(page: Page, address: str, paper: str) -> None:
    show(page, f"{address}/plan?theme=blueprint")
    page.emulate_media(media="print")
    expect(page.locator(".title-block")).to_be_visible()
    expect(page.locator(".title-block")).to_contain_text("Three taps in the garage")
    expect(page.locator(".strip")).to_be_hidden()
    expect(page.locator("details.way table").first).to_be_visible()
    ink = page.evaluate("getComputedStyle(document.body).color")
    assert ink == "rgb(23, 34, 45)"
    printed = page.pdf(format=paper)
    assert printed.startswith(b"%PDF")
    assert 2 <= printed.count(b"/Type /Page\n") <= 8
