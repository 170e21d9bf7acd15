"""The what-ifs in a real browser: live, shareable, without barriers, and whole without a script."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

WRONG = "/pour?pressure=abc&rise=99+m&line=10x&line_b=3+ft+x+9+gal"

PAGES = (
    "/pour?tap=right",
    "/pour?line=10+ft+x+3/16+in&line_b=6+ft+x+4+mm",
    WRONG,
    "/carbonate?keg=K3",
    "/carbonate?volumes=2&pressure=3&fg=x&abv=99",
    "/gas",
    "/gas?size=5+lb&mass=30+lb&temperature=hot",
    "/gas/blend?volumes=2.5&co2=70&pressure=32",
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


@every_page
def test_a_finger_hits_what_can_be_touched(page: Page, address: str, path: str) -> None:
    show(page, address + path, SIZES[0])
    small = page.evaluate(
        """() => [...document.querySelectorAll("#whatif :is(a, button, input, select, summary)")]
          .filter((one) => one.checkVisibility() && one.type !== "hidden")
          .filter((one) => one.getBoundingClientRect().height < 44)
          .map((one) => one.outerHTML.slice(0, 80))"""
    )
    assert small == []


def test_typing_brings_the_answer_and_the_address_keeps_the_question(
    page: Page, address: str
) -> None:
    show(page, f"{address}/pour?tap=left")
    lead = page.locator("#whatif .lead")
    expect(lead).to_contain_text("through 10 ft of line")
    field = page.get_by_label("Line", exact=True)
    field.fill("6 ft x 3/16 in")
    expect(lead).to_contain_text("through 6 ft of line")
    expect(field).to_be_focused()
    expect(page).to_have_url(re.compile(r"line=6\+ft\+x\+3%2F16\+in"))
    said = lead.inner_text()
    page.goto(page.url)  # another reader, given the address
    expect(page.locator("#whatif .lead")).to_have_text(said)


def test_what_is_wrong_is_said_at_the_field_while_it_is_typed(page: Page, address: str) -> None:
    show(page, f"{address}/pour?tap=left")
    field = page.get_by_label("Pressure on the keg")
    field.fill("12 parsec")
    error = page.locator("#f-pressure-error")
    expect(error).to_contain_text("parsec")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("12 parsec")
    expect(field).to_be_focused()
    field.fill("0.8 bar")
    expect(error).to_have_count(0)
    expect(page.locator("#whatif .lead")).to_contain_text("Pours a US pint")


def test_what_was_unfolded_stays_unfolded(page: Page, address: str) -> None:
    show(page, f"{address}/pour?tap=left")
    before = page.locator("#whatif .lead").inner_text()
    page.get_by_text("More that matters").click()
    page.get_by_label("Faucet above the keg’s middle").fill("6 ft")
    expect(page.locator("#whatif .lead")).not_to_have_text(before)
    expect(page.get_by_label("Faucet above the keg’s middle")).to_be_visible()


def test_the_ways_follow_the_pressure(page: Page, address: str) -> None:
    show(page, f"{address}/carbonate?keg=K3")
    ways = page.locator("#ways > p").first
    before = ways.inner_text()
    page.get_by_label("CO2 wanted in the beer").fill("2")
    expect(page.locator("#whatif .lead")).to_contain_text("2 vol")
    expect(ways).not_to_have_text(before)
    expect(page.locator("#ways svg")).to_have_count(1)


def test_nothing_is_blocked_and_nothing_calls_home(page: Page, address: str) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, f"{address}/pour?tap=left")
    page.get_by_label("Pressure on the keg").fill("9")
    expect(page).to_have_url(re.compile("pressure=9"))
    assert [url for url in asked if not url.startswith(address)] == []
    assert complaints == []


def test_without_a_script_the_button_asks(browser: Browser, address: str) -> None:
    page = browser.new_page(java_script_enabled=False)
    page.goto(f"{address}/pour?tap=left")
    page.get_by_label("Line", exact=True).fill("6 ft x 3/16 in")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#whatif .lead")).to_contain_text("through 6 ft of line")
    expect(page.locator("h1")).to_have_text("How would it pour?")
    page.goto(f"{address}/carbonate?keg=K3")
    expect(page.locator("#ways svg")).to_have_count(1)
    page.close()
