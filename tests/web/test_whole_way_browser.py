"""The whole way in a real browser: from an empty store to an adopted plan to the first pour."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, no_barriers, show, sticking_out
from tests.web.serving import served
from ullage.cellar.keg_events import Filled, Poured
from ullage.plan.upkeep_changes import rule_of
from ullage.plan.upkeep_progress import tick
from ullage.web.app import create_app
from ullage.web.book import Book

US_FLUID_OUNCE_M3 = 29.5735295625e-6
"""published: NIST Handbook 44, appendix C (231 cubic inches to the gallon, 128 ounces)"""
PHONE = SIZES[0]
QUESTIONS = 12
ANSWERS: dict[int, dict[str, str]] = {
    1: {"name": "Garage kegs", "altitude": "1200 ft"},
    2: {"place": "chest freezer", "place_k": "38"},
    3: {"kegs": "1"},
    4: {"beer1": ""},
    6: {},
    7: {"room_volume": "960"},
    8: {"pressure": "0"},
    9: {"length": "6", "bore": "3/16"},
    10: {"taps": "1"},
    11: {"fermenters": "1"},
    12: {},
}
"""What is typed at each question of the first run; the rest stands as it is offered. The fifth, how
lively the beer is to be, is not asked where every keg is empty."""


@pytest.fixture
def empty_address(empty_book: Book) -> Iterator[str]:
    """Serve a book in which nothing is written yet."""
    with served(create_app(empty_book)) as address:
        yield address


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def describe(page: Page, address: str) -> None:
    """The guided first run, from the empty sheet to the drawing."""
    show(page, f"{address}/", PHONE)
    page.get_by_role("link", name="Describe mine").click()
    for number, answers in ANSWERS.items():
        expect(page.get_by_text(f"Question {number} of {QUESTIONS}")).to_be_visible()
        for field, text in answers.items():
            page.locator(f"[name={field}]").fill(text)
        press(page, "Next" if number < QUESTIONS else "Draw my system")
    expect(page.get_by_role("heading", name="Garage kegs")).to_be_visible()


def clean(page: Page, address: str) -> None:
    """The procedure from the keg's page, left after three steps and gone on with."""
    page.goto(f"{address}/kegs/K1")
    page.get_by_role("link", name="How to clean it").click()
    for number in (1, 2, 3):
        press(page, f"Done: step {number}")
        expect(page.get_by_role("status")).to_contain_text(f"step {number + 1} of 7")
    page.goto(f"{address}/kegs/K1")
    expect(page.locator("main")).to_contain_text("Cleaner is in the keg")
    page.get_by_role("link", name="Go on with it").click()
    for number in (4, 5, 6):
        press(page, f"Done: step {number}")
        expect(page.get_by_role("status")).to_contain_text(f"step {number + 1} of 7")
    press(page, "Done: step 7")
    expect(page.get_by_role("status")).to_contain_text("Written down: keg K1 cleaned")


def fill(page: Page, address: str, wanted_by: str) -> None:
    page.goto(f"{address}/kegs/K1")
    page.get_by_role("link", name="Fill it").click()
    typed = {"new_batch": "Bitter", "target_vol": "2.4", "ready_by": wanted_by}
    for field, text in {**typed, "temperature_k": "38", "fermentation_k": "68"}.items():
        page.locator(f"[name={field}]").fill(text)
    page.locator("[name=sanitised]").select_option("rinsed")
    page.locator("[name=purged]").select_option("after")
    press(page, "Write the filling down")
    expect(page.get_by_role("status")).to_contain_text("Written down")


def advised(page: Page) -> None:
    """Adopt the way that is advised, in one tap."""
    page.locator("#ways details.way[open] button.main").click()


def go_the_way(page: Page, address: str, book: Book) -> None:
    """From nothing to the first glass, tap by tap."""
    describe(page, address)
    clean(page, address)
    fill(page, address, f"{book.clock() + timedelta(days=4):%Y-%m-%d}")
    advised(page)
    steps = page.locator("#plan li")
    expect(steps).not_to_have_count(0)
    for left in range(steps.count(), 0, -1):
        expect(steps).to_have_count(left)
        page.locator("#plan li button.main").click()
    expect(page.locator("#plan")).to_contain_text("No plan waits")
    page.goto(f"{address}/record/keg/K1/tapped")
    page.locator("[name=tap]").select_option("tap 1")
    press(page, "Write it down")
    page.goto(f"{address}/record/tap/tap%201")
    page.get_by_role("button", name="Poured a pint").click()
    expect(page.get_by_role("status")).to_contain_text("keg K1 poured 16 fl oz")


def holds_what_was_done(book: Book) -> None:
    """The log has the one filling, its plan done step by step, and one glass."""
    log = book.present().log
    facts = [event for event in log if not event.planned]
    assert [one.batch for one in facts if isinstance(one, Filled)] == ["Bitter"]
    planned = {event.id for event in log if event.planned}
    assert planned
    assert {event.does for event in facts if event.does} == planned
    poured = [one.volume_m3 for one in facts if isinstance(one, Poured)]
    # analytic: a US pint is 16 US fl oz
    assert poured == [pytest.approx(16 * US_FLUID_OUNCE_M3)]


def test_from_an_empty_sheet_to_the_first_pour(
    page: Page, empty_address: str, empty_book: Book
) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    go_the_way(page, empty_address, empty_book)
    holds_what_was_done(empty_book)
    assert complaints == []


def test_the_same_way_without_scripts(
    scriptless: Page, empty_address: str, empty_book: Book
) -> None:
    go_the_way(scriptless, empty_address, empty_book)
    holds_what_was_done(empty_book)


def test_no_barriers_while_the_keg_is_half_cleaned(
    page: Page, empty_address: str, empty_book: Book
) -> None:
    describe(page, empty_address)
    for step in (1, 2, 3):
        tick(empty_book.store, rule_of("clean keg"), "K1", (step,), empty_book.clock())
    for size in SIZES:
        for path in ("/kegs/K1", "/kegs/K1/fill"):
            show(page, empty_address + path, size)
            expect(page.locator("main")).to_contain_text("Cleaner is in the keg")
            no_barriers(page)
            assert sticking_out(page) == [0, []]
