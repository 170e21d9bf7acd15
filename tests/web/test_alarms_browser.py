"""Alarms in a real browser: no barriers, nothing sticks out, one tap says that one was seen."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.serving import served
from tests.web.test_alarms_page import days_later, watched
from ullage.cellar.keg_events import Poured
from ullage.plan.alarms_heard import tell
from ullage.plan.alarms_now import alarms_now
from ullage.web.app import create_app
from ullage.web.book import Book


@pytest.fixture
def alarmed(book: Book) -> Iterator[str]:
    """Serve a cellar with a danger, a warning and a note, all told of."""
    later = days_later(book)
    later.record(Poured(at=later.clock(), keg="K2", volume_m3=0.0078))
    watched(later, psi=46.0)
    found = alarms_now(later.store, later.present().described, later.clock(), "us")
    tell(later.store, found, later.clock())
    with served(create_app(later)) as address:
        yield address


@every_size
@every_scheme
def test_no_barriers(page: Page, alarmed: str, size: tuple[int, int], scheme: Scheme) -> None:
    page.emulate_media(color_scheme=scheme)
    for path in ("/alarms", "/"):
        show(page, alarmed + path, size)
        for one in page.locator("details").all():
            one.evaluate("(fold) => { fold.open = true; }")
        no_barriers(page)
        assert sticking_out(page) == [0, []]


def test_one_tap_says_it_was_seen(page: Page, alarmed: str) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, f"{alarmed}/", SIZES[0])
    expect(page.locator(".alarms > li")).to_have_count(3)
    page.get_by_role("button", name="Seen: Place freezer").click()
    expect(page.locator(".alarms > li")).to_have_count(2)
    expect(page.locator("#alarms")).to_contain_text("1 more was seen")
    page.get_by_role("link", name="All alarms, and when they begin").click()
    page.get_by_role("button", name="Not seen after all: Place freezer").click()
    page.get_by_label("Quiet for so long: Place freezer").select_option("a week")
    page.get_by_role("button", name="Seen: Place freezer").click()
    expect(page.locator(".alarms > .quiet")).to_contain_text("quiet until")
    assert complaints == []


def test_what_was_done_is_written_down_from_there(page: Page, alarmed: str) -> None:
    show(page, f"{alarmed}/", SIZES[0])
    page.locator(".alarms > .as-danger").get_by_role(
        "link", name="Write down that it was vented"
    ).click()
    expect(page.locator("#over")).to_contain_text("Vented")


def test_without_scripts_a_tap_is_a_page(browser: Browser, alarmed: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{alarmed}/")
    page.get_by_role("button", name="Seen: Keg K2").click()
    expect(page.locator(".alarms > li")).to_have_count(2)
    context.close()
