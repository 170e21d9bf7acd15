"""Upkeep and safety in a real browser: no barriers, nothing sticks out, one tap does it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from ullage.plan.upkeep_changes import rule_of
from ullage.plan.upkeep_progress import tick
from ullage.web.book import Book

PAGES = (
    "/upkeep",
    "/upkeep/how?task=clean+line&about=right&means=keg&push=12+psi",
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
    no_barriers(page)
    assert sticking_out(page) == [0, []]


@every_size
@every_scheme
def test_no_barriers_while_one_is_under_way(
    page: Page, own_address: str, book: Book, size: tuple[int, int], scheme: Scheme
) -> None:
    left_lying = book.clock() - timedelta(hours=30)
    tick(book.store, rule_of("clean line"), "left", (1, 2, 3), left_lying)
    page.emulate_media(color_scheme=scheme)
    for path in ("/upkeep", "/upkeep/how?task=clean+line&about=left", "/"):
        show(page, own_address + path, size)
        no_barriers(page)
        assert sticking_out(page) == [0, []]


def test_steps_are_ticked_off_live_to_the_end(page: Page, own_address: str) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, f"{own_address}/upkeep/how?task=clean+line&about=left", SIZES[0])
    for number in range(1, 6):
        page.get_by_role("button", name=f"Done: step {number}").click()
        expect(
            page.get_by_role("button", name=f"Not done after all: step {number}")
        ).to_be_visible()
        expect(page.get_by_role("status")).to_contain_text(f"step {number + 1} of 6")
    page.get_by_role("button", name="Not done after all: step 2").click()
    expect(page.get_by_role("status")).to_contain_text("step 2 of 6")
    page.get_by_role("button", name="Done: step 2").click()
    page.get_by_role("button", name="Done: step 6").click()
    expect(page.get_by_role("status")).to_contain_text("Written down: tap left line cleaned")
    assert complaints == []


def test_two_windows_tick_the_same_procedure(page: Page, own_address: str) -> None:
    path = f"{own_address}/upkeep/how?task=clean+line&about=left"
    show(page, path)
    other = page.context.new_page()
    show(other, path)
    page.get_by_role("button", name="Done: step 1").click()
    expect(page.get_by_role("status")).to_contain_text("step 2 of 6")
    other.get_by_role("button", name="Done: step 2").click()
    expect(other.get_by_role("status")).to_contain_text("step 3 of 6")


def test_without_scripts_each_tick_is_a_page(browser: Browser, own_address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{own_address}/upkeep/how?task=faucet&about=left")
    page.get_by_role("button", name="Done: step 1").click()
    expect(page.get_by_role("status")).to_contain_text("step 2 of 5")
    page.get_by_role("button", name="Drop it").click()
    expect(page.get_by_role("heading", name="Upkeep")).to_be_visible()
    context.close()


def test_one_tap_does_it(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/upkeep", SIZES[0])
    page.get_by_role("button", name="Done: Have the cylinder tested").click()
    expect(page.get_by_role("status")).to_contain_text("upkeep done: requalify")
    expect(page.locator(".lead")).to_contain_text("Nothing is due")
