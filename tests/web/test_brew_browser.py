"""Brewing and parties in a real browser: no barriers, live answers, adoption."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.plan.brew_logs import FILE
from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.made_up import at_start, fresh
from tests.web.serving import served
from ullage.plan.begin import begin
from ullage.system.file import parse_system
from ullage.web.app import create_app


@pytest.fixture
def bar_address(tmp_path: Path) -> Iterator[str]:
    """Serve a bar with a fermenter."""
    book = fresh(tmp_path)
    begin(book.store, parse_system(FILE), FILE, at_start(), at_start())
    with served(create_app(book)) as address:
        yield address


@pytest.mark.parametrize("path", ["/brew", "/brew?days=never", "/brew/party?guests=60"])
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
def test_no_barriers_once_a_plan_is_followed(
    page: Page, bar_address: str, size: tuple[int, int]
) -> None:
    show(page, f"{bar_address}/brew", size)
    page.get_by_role("button", name="Adopt this plan").click()
    expect(page.get_by_role("button", name="Take the whole plan back")).to_be_visible()
    for summary in page.locator("summary").all():
        summary.click()
    no_barriers(page)
    assert sticking_out(page) == [0, []]


@pytest.fixture
def untold_address(tmp_path: Path) -> Iterator[str]:
    """Serve the bar, where nobody knows how quickly anything is drunk."""
    text = FILE.replace('drinking = "1.4 L/week"\n', "").replace('drinking = "2.8 L/week"\n', "")
    book = fresh(tmp_path)
    begin(book.store, parse_system(text), text, at_start(), at_start())
    with served(create_app(book)) as address:
        yield address


@every_size
def test_a_rate_is_asked_for_in_place_and_answered_live(
    page: Page, untold_address: str, size: tuple[int, int]
) -> None:
    show(page, f"{untold_address}/brew", size)
    expect(page.locator(".lead")).to_contain_text("When to brew cannot be told")
    assert sticking_out(page) == [0, []]
    no_barriers(page)
    for tap, rate in (("left", "2.8 L/week"), ("right", "1.4 L/week")):
        page.get_by_label(f"Drunk from tap {tap}").fill(rate)
    expect(page.locator(".lead")).to_contain_text("Brew 19 L of")
    expect(page.get_by_label("Drunk from tap left")).to_have_value("2.8 L/week")
    expect(page.get_by_label("Drunk from tap left")).to_be_visible()
    page.get_by_role("button", name="Adopt this plan").click()
    expect(page.get_by_role("button", name="Take the whole plan back")).to_be_visible()
    expect(page.locator(".lead")).to_contain_text("Brew 19 L of")


def test_the_answer_comes_anew_as_the_question_changes(page: Page, bar_address: str) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, f"{bar_address}/brew", SIZES[1])
    before = page.locator(".lead").inner_text()
    page.get_by_label("You can brew on").fill("wed")
    expect(page.locator(".lead")).not_to_have_text(before)
    expect(page.locator(".lead")).to_contain_text("Wed")
    page.wait_for_url("**/brew?*days=wed*")
    page.get_by_label("You can brew on").fill("someday")
    expect(page.locator("#f-days-error")).to_contain_text("sat, sun")
    # a question that cannot be read is answered with 422, which the browser reports
    assert [one for one in complaints if "422" not in one] == []


def test_a_plan_is_adopted_and_a_party_put_on_the_timeline(page: Page, bar_address: str) -> None:
    show(page, f"{bar_address}/brew?sure=50", SIZES[0])
    page.get_by_role("button", name="Adopt this plan").click()
    expect(
        page.get_by_role("list", name="Planned steps").get_by_role("listitem")
    ).not_to_have_count(0)
    page.get_by_role("link", name="What a party needs").click()
    page.get_by_label("Guests who drink beer").fill("12")
    expect(page.locator(".lead")).to_contain_text("for 12 guests")
    page.get_by_role("button", name="Put it on the timeline").click()
    expect(page.get_by_role("status")).to_contain_text("gathering of 12")
    expect(page.get_by_role("list", name="Parties and seasons")).to_contain_text("Party")
    expect(page.locator("figure .narrow svg")).to_contain_text("Party")


def test_without_scripts_the_form_has_its_button(browser: Browser, bar_address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{bar_address}/brew")
    page.get_by_label("You can brew on").fill("fri")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".lead")).to_contain_text("Fri")
    context.close()


def test_small_print_is_readable_on_a_phone(page: Page, address: str) -> None:
    show(page, f"{address}/brew", SIZES[0])
    smallest = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll("figure svg")]
          .filter((svg) => svg.checkVisibility())
          .map((svg) => 11 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width))"""
    )
    assert smallest > 9.5
