"""By which names the pages answer: not by one that was turned to this machine from outside."""

from __future__ import annotations

import doctest
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from ullage.errors import UllageError
from ullage.web import hosts
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.hosts import LOOPBACK, host_name


def test_docstrings_are_true() -> None:
    assert doctest.testmod(hosts).failed == 0


@pytest.fixture
def guarded(book: Book) -> Iterator[TestClient]:
    with TestClient(create_app(book, hosts=(*LOOPBACK, "beer.example.org"))) as client:
        yield client


@pytest.mark.parametrize(
    "said",
    ["localhost", "localhost:8420", "127.0.0.1:1", "[::1]:8420", "Beer.Example.org", "LOCALHOST"],
)
def test_its_own_names_are_served(guarded: TestClient, said: str) -> None:
    assert guarded.get("/", headers={"Host": said}).status_code == 200


@pytest.mark.parametrize(
    "said",
    [
        "evil.example",
        "evil.example:8420",
        "beer.example.org.evil.example",
        "localhost.evil.example",
        "127.0.0.1.evil.example",
        "10.0.0.7",
        "a b",
        "x@localhost",
        "",
    ],
)
@pytest.mark.parametrize("path", ["/", "/api/v1/status", "/static/sheet.css"])
def test_no_other_name_is(guarded: TestClient, said: str, path: str) -> None:
    answer = guarded.get(path, headers={"Host": said})
    assert answer.status_code == 400
    assert "Ullage" not in answer.text


def test_nothing_is_written_by_another_name(guarded: TestClient, book: Book) -> None:
    before = len(book.present().log)
    answer = guarded.post("/record", headers={"Host": "evil.example"}, data={"verb": "poured"})
    assert answer.status_code == 400
    assert len(book.present().log) == before


@pytest.mark.parametrize("told", ["", "a b", "http://x", "x/y", "*", "*.org", "[zz]"])
def test_what_is_no_name_is_refused(told: str) -> None:
    with pytest.raises(UllageError, match="no name of a host"):
        host_name(told)


def served_at(book: Book, server: str, host: str) -> int:
    """What somebody gets who reached an address of this machine and asks for a host there."""
    app = create_app(book, hosts=LOOPBACK)

    async def at(scope: Scope, receive: Receive, send: Send) -> None:
        await app({**scope, "server": (server, 8420)}, receive, send)

    return TestClient(at).get("/healthz", headers={"Host": host}).status_code


@pytest.mark.parametrize(
    ("server", "host"),
    [
        ("192.168.1.5", "192.168.1.5:8420"),
        ("192.168.1.5", "192.168.1.5"),
        ("::ffff:192.168.1.5", "192.168.1.5:8420"),
        ("fd00::5", "[fd00::5]:8420"),
        ("fe80::5%eth0", "[fe80::5]"),
        ("fd00::5", "[FD00:0:0::5]:8420"),
    ],
)
def test_the_address_that_was_reached_is_served(book: Book, server: str, host: str) -> None:
    """A phone at home asks by it, whatever the machine calls itself."""
    assert served_at(book, server, host) == 200


@pytest.mark.parametrize(
    ("server", "host"),
    [
        ("192.168.1.5", "192.168.1.6"),
        ("192.168.1.5", "192.168.1.5.evil.example"),
        ("192.168.1.5", "evil.example"),
        ("", ""),
        ("beer", "beer"),
        ("192.168.1.5", "3232235781"),
        ("192.168.1.5", "192.168.1.5:8420@evil.example"),
    ],
)
def test_no_other_is(book: Book, server: str, host: str) -> None:
    assert served_at(book, server, host) == 400


def test_who_asks_by_another_name_is_told_what_helps(guarded: TestClient) -> None:
    assert "--host-name" in guarded.get("/", headers={"Host": "nas.local"}).text
