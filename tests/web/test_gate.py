"""The gate: nothing without a login, by role what a role may do, tries counted, sessions ended."""

from __future__ import annotations

import doctest
import re
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from tests.web.people import PASSWORD, PEOPLE, every_address, log_in, with_people
from ullage.cellar import accounts, sessions
from ullage.plan import calendar_address
from ullage.web import may as may_module
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.gate import COOKIE, Gate, new_code
from ullage.web.may import is_open, may

HTML = {"Accept": "text/html"}


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@pytest.fixture
def gate(book: Book) -> Gate:
    return with_people(book)


@pytest.fixture
def door(book: Book, gate: Gate) -> Iterator[TestClient]:
    with TestClient(create_app(book, gate=gate), follow_redirects=False) as client:
        yield client


def test_docstrings_are_true() -> None:
    assert doctest.testmod(may_module).failed == 0


def test_every_address_is_shut_without_a_login(door: TestClient, book: Book) -> None:
    addresses = every_address(book)
    assert len(addresses) > 150
    assert ("POST", "/api/v1/events") in addresses
    before = len(book.present().log)
    for method, path in addresses:
        if is_open(method, path):
            continue
        answer = door.request(method, path, headers={"Accept": "application/json"})
        assert answer.status_code == 401, (method, path)
        assert "K1" not in answer.text
    assert len(book.present().log) == before


def test_what_is_open_is_little(book: Book) -> None:
    opened = {(method, path) for method, path in every_address(book) if is_open(method, path)}
    assert {path for _, path in opened} <= {
        "/manifest.webmanifest", "/icon-x.png", "/icon-180.png", "/icon-512.png", "/icon-192.png",
        "/calendar/x.ics", "/favicon.ico", "/api/v1/samples", "/login", "/first-account",
        "/healthz",
    }  # fmt: skip
    assert not is_open("GET", "/api/v1/samples")
    for path in ("/static", "/staticx", "/login/x", "/calendar/a/b.ics", "//login", "/Login"):
        assert not is_open("GET", path)


def test_a_browser_is_led_to_the_login_and_back(door: TestClient) -> None:
    answer = door.get("/kegs?units=metric", headers=HTML)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/login?back=%2Fkegs%3Funits%3Dmetric"
    page = door.get(answer.headers["location"])
    assert page.status_code == 200
    assert 'name="back" value="/kegs?units=metric"' in page.text
    assert "K1" not in page.text
    done = door.post(
        "/login", data={"name": "Ann", "password": PASSWORD, "back": "/kegs?units=metric"}
    )
    assert (done.status_code, done.headers["location"]) == (303, "/kegs?units=metric")
    cookie = done.headers["set-cookie"]
    for word in ("HttpOnly", "SameSite=lax", "Path=/"):
        assert word in cookie
    assert "Secure" not in cookie
    assert door.get("/kegs").status_code == 200


@pytest.mark.parametrize("back", ["https://evil.example/", "//evil.example", "/\\evil.example"])
def test_nobody_is_led_elsewhere(door: TestClient, back: str) -> None:
    done = door.post("/login", data={"name": "Ann", "password": PASSWORD, "back": back})
    assert (done.status_code, done.headers["location"]) == (303, "/")


def test_behind_https_the_cookie_keeps_to_it(book: Book, gate: Gate) -> None:
    gate.https = True
    app = create_app(book, gate=gate)
    with TestClient(app, "https://beer.example", follow_redirects=False) as client:
        done = client.post("/login", data={"name": "Ann", "password": PASSWORD})
        assert done.headers["set-cookie"].startswith(f"__Host-{COOKIE}=")
        for word in ("Secure", "HttpOnly", "Path=/;"):
            assert word in done.headers["set-cookie"]
        assert client.get("/kegs").status_code == 200
        out = client.post("/logout")
        assert out.headers["set-cookie"].startswith(f'__Host-{COOKIE}=""')
        assert client.get("/kegs", headers=HTML).status_code == 303
        client.cookies.set(COOKIE, sessions.begin(book.store, "Ann", book.clock()))
        assert client.get("/kegs", headers=HTML).status_code == 303  # not the one of http
    below = Gate(book, "/beer", https=True)
    assert below.cookie == f"__Secure-{COOKIE}"  # "__Host-" asks for the path "/"


def test_by_https_browsers_are_told_to_stay_there(book: Book, gate: Gate) -> None:
    gate.https = True
    app = create_app(book, hosts=("beer.example",), gate=gate)
    with TestClient(app, "https://beer.example", follow_redirects=False) as client:
        for path in ("/", "/login", "/static/sheet.css", "/nothing"):
            # published: OWASP ASVS 5.0, 3.4.1: a year at least
            assert client.get(path).headers["strict-transport-security"] == "max-age=31536000"
        other = client.get("/", headers={"Host": "evil.example"})
        assert other.status_code == 400
        assert "strict-transport-security" in other.headers
    with TestClient(create_app(book, https=True)) as client:
        assert "strict-transport-security" in client.get("/").headers
    with TestClient(create_app(book)) as client:
        assert "strict-transport-security" not in client.get("/").headers


def test_below_a_path_the_gate_stands_too(book: Book) -> None:
    gate = Gate(book, "/beer")
    accounts.make(book.store, "Ann", PASSWORD, "keeper")
    with TestClient(create_app(book, "/beer", gate=gate), follow_redirects=False) as client:
        for path in ("/beer/kegs", "/kegs", "/beer", "/beer/"):
            answer = client.get(path, headers=HTML)
            assert answer.status_code == 303, path
            assert answer.headers["location"].startswith("/beer/login?back=%2F")
        assert client.get("/beer/login").status_code == 200
        assert client.get("/beer/static/sheet.css").status_code == 200
        assert client.get("/beerlogin").status_code == 401
        done = client.post("/beer/login", data={"name": "Ann", "password": PASSWORD})
        assert "Path=/beer" in done.headers["set-cookie"]
        assert client.get("/beer/kegs").status_code == 200


def test_wrong_tries_are_told_apart_from_nothing(door: TestClient) -> None:
    known = door.post("/login", data={"name": "Ann", "password": "wrong"})
    unknown = door.post("/login", data={"name": "Eve", "password": "wrong"})
    assert known.status_code == unknown.status_code == 401
    assert known.text.replace("Ann", "Eve") == unknown.text
    assert "set-cookie" not in known.headers


def test_after_five_wrong_tries_the_right_password_has_to_wait(
    door: TestClient, book: Book
) -> None:
    for _ in range(5):
        assert door.post("/login", data={"name": "Ann", "password": "x"}).status_code == 401
    answer = door.post("/login", data={"name": "Ann", "password": PASSWORD})
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) == 15 * 60
    assert "Wait 15 min" in answer.text
    late = Book(book.store, lambda: book.clock() + timedelta(minutes=16))
    with TestClient(create_app(late, gate=Gate(late)), follow_redirects=False) as later:
        done = later.post("/login", data={"name": "Ann", "password": PASSWORD})
    assert done.status_code == 303


def test_a_login_makes_a_new_session_and_ends_the_old(door: TestClient, book: Book) -> None:
    log_in(door, "Gus", book)
    old = door.cookies[COOKIE]
    done = door.post("/login", data={"name": "Ann", "password": PASSWORD})
    new = re.search(rf"{COOKIE}=([^;]+)", done.headers["set-cookie"])
    assert new is not None
    assert new[1] != old
    assert sessions.account_of(book.store, old, book.clock()) is None


def test_logging_out_ends_the_session_on_the_server(door: TestClient, book: Book) -> None:
    log_in(door, "Ann", book)
    secret = door.cookies[COOKIE]
    assert 'action="/logout"' in door.get("/").text
    done = door.post("/logout")
    assert (done.status_code, done.headers["location"]) == (303, "/login")
    door.cookies.set(COOKIE, secret)
    assert door.get("/kegs", headers=HTML).status_code == 303


@pytest.mark.parametrize("secret", ["", "x", "x" * 5000, "ä", "a;b"])
def test_a_made_up_session_is_none(door: TestClient, secret: str) -> None:
    headers = [(b"Accept", b"text/html"), (b"Cookie", f"{COOKIE}={secret}".encode())]
    assert door.get("/kegs", headers=headers).status_code == 303


def test_a_guest_changes_nothing(door: TestClient, book: Book) -> None:
    log_in(door, "Gus", book)
    before, text = len(book.present().log), book.system_text()
    for method, path in every_address(book):
        if method in ("GET", "HEAD", "OPTIONS") or is_open(method, path):
            continue
        if path in ("/look", "/logout", "/own-password"):
            continue
        assert door.request(method, path).status_code == 403, (method, path)
    assert door.post("/look", data={"units": "metric"}).status_code == 403
    assert door.post("/look", data={"theme": "paper"}).status_code == 303
    assert (len(book.present().log), book.system_text()) == (before, text)
    assert door.get("/kegs").status_code == 200


def test_a_helper_writes_down_what_happened_and_plans_nothing(door: TestClient, book: Book) -> None:
    log_in(door, "Hal", book)
    event = {
        "kind": "poured", "keg": "K1", "volume_m3": 4e-4, "at": book.clock().isoformat(),
    }  # fmt: skip
    assert door.post("/api/v1/events", json=event).status_code == 201
    for path in ("/system", "/kegs/K1/adopt", "/begin", "/accounts", "/data/log", "/upkeep/rule"):
        answer = door.post(path)
        assert answer.status_code == 403, path
        assert "Hal is a helper" in answer.text
    page = door.post("/system", headers=HTML)
    assert page.status_code == 403
    assert "<h1>Not yours to do</h1>" in page.text
    assert "Hal is a helper here" in page.text


@pytest.mark.parametrize("name", ["Hal", "Gus"])
def test_the_whole_log_and_the_accounts_are_a_keepers(
    door: TestClient, book: Book, name: str
) -> None:
    log_in(door, name, book)
    for path in ("/data", "/data/backup", "/data/ullage-log.jsonl", "/accounts"):
        assert door.get(path).status_code == 403, path


def test_every_change_is_listed_or_a_keepers() -> None:
    """What nobody thought of is a keeper's alone."""
    assert not may("helper", "POST", "/something/new")
    assert not may("helper", "DELETE", "/system.toml")
    assert not may("guest", "POST", "/something/new")
    assert may("keeper", "POST", "/something/new")


def test_another_sites_page_cannot_log_out_or_in(door: TestClient, book: Book) -> None:
    log_in(door, "Ann", book)
    for path in ("/logout", "/login", "/accounts", "/record/keg/K1"):
        answer = door.post(path, headers={"Sec-Fetch-Site": "cross-site"})
        assert answer.status_code == 403
    assert door.get("/kegs").status_code == 200


def test_the_first_account_needs_the_code_of_the_terminal(book: Book) -> None:
    gate = Gate(book, code=new_code())
    code = gate.code
    with TestClient(create_app(book, gate=gate), follow_redirects=False) as client:
        assert client.get("/login").headers["location"] == "/first-account"
        told = {"name": "Ann", "password": PASSWORD, "again": PASSWORD}
        assert client.post("/first-account", data=told | {"code": "abcd"}).status_code == 403
        other = client.post("/first-account", data=told | {"code": code, "again": "x"})
        assert other.status_code == 422
        weak = {"code": code, "name": "Ann", "password": "password", "again": "password"}
        assert "will not do" in client.post("/first-account", data=weak).text
        done = client.post("/first-account", data=told | {"code": f" {code.upper()} "})
        assert (done.status_code, done.headers["location"]) == (303, "/")
        assert [one.role for one in accounts.every(book.store)] == ["keeper"]
        assert client.get("/accounts").status_code == 200
        again = client.post("/first-account", data=told | {"code": code, "name": "Eve"})
        assert again.status_code == 403


def test_ten_wrong_codes_and_none_is_right(book: Book) -> None:
    gate = Gate(book, code=new_code())
    told = {"name": "Ann", "password": PASSWORD, "again": PASSWORD}
    with TestClient(create_app(book, gate=gate), follow_redirects=False) as client:
        for _ in range(10):
            answer = client.post("/first-account", data=told | {"code": "wrong"})
            assert answer.status_code == 403
        right = client.post("/first-account", data=told | {"code": gate.code})
    assert right.status_code == 403
    assert "Too many wrong codes" in right.text
    assert accounts.every(book.store) == ()


def test_a_code_that_is_sent_twice_at_once_makes_one_account(book: Book) -> None:
    gate = Gate(book, code=new_code())
    start = threading.Barrier(4)

    with TestClient(create_app(book, gate=gate), follow_redirects=False) as client:

        def make(name: str) -> int:
            start.wait()
            told = {"code": code, "name": name, "password": PASSWORD, "again": PASSWORD}
            return client.post("/first-account", data=told).status_code

        code = gate.code
        with ThreadPoolExecutor(4) as pool:
            codes = sorted(pool.map(make, ("Ann", "Eve", "Bob", "Zoë")))
    assert codes[0] == 303
    assert set(codes[1:]) <= {403, 422}
    assert len(accounts.every(book.store)) == 1


def test_without_a_code_none_is_right(book: Book) -> None:
    assert not Gate(book).is_code("")


def test_a_keeper_makes_changes_and_removes_accounts(door: TestClient, book: Book) -> None:
    log_in(door, "Ann", book)
    page = door.get("/accounts").text
    for name in PEOPLE:
        assert f"<b>{name}</b>" in page
    new = {"name": "Zoë & <co>", "role": "guest", "password": "seven copper kettles"}
    assert door.post("/accounts", data=new).status_code == 303
    assert "<b>Zoë &amp; &lt;co&gt;</b>" in door.get("/accounts").text
    weak = door.post("/accounts", data=new | {"name": "Bob", "password": "12345678"})
    assert weak.status_code == 422
    assert "will not do" in weak.text
    there = "/accounts/Zo%C3%AB%20%26%20%3Cco%3E"
    assert door.post(f"{there}/role", data={"role": "helper"}).status_code == 303
    assert door.post(f"{there}/password", data={"password": "nine more wooden casks"}).is_redirect
    assert {one.name: one.role for one in accounts.every(book.store)}["Zoë & <co>"] == "helper"
    assert door.post(f"{there}/remove").status_code == 303
    last = door.post("/accounts/Ann/remove")
    assert last.status_code == 422
    assert "last keeper" in last.text
    assert door.post("/accounts/nobody/remove").status_code == 404


def test_who_removes_their_own_account_is_out_at_once(door: TestClient, book: Book) -> None:
    accounts.make(book.store, "Bob", PASSWORD, "keeper")
    log_in(door, "Ann", book)
    assert door.post("/accounts/Ann/remove").status_code == 303
    assert door.get("/accounts", headers=HTML).headers["location"].startswith("/login")
    assert door.post("/accounts/Bob/remove").status_code == 401
    accounts.make(book.store, "Ann", PASSWORD, "keeper")  # another Ann: not her session
    assert door.get("/kegs", headers=HTML).status_code == 303


def test_another_role_holds_at_once(door: TestClient, book: Book) -> None:
    accounts.set_role(book.store, "Hal", "keeper")
    log_in(door, "Hal", book)
    assert door.get("/accounts").status_code == 200
    accounts.set_role(book.store, "Hal", "guest")
    assert door.get("/accounts").status_code == 403
    assert door.post("/api/v1/events", json={}).status_code == 403
    assert door.get("/kegs").status_code == 200


def test_a_keeper_cannot_set_their_own_password_without_the_old_one(
    door: TestClient, book: Book
) -> None:
    log_in(door, "Ann", book)
    assert 'action="/accounts/Ann/password"' not in door.get("/accounts").text
    done = door.post("/accounts/Ann/password", data={"password": "nine more wooden casks"})
    assert done.status_code == 422
    assert accounts.checked(book.store, "Ann", PASSWORD) is not None


def test_ones_own_password_is_changed_with_the_old_one(door: TestClient, book: Book) -> None:
    log_in(door, "Gus", book)
    elsewhere = sessions.begin(book.store, "Gus", book.clock())
    new = "nine more wooden casks"
    told = {"password": new, "again": new}
    assert door.get("/own-password").status_code == 200
    assert door.post("/own-password", data=told | {"now": "wrong"}).status_code == 403
    wrong = door.post("/own-password", data=told | {"now": PASSWORD, "again": "x"})
    assert wrong.status_code == 422
    assert door.get("/kegs").status_code == 200
    done = door.post("/own-password", data=told | {"now": PASSWORD})
    assert done.status_code == 303
    assert door.get("/kegs").status_code == 200
    assert sessions.account_of(book.store, elsewhere, book.clock()) is None
    assert accounts.checked(book.store, "Gus", new) is not None


def test_no_page_of_somebody_logged_in_is_kept(door: TestClient, book: Book) -> None:
    log_in(door, "Ann", book)
    for path in (
        "/",
        "/kegs",
        "/accounts",
        "/system.toml",
        "/api/v1/status",
        "/kegs.json",
        "/data",
    ):
        assert door.get(path).headers["cache-control"] == "no-store", path
    assert door.get("/login").headers["cache-control"] == "no-store"
    assert door.post("/logout").headers["clear-site-data"] == '"cache"'
    assert "public" in door.get("/static/sheet.css").headers["cache-control"]


def test_a_stranger_is_told_nothing_by_a_page_that_says_no(door: TestClient, book: Book) -> None:
    event = book.present().log[-1].id
    for path in ("/static/nothing", "/calendar/nothing.ics", "/icon-7.png"):
        page = door.get(f"{path}?wrote={event}", headers=HTML)
        assert page.status_code == 404
        for word in ("Kegs", "Written down", "Log out", event):
            assert word not in page.text.replace(f"?wrote={event}", "")


def test_a_script_is_sent_to_the_login_as_a_page_not_into_one(door: TestClient) -> None:
    asked = {
        "HX-Request": "true", "HX-Current-URL": "http://testserver/kegs?units=us", **HTML,
    }  # fmt: skip
    for method, path in (("GET", "/record/keg/K1"), ("POST", "/upkeep/tick")):
        answer = door.request(method, path, headers=asked)
        assert answer.status_code == 401
        assert answer.headers["hx-redirect"] == "/login?back=%2Fkegs%3Funits%3Dus"


def test_a_form_that_is_sent_after_the_session_ended_is_not_lost(door: TestClient) -> None:
    answer = door.post("/record/keg/K1", headers=HTML, data={"does": "pour"})
    assert answer.status_code == 401
    assert "Log in in another tab, then reload this page" in answer.text
    assert "Kegs" not in answer.text


@pytest.mark.parametrize("name", ["Hal", "Gus"])
def test_the_calendars_secret_and_the_tokens_are_a_keepers(
    door: TestClient, book: Book, name: str
) -> None:
    secret = calendar_address.make_secret(book.store)
    log_in(door, "Ann", book)
    assert secret in door.get("/upkeep").text
    assert "Make a token" in door.get("/readings").text
    log_in(door, name, book)
    for method, path in every_address(book):
        if method == "GET":
            assert secret not in door.get(path).text, path
    assert "Make a token" not in door.get("/readings").text
    assert door.post("/readings/tokens", data={"name": "mine"}).status_code == 403
    assert door.get(f"/calendar/{secret}.ics").status_code == 200


@pytest.mark.parametrize("name", ["a\0b", "\x1f", "x" * 5000, "🍺", "Ann\0"])
def test_a_name_that_nobody_can_have_is_a_wrong_one(door: TestClient, name: str) -> None:
    assert door.post("/login", data={"name": name, "password": PASSWORD}).status_code == 401


def test_without_a_gate_there_is_no_login(cellar: TestClient) -> None:
    assert cellar.get("/login").status_code == 404
    assert cellar.get("/accounts").status_code == 404
    assert "Log out" not in cellar.get("/").text
