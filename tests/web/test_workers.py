"""Several processes serve one store: whichever answers, it knows what the others wrote."""

from __future__ import annotations

import json
import os
import signal
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from http.client import HTTPConnection, HTTPException
from time import monotonic
from urllib.parse import urlencode
from uuid import UUID

import pytest
from benchmarks.served import running, served

from tests.cellar.conftest import NewUrl, new_url, server
from tests.console import assert_refused, ullage
from tests.web.made_up import NOW
from tests.web.test_club_trouble import POUR, begun
from ullage.cellar import accounts
from ullage.cellar.store import Store
from ullage.web.workers import STARTS_WITHIN_S

__all__ = ["new_url", "server"]
PASSWORD = "barley and a long river"
REQUESTS = 12
HANDS, POURS = 4, 10
TRIES = 1000
PATIENCE_S = 2.0 * STARTS_WITHIN_S
"""Killed just as it was asked whether it lives, it has that long to answer."""


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


def pours(address: str, begin: int) -> list[str]:
    """Write down a hand's pours, each tried anew until it is acknowledged: their ids."""
    written: list[str] = []
    for number in range(begin, begin + POURS):
        name = UUID(int=number).hex
        pour = POUR | {"id": name, "at": NOW.isoformat()}
        for _ in range(TRIES):
            try:
                code, told, _ = asked(address, "/api/v1/events", "", json.dumps(pour))
            except (OSError, HTTPException):
                continue  # the process was killed under it: nobody was told anything
            assert code in (201, 409), told
            if code == 201:
                written.append(name)
                break
    return written


def serving(parent: int) -> list[int]:
    """The processes that serve: those of the parent that listen for the rest of their lives."""
    found = subprocess.run(
        ["ps", "-ww", "-o", "pid=,args=", "--ppid", str(parent)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    rows = [row.split(None, 1) for row in found.stdout.splitlines()]
    return [int(pid) for pid, what in rows if "resource_tracker" not in what]


def test_a_process_that_is_killed_at_work_loses_nothing_and_is_begun_anew(new_url: NewUrl) -> None:
    """What was acknowledged is there once, whichever of them it came to, and who was cut off
    may send the same again."""
    url = new_url()
    with Store.open(url) as store:
        begun(store)
        before = store.count()
        with running(url, "--workers", "2") as (address, parent):
            first = serving(parent)
            assert len(first) == 2
            with ThreadPoolExecutor(HANDS) as hands:
                done = [hands.submit(pours, address, 1 + hand * POURS) for hand in range(HANDS)]
                os.kill(first[0], signal.SIGKILL)
                written = [one for hand in done for one in hand.result()]
            assert len(written) == len({*written}) == HANDS * POURS
            now, until = first, monotonic() + PATIENCE_S
            while monotonic() < until and (first[0] in now or len(now) != 2):
                assert asked(address, "/kegs", "")[0] == 200
                now = serving(parent)
            assert len(now) == 2
            assert first[1] in now
            assert first[0] not in now
        assert store.count() == before + HANDS * POURS
        assert {*written} <= {str(one.event.id) for one in store.read("keg:K1")}


def test_what_is_only_tried_out_has_one_process() -> None:
    ran = ullage("serve", "examples/one-tap.toml", "--port", "0", "--workers", "2")
    assert_refused(ran, "served by one worker")
