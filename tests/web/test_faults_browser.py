"""The faults in a real browser: no barriers, nothing sticks out, ticking answers."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out

PAGES = (
    "/faults?tap=left&seen=foam+first+glass&yes=second+glass+calm",
    "/faults/leak?test=hold&p1=30&p2=28&t1=68&t2=&time=12&volume=5+gal",
    "/faults/leak?test=hold&p1=30&p2=28&t1=68&t2=68&time=12&volume=5+gal&contents=5",
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


def test_ticking_brings_the_answer(page: Page, address: str) -> None:
    show(page, f"{address}/faults", SIZES[0])
    page.get_by_label("Every glass foams").check()
    expect(page.locator("#whatif .lead")).to_contain_text("foam always")
    expect(page).to_have_url(re.compile(r"seen=foam\+always"))
    page.locator(".next").get_by_role("link", name=re.compile("^No")).click()
    expect(page.get_by_label("What you looked at")).to_contain_text("No")


def test_what_cannot_be_told_is_not_asked_again(page: Page, address: str) -> None:
    show(page, f"{address}/faults?tap=left&seen=foam+always", SIZES[0])
    asked = page.locator(".next .ask").inner_text()
    page.locator(".next").get_by_role("link", name="Cannot tell").click()
    expect(page).to_have_url(re.compile(r"skip="))
    expect(page.locator(".next .ask")).not_to_have_text(asked)


def test_a_leak_test_is_worked_out_and_written_down(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/faults/leak", SIZES[0])
    form = page.get_by_role("form", name="Pressure hold")
    form.get_by_label("Gauge at the start").fill("30")
    form.get_by_label("Gauge at the end").fill("26")
    form.get_by_label("Gas shut in").fill("5 gal")
    form.get_by_role("button", name="Work it out").click()
    expect(page.locator(".lead")).to_contain_text("It leaks: about")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".lead")).to_contain_text("It leaks: about")
    page.goto(f"{own_address}/log?of=cylinder%3Amain")
    expect(page.locator("main")).to_contain_text("gas lines")
