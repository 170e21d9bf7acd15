"""A club in a real browser: its door, and two cellars behind it logged in side by side."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.serving import served
from ullage.cellar import accounts
from ullage.cellar.store import Store
from ullage.web.club import Club, Rules

PASSWORD = "barley and a long river"


@pytest.fixture
def club(tmp_path: Path, quick_hashes: None) -> Iterator[str]:
    with Store.open(str(tmp_path / "club.db")) as store:
        for name in ("anna", "ben"):
            accounts.make(store.beside(name), name.title(), PASSWORD, "keeper")
        with served(Club(store, Rules())) as address:
            yield address


@every_size
@every_scheme
def test_no_barriers(page: Page, club: str, size: tuple[int, int], scheme: Scheme) -> None:
    page.emulate_media(color_scheme=scheme)
    for path in ("/", "/c/anna/login", "/c/nobody/login", "/nothing"):
        show(page, club + path, size)
        no_barriers(page)
        assert sticking_out(page) == [0, []]


def test_through_the_door_into_one_cellar_and_into_another_beside_it(page: Page, club: str) -> None:
    complaints: list[str] = []
    page.on("console", lambda one: complaints.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    for name in ("anna", "ben"):
        show(page, f"{club}/", SIZES[0])
        page.get_by_label("Its name").fill(name)
        page.get_by_role("button", name="Go there").click()
        page.get_by_label("Name").fill(name.title())
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Log in").click()
        expect(page).to_have_url(f"{club}/c/{name}/")
        expect(page.get_by_role("link", name=name.title())).to_be_visible()
    show(page, f"{club}/c/anna/", SIZES[0])
    expect(page.get_by_role("link", name="Anna")).to_be_visible()
    page.get_by_role("button", name="Log out").click()
    expect(page).to_have_url(f"{club}/c/anna/login")
    show(page, f"{club}/c/ben/", SIZES[0])
    expect(page.get_by_role("link", name="Ben")).to_be_visible()
    assert complaints == []
