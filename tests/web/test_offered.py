"""What a role may not do is not offered to it, on any page."""

from __future__ import annotations

import doctest
import re
from collections.abc import Iterator
from html import unescape
from urllib.parse import unquote, urlsplit

import pytest
from starlette.testclient import TestClient

from tests.web.people import PEOPLE, every_address, log_in, with_people
from ullage.web import offered as offered_module
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.may import KEEPERS_ONLY, is_open, may
from ullage.web.offered import offered

FORM = re.compile(r"<form\b[^>]*>")
PAGES = ("/kegs/K1", "/kegs/K3", "/record/keg/K1", "/batches/Amber%20Ale")


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@pytest.fixture(params=["", "/beer"])
def base(request: pytest.FixtureRequest) -> str:
    found: str = request.param
    return found


@pytest.fixture
def door(book: Book, base: str) -> Iterator[TestClient]:
    gate = with_people(book)
    gate.base = base
    with TestClient(create_app(book, base, gate=gate)) as client:
        yield client


def posted(page: str) -> list[str]:
    """Where the forms of a page are sent to."""
    found = []
    for form in FORM.findall(page):
        action = re.search(r'action="([^"]*)"', form)
        if 'method="post"' in form and action:
            found.append(unquote(urlsplit(unescape(action[1])).path))
    return found


@pytest.mark.parametrize("name", PEOPLE)
def test_no_page_offers_a_form_or_a_link_that_would_be_refused(
    door: TestClient, book: Book, base: str, name: str
) -> None:
    log_in(door, name, book)
    role = PEOPLE[name]
    seen: set[str] = set()
    for path in (*PAGES, *(path for method, path in every_address(book) if method == "GET")):
        if is_open("GET", path):
            continue
        answer = door.get(f"{base}{path}", headers={"Accept": "text/html"})
        if answer.status_code != 200 or "text/html" not in answer.headers["content-type"]:
            continue
        for action in posted(answer.text):
            assert may(role, "POST", action.removeprefix(base)), (path, action)
            seen.add(action.removeprefix(base))
        for link in re.findall(r'<a\b[^>]*href="([^"#?]+)', answer.text):
            inside = unquote(urlsplit(link).path).removeprefix(base)
            assert role == "keeper" or not KEEPERS_ONLY.fullmatch(inside), (path, link)
    assert {"/logout", "/look"} <= seen
    assert ("/kegs/K1/adopt" in seen or "/system" in seen) == (role == "keeper")
    assert any(one.startswith("/upkeep/done") for one in seen) == (role != "guest")


def test_docstrings_are_true() -> None:
    assert doctest.testmod(offered_module).failed == 0


def test_a_keeper_is_offered_everything() -> None:
    page = '<form class="x" method="post" action="/data/log"><p>a</p></form>'
    assert offered(page, "keeper", "") == page
    assert offered(page, "helper", "") == ""


def test_names_in_an_address_are_read_as_the_gate_reads_them() -> None:
    page = '<form method="post" action="/beer/kegs/K%201%2F2/fill?a=1&amp;b=2">x</form>'
    assert offered(page, "helper", "/beer") == page
    assert offered(page, "guest", "/beer") == ""
    asks = '<form method="get" action="/system"><button>Show</button></form>'
    assert offered(asks, "guest", "") == asks


def test_where_there_is_no_login_everything_is_offered(cellar: TestClient) -> None:
    assert 'action="/system"' in cellar.get("/system").text
    assert "/data" in cellar.get("/log").text
