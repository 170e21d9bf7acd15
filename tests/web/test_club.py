"""A club's door, and each cellar behind it: what is told, and what is the same for everybody."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import at_start
from tests.web.words import plain
from ullage.cellar import accounts, sessions
from ullage.cellar.attempts import MOST_HERE
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web import club as module
from ullage.web.club import NOBODYS, Club, Rules
from ullage.web.gate import COOKIE
from ullage.web.serve import Serving, serve_club

PASSWORD = "barley and a long river"
HTML = {"Accept": "text/html"}
HOUSEHOLDS = ("lake-road", "smith", "smith-2")


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(str(tmp_path / "club.db")) as store:
        for name in HOUSEHOLDS:
            accounts.make(store.beside(name), "Ann", PASSWORD, "keeper")
        yield store


def browser(store: Store, rules: Rules | None = None) -> TestClient:
    return TestClient(Club(store, rules or Rules(), at_start), follow_redirects=False)


@pytest.fixture
def club(store: Store) -> TestClient:
    return browser(store)


def test_the_door_asks_for_a_name_and_tells_of_none(club: TestClient) -> None:
    page = club.get("/")
    assert page.status_code == 200
    assert "Which cellar?" in plain(page.text)
    for name in HOUSEHOLDS:
        assert name not in page.text.replace("smith-road", "")  # the example of a name
    assert 'href="/kegs"' not in page.text


@pytest.mark.parametrize("base", ["", "/beer"])
def test_the_door_leads_on_whether_there_is_one_or_not(store: Store, base: str) -> None:
    club = browser(store, Rules(base_path=base))
    for name in ("smith", "nobody"):
        sent = club.post(f"{base}/", data={"cellar": f" {name.upper()} "})
        assert (sent.status_code, sent.headers["location"]) == (303, f"{base}/c/{name}/")
        led = club.get(f"{base}/c/{name}/", headers=HTML)
        assert led.headers["location"] == f"{base}/c/{name}/login?back=%2F"
        assert club.get(led.headers["location"]).status_code == 200
        assert club.get(f"{base}/c/{name}").headers["location"] == f"{base}/c/{name}/"


@pytest.mark.parametrize("name", ["", "a b", "../x", "-", "ä", "x" * 41, "a/b", "<script>"])
def test_what_cannot_be_a_name_is_said_at_the_field(club: TestClient, name: str) -> None:
    page = club.post("/", data={"cellar": name})
    assert page.status_code == 422
    assert "Small letters, digits and hyphens" in page.text
    assert "<script>" not in page.text


@pytest.mark.parametrize("path", ["/kegs", "/c", "/c/", "/c//", "/c/-/", "/c/A/", "/api/v1/status"])
def test_beside_the_cellars_there_is_nothing(club: TestClient, path: str) -> None:
    answer = club.get(path, headers=HTML)
    assert answer.status_code in (303, 307, 404)
    assert "kegs" not in answer.headers.get("location", "")


def test_the_theme_may_be_chosen_before_any_cellar(club: TestClient, store: Store) -> None:
    sent = club.post("/look", data={"theme": "blueprint"})
    assert sent.status_code == 303
    assert 'data-theme="blueprint"' in club.get("/").text
    assert club.post("/look", data={"units": "metric"}).status_code == 422
    assert store.beside(NOBODYS).count() == 0


SHARED = (
    "/", "/login", "/first-account", "/kegs", "/log?units=metric", "/api/v1/status",
    "/openapi.json", "/healthz", "/manifest.webmanifest", "/icon-192.png", "/static/sheet.css",
    "/data/backup", "/static/none", "/calendar/abc.ics", "/nothing", "/accounts", "/logout",
    "/login/x",
)  # fmt: skip


def told(club: TestClient, name: str, method: str, path: str, accept: str) -> tuple[object, ...]:
    """What is answered, with the cellar's name left out."""
    sent = {"name": "Ann", "password": "not that", "back": "/"}
    body = {"data": sent} if method == "POST" else {}
    answer = club.request(method, f"/c/{name}{path}", headers={"Accept": accept}, **body)  # type: ignore[arg-type]
    headers = sorted((key, value.replace(name, "…")) for key, value in answer.headers.items())
    kept = [one for one in headers if one[0] not in ("content-length", "last-modified", "etag")]
    return answer.status_code, kept, answer.text.replace(name, "…")


@pytest.mark.parametrize("accept", ["text/html", "application/json"])
@pytest.mark.parametrize("path", SHARED)
def test_a_stranger_cannot_tell_whether_a_cellar_is_there(
    club: TestClient, path: str, accept: str
) -> None:
    for method in ("GET", "POST"):
        assert told(club, "smith", method, path, accept) == told(
            club, "jones", method, path, accept
        ), method


def test_nor_by_sending_samples_or_a_code(club: TestClient) -> None:
    for headers in ({}, {"Authorization": "Bearer ullage_none"}):
        here, there = (
            club.post(
                f"/c/{name}/api/v1/samples", json={"source": "x", "value": 1}, headers=headers
            )
            for name in ("smith", "jones")
        )
        assert (here.status_code, here.text) == (there.status_code, there.text)
        assert here.status_code == 401


def test_who_tries_too_often_waits_there_and_here(club: TestClient) -> None:
    codes = {}
    for name in ("smith", "jones"):
        codes[name] = [
            club.post(f"/c/{name}/login", data={"name": "Ann", "password": "x"}).status_code
            for _ in range(MOST_HERE + 1)
        ]
    assert codes["smith"] == codes["jones"] == [*[401] * MOST_HERE, 429]


def test_made_up_names_leave_nothing_but_tries_behind(club: TestClient, store: Store) -> None:
    """And those in one cellar that nobody has, where they are swept out."""
    for number in range(5):
        told(club, f"made-up-{number}", "POST", "/login", "text/html")
    with store.reading() as connection:
        rows = connection.exec_driver_sql("SELECT DISTINCT cellar FROM attempt").scalars().all()
    assert rows == [NOBODYS]
    assert len(Club(store, Rules())._open) == 0


def test_a_cellar_begins_with_its_first_account(club: TestClient, store: Store) -> None:
    secret = "late-come"
    assert club.post(
        f"/c/{secret}/login", data={"name": "Bo", "password": PASSWORD}
    ).is_client_error
    accounts.make(store.beside(secret), "Bo", PASSWORD, "keeper")
    done = club.post(f"/c/{secret}/login", data={"name": "Bo", "password": PASSWORD})
    assert (done.status_code, done.headers["location"]) == (303, f"/c/{secret}/")


def test_only_those_named_are_served(store: Store) -> None:
    club = browser(store, Rules(names=("smith",)))
    right = {"name": "Ann", "password": PASSWORD}
    assert club.post("/c/smith/login", data=right).status_code == 303
    assert club.post("/c/lake-road/login", data=right).status_code == 401


def test_few_are_kept_open_and_a_closed_one_opens_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "MOST_OPEN", 1)
    club = Club(store, Rules(), at_start)
    first = club.cellar("smith")
    assert club.cellar("smith") is first
    club.cellar("lake-road")
    assert club.cellar("smith") is not first
    assert len(club._open) == 1


def test_every_link_of_a_cellar_stays_in_it(club: TestClient, store: Store) -> None:
    secret = sessions.begin(store.beside("smith"), "Ann", at_start())
    headers = {**HTML, "Cookie": f"{COOKIE}={secret}"}
    for path in ("/", "/kegs", "/log", "/accounts", "/nothing"):
        page = club.get(f"/c/smith{path}", headers=headers).text
        links = re.findall(r'(?:href|action|src)="(/[^"]*)"', page)
        assert links
        assert [one for one in links if not one.startswith("/c/smith/")] == []


def test_another_name_of_the_host_is_refused_in_a_cellar_and_before_it(store: Store) -> None:
    club = browser(store, Rules(hosts=("beer.example.org",)))
    for path in ("/", "/c/smith/login", "/c/jones/login"):
        assert club.get(path).status_code == 400
        assert club.get(path, headers={"Host": "beer.example.org"}).status_code == 200


def test_what_does_not_go_with_a_club_is_said(store: Store) -> None:
    with pytest.raises(UllageError, match="each cellar of a club has its login"):
        serve_club(store, (), Serving(anyone=True))
    with pytest.raises(UllageError, match="nobody has an account in jones yet"):
        serve_club(store, ("smith", "jones"), Serving(port=0))
