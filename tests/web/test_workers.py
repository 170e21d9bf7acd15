"""Several processes serve one store: whichever answers, it knows what the others wrote."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing
from http.client import HTTPConnection
from urllib.parse import urlencode

import pytest
from benchmarks.served import served

from tests.cellar.conftest import NewUrl, new_url, server
from tests.console import assert_refused, ullage
from tests.web.made_up import NOW
from tests.web.test_club_trouble import begun
from ullage.cellar import accounts
from ullage.cellar.store import Store

__all__ = ["new_url", "server"]
PASSWORD = "barley and a long river"
REQUESTS = 12


@pytest.fixture
def address(new_url: NewUrl) -> Iterator[str]:
    """Two processes over the demo, behind a login."""
    url = new_url()
    with Store.open(url) as store:
        begun(store)
        accounts.make(store, "Ann", PASSWORD, "keeper")
    with served(url, "--workers", "2", "--login") as address:
        yield address


def asked(address: str, path: str, cookie: str, body: str = "") -> tuple[int, str, str]:
    """One request over a connection of its own, which either process may take: what is asked, or
    posted where there is a body; the code, the page and the cookie."""
    data = path.startswith("/api/")
    headers = {"Cookie": cookie, "Accept": "application/json" if data else "text/html"}
    if body:
        headers["Content-Type"] = f"application/{'json' if data else 'x-www-form-urlencoded'}"
    with closing(HTTPConnection(address.removeprefix("http://"), timeout=60)) as connection:
        connection.request("POST" if body else "GET", path, body or None, headers)
        answer = connection.getresponse()
        return answer.status, answer.read().decode(), answer.headers.get("set-cookie", "")


def test_a_login_and_what_is_written_hold_in_every_process(address: str) -> None:
    right = urlencode({"name": "Ann", "password": PASSWORD})
    code, _, cookie = asked(address, "/login", "", right)
    assert code == 303
    session = cookie.partition(";")[0]
    for number in range(REQUESTS):
        note = {"kind": "noted", "about": "K1", "text": f"note {number}", "at": NOW.isoformat()}
        assert asked(address, "/api/v1/events", session, json.dumps(note))[0] == 201
        code, page, _ = asked(address, "/log", session)
        assert code == 200
        assert f"note {number}" in page
    assert asked(address, "/logout", session, "back=/")[0] == 303
    for _ in range(REQUESTS):
        assert asked(address, "/log", session)[0] == 303


def test_what_is_only_tried_out_has_one_process() -> None:
    ran = ullage("serve", "examples/one-tap.toml", "--port", "0", "--workers", "2")
    assert_refused(ran, "served by one worker")
