"""Every address of one cellar of a club, asked for what is another's: it shows nothing of it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.cellar.conftest import NewUrl, new_url, server
from tests.cellar.two_cellars import (
    NOW,
    OURS,
    PASSWORD,
    PERSON,
    SECRET,
    THEIRS,
    Known,
    fill,
    rows,
    watched,
)
from tests.web.people import every_address
from ullage.cellar import sessions
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.system.demo import demo_text
from ullage.web.book import Book
from ullage.web.club import Club, Rules
from ullage.web.gate import COOKIE

__all__ = ["new_url", "server"]
HERE, THERE = f"/c/{OURS}", f"/c/{THEIRS}"
ASKED_AS = ({"Accept": "text/html"}, {"Accept": "application/json"})


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@dataclass(frozen=True)
class Visit:
    """A keeper of ours in a browser that is at the club, and what they know of the others."""

    browser: TestClient
    ours: Store
    theirs: Store
    known: Known

    def log_in(self) -> None:
        """Come in anew, whatever was done to the session before."""
        session = sessions.begin(self.ours, "Ann", NOW)
        self.browser.cookies.clear()
        self.browser.cookies.set(COOKIE, session, path=HERE)


@pytest.fixture
def visit(new_url: NewUrl) -> Iterator[Visit]:
    with Store.open(new_url(), cellar=OURS) as ours:
        theirs = ours.beside(THEIRS)
        for one in (ours, theirs):
            one.put_document(SYSTEM_DOCUMENT, demo_text(NOW.date()))
        known, _ = fill(theirs, SECRET), fill(ours, "plain")
        club = Club(ours, Rules(), NOW.astimezone)
        with TestClient(club, follow_redirects=False, raise_server_exceptions=False) as browser:
            yield Visit(browser, ours, theirs, known)


def asked(visit: Visit, method: str, path: str, what: str) -> str:
    """Ask one address in our cellar, by form and as data, with something of theirs everywhere."""
    told = dict.fromkeys(
        ("event", "id", "of", "name", "keg", "batch", "task", "about", "secret", "step"), what
    )
    where, said = f"{HERE}{path}", ""
    for headers in ASKED_AS:
        bodies: list[dict[str, Any]] = [{}]
        if method == "POST":
            bodies = [{"data": told}, {"json": told | {"kind": "undone", "at": NOW.isoformat()}}]
        for body in bodies:
            visit.log_in()
            answer = visit.browser.request(method, where, params=told, headers=headers, **body)
            wrong = {500} if path == "/api/v1/samples" else {401, 500}  # there a token is asked
            assert answer.status_code not in wrong, (method, path, what, answer.text)
            assert "/login" not in answer.headers.get("location", "") or path == "/logout"
            said += answer.text + json.dumps(dict(answer.headers))
    return said


def things_of_theirs(known: Known) -> Iterator[str]:
    yield from (known.event, known.planned, known.calendar, PERSON, "K1", THEIRS)


def test_no_address_shows_or_changes_what_is_theirs(visit: Visit) -> None:
    before = rows(visit.theirs)
    addresses = sorted(set(every_address(Book(visit.ours), door=False)))
    assert len(addresses) > 100
    with watched(visit.ours) as loose:
        for method, path in addresses:
            api = f"/api/v1{path}" if not path.startswith(("/api", "/openapi")) else path
            for what in things_of_theirs(visit.known) if "x" in path.split("/") else ("K1",):
                for one in (path, api):
                    said = asked(visit, method, _filled(one, what), what)
                    assert SECRET not in said, (method, one, what)
    assert loose == []
    assert rows(visit.theirs) == before


def _filled(path: str, what: str) -> str:
    return "/".join(what if part == "x" else part for part in path.split("/"))


def test_a_session_and_a_token_of_theirs_open_nothing_here(visit: Visit) -> None:
    theirs = {"Cookie": f"{COOKIE}={visit.known.session}"}
    for path in ("/kegs", "/data/ullage-log.jsonl", "/accounts"):
        assert visit.browser.get(f"{HERE}{path}", headers=theirs).status_code in (303, 401)
    assert visit.browser.get(f"{THERE}/kegs", headers=theirs).status_code == 200
    sample = {"source": "probe", "value": "38 degF"}
    bearer = {"Authorization": f"Bearer {visit.known.token}"}
    here = visit.browser.post(f"{HERE}/api/v1/samples", json=sample, headers=bearer)
    assert here.status_code == 401
    for path in ("/api/v1/samples", "/api/v1/status"):
        assert visit.browser.get(f"{HERE}{path}", headers=bearer).status_code == 401
    assert visit.browser.get(f"{HERE}/calendar/{visit.known.calendar}.ics").status_code == 404
    there = visit.browser.get(f"{THERE}/calendar/{visit.known.calendar}.ics")
    assert there.status_code == 200


def test_a_browser_gives_a_session_to_its_own_cellar_alone(visit: Visit) -> None:
    """The cookie keeps to the path; `/c/ours` is no part of `/c/ours-too`."""
    told = {"name": "Ann", "password": PASSWORD}
    done = visit.browser.post(f"{HERE}/login", data=told)
    assert f"Path={HERE};" in f"{done.headers['set-cookie']};"
    assert visit.browser.get(f"{HERE}/kegs").status_code == 200
    for other in (THERE, f"{HERE}-too"):
        assert visit.browser.get(f"{other}/kegs", headers=ASKED_AS[0]).status_code == 303


def test_the_backup_that_a_keeper_takes_holds_no_byte_of_theirs(visit: Visit) -> None:
    visit.log_in()
    taken = visit.browser.get(f"{HERE}/data/backup")
    assert taken.status_code == 200
    assert b"plain" in taken.content
    assert SECRET.encode() not in taken.content


def test_what_is_written_in_one_is_seen_there_at_once_and_nowhere_else(visit: Visit) -> None:
    visit.log_in()
    event = {"kind": "noted", "about": "K1", "text": "ours alone", "at": NOW.isoformat()}
    assert visit.browser.post(f"{HERE}/api/v1/events", json=event).status_code == 201
    assert "ours alone" in visit.browser.get(f"{HERE}/log").text
    theirs = {"Cookie": f"{COOKIE}={visit.known.session}"}
    assert "ours alone" not in visit.browser.get(f"{THERE}/log", headers=theirs).text
