"""No way of writing an address leads past the gate to what its plain form does not."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import unquote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette._utils import get_route_path
from starlette.types import ASGIApp, Message

from tests.web.people import every_address, with_people
from ullage.cellar import sessions
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.gate import COOKIE, below
from ullage.web.may import is_open, may

KEEPERS = (
    "/accounts",
    "/data",
    "/data/backup",
    "/data/ullage-log.jsonl",
    "/data/readings.csv",
    "/api/v1/log.jsonl",
)
WRITTEN = (
    "{0}",
    "{0}/",
    "/{0}",
    "//{0}",
    "/.{0}",
    "/static/..{0}",
    "/static/%2e%2e{0}",
    "/login/..{0}",
    "{0}%0A",
    "{0}%0D",
    "{0}%0D%0A",
    "{0}%00",
    "{0}%20",
    "{0};x",
    "{0}?x=/login",
    "{0}%3Fx",
    "{0}%23",
    "{0}/.",
    "{0}%2f",
    "{0}%5c",
    "%2f{0}",
    "/login%0A{0}",
    "/login%2f..{0}",
    "/calendar{0}.ics",
    "/calendar/..{0}/x.ics",
    "/beer{0}",
    "/beer/beer{0}",
    "{0}.ics",
)


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


def raw(app: ASGIApp, path: str, secret: str = "", method: str = "GET") -> tuple[int, str]:
    """What an application answers to a path as it stands (a client would tidy it first).

    As the server hands it on: the path without its escapes, whatever comes of that.
    """
    plain, _, query = path.partition("?")
    scope = {
        "type": "http", "method": method, "path": unquote(plain), "raw_path": plain.encode(),
        "query_string": query.encode(), "root_path": "", "scheme": "http", "http_version": "1.1",
        "headers": [(b"host", b"testserver"), (b"cookie", f"{COOKIE}={secret}".encode())],
        "server": ("testserver", 80), "client": ("10.0.0.7", 1),
    }  # fmt: skip
    said: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request"}

    async def send(message: Message) -> None:
        said.append(message)

    async def answered() -> None:
        await app(scope, receive, send)

    with ThreadPoolExecutor(1) as aside:  # a browser's loop may be running in this thread
        aside.submit(asyncio.run, answered()).result()
    body = b"".join(one.get("body", b"") for one in said)
    return int(said[0]["status"]), body.decode(errors="replace")


@pytest.mark.parametrize("base", ["", "/beer", "/data"])
def test_a_guest_gets_to_no_page_of_a_keepers_however_it_is_written(book: Book, base: str) -> None:
    gate = with_people(book)
    gate.base = base
    app, gus = create_app(book, base, gate=gate), sessions.begin(book.store, "Gus", book.clock())
    assert raw(app, f"{base}/kegs", gus)[0] == 200
    for path in KEEPERS:
        assert raw(app, f"{base}{path}", gus)[0] == 403
        for written in WRITTEN:
            for before in {"", base}:
                address = before + written.format(path)
                code, text = raw(app, address, gus)
                home = code == 200 and "<h1>Three taps in the garage</h1>" in text
                assert code in (307, 400, 403, 404, 405) or home, address
                for word in ("argon2", '"format"', "may log in here", "Take it along"):
                    assert word not in text, address


def test_a_stranger_gets_to_no_page_however_it_is_written(book: Book) -> None:
    app = create_app(book, gate=with_people(book))
    for path in (*KEEPERS, "/kegs", "/", "/upkeep"):
        for written in WRITTEN:
            for method in ("GET", "HEAD", "OPTIONS", "POST", "PUT", "get", "post", "TRACE"):
                code, text = raw(app, written.format(path), method=method)
                assert code in (400, 401, 404, 405), (method, written, path)
                assert "K1" not in text


def test_a_line_end_behind_an_address_leads_nowhere(book: Book) -> None:
    """The router matches before it: to a page that the gate had judged by another rule."""
    app = create_app(book, gate=with_people(book))
    gus = sessions.begin(book.store, "Gus", book.clock())
    for method, path in every_address(book):
        assert raw(app, f"{path}%0A", gus, method)[0] == 400, path


PARTS = st.lists(
    st.sampled_from(["/", "beer", "data", "login", ".", "..", "x", "%", "\n", " ", "é"]), max_size=7
).map("".join)


@given(path=PARTS.map(lambda one: f"/{one}"), base=st.sampled_from(["", "/beer", "/data", "/b/c"]))
@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
def test_the_gate_and_the_router_read_a_path_alike(path: str, base: str) -> None:
    routed = get_route_path({"type": "http", "path": path, "root_path": base})
    assert below(path, base) == (routed or "/")


@given(path=PARTS.map(lambda one: f"/{one}"))
@settings(max_examples=300)
def test_who_may_less_may_nothing_that_who_may_more_may_not(path: str) -> None:
    for method in ("GET", "POST", "PUT", "DELETE"):
        guest, helper = may("guest", method, path), may("helper", method, path)
        assert guest <= helper <= may("keeper", method, path)
        if is_open(method, path):
            assert not path.startswith(("/data", "/accounts"))
