"""Sensors in a real browser: no barriers, nothing sticks out, a token is made by hand."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.test_readings_page import speak
from ullage.cellar import tokens
from ullage.web.book import Book


@every_size
@every_scheme
def test_no_barriers(
    page: Page, own_address: str, book: Book, size: tuple[int, int], scheme: Scheme
) -> None:
    speak(book)
    tokens.make(book.store, "a token with quite a long name of its own, so that it has to wrap")
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.emulate_media(color_scheme=scheme)
    show(page, f"{own_address}/readings", size)
    no_barriers(page)
    assert sticking_out(page) == [0, []]
    assert said == []


def test_a_token_is_made_and_revoked_by_hand(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/readings", SIZES[0])
    page.get_by_label("What will use it").fill("Fridge probe")
    page.get_by_role("button", name="Make a token").click()
    expect(page.get_by_role("status")).to_contain_text(tokens.BEGINS)
    page.get_by_role("button", name="Revoke the token Fridge probe").click()
    expect(page.get_by_text("There is none yet")).to_be_visible()


def test_it_is_reached_from_the_data_page(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/data")
    page.get_by_role("link", name="Sensors").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sensors")
