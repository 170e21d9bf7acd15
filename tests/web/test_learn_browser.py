"""What was learnt in a real browser: no barriers, nothing sticks out, a button keeps it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.plan.taught import NOW, fill
from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.made_up import fresh
from tests.web.serving import served
from ullage.web.app import create_app


@pytest.fixture
def taught_address(tmp_path: Path) -> Iterator[str]:
    """Serve a book with readings of every kind."""
    book = fresh(tmp_path, lambda: NOW)
    fill(book.store)
    with served(create_app(book)) as address:
        yield address


@every_size
@every_scheme
def test_no_barriers(
    page: Page, taught_address: str, size: tuple[int, int], scheme: Scheme
) -> None:
    said: list[str] = []
    page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    page.emulate_media(color_scheme=scheme)
    show(page, f"{taught_address}/learn", size)
    for details in page.locator("details").all():
        details.locator("summary").first.click()
    no_barriers(page)
    assert sticking_out(page) == [0, []]
    assert said == []


def test_a_button_keeps_and_another_drops(page: Page, taught_address: str) -> None:
    show(page, f"{taught_address}/learn", SIZES[0])
    page.get_by_role("button", name="Keep: How much the line of tap left resists").click()
    expect(page.get_by_role("status")).to_contain_text("the resistance of the line of tap left")
    expect(page.locator(".constants").first).to_contain_text("Every answer goes by it.")
    page.get_by_role("button", name="Drop: How much the line of tap left resists").click()
    expect(page.locator(".constants").first).not_to_contain_text("Every answer goes by it.")
