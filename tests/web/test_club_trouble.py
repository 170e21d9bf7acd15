"""Pages over a database that goes away, fills up or is written to from elsewhere at once."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from tests.cellar.conftest import NewUrl, new_url, server
from tests.cellar.servers import Server, own_server
from tests.web.made_up import NOW, at_start, with_demo
from tests.web.words import plain
from ullage.cellar import accounts, sessions
from ullage.cellar.attempts import MOST_HERE, WINDOW
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.system.demo import demo_system, demo_text
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.club import Club, Rules
from ullage.web.gate import COOKIE, Gate

__all__ = ["new_url", "server"]
PASSWORD = "barley and a long river"
POUR = {"kind": "poured", "keg": "K1", "volume_m3": 1e-5}
HTML = {"Accept": "text/html"}


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@dataclass
class Clock:
    """A clock that can be set."""

    at: datetime

    def __call__(self) -> datetime:
        return self.at.astimezone()


def begun(store: Store, clock: Clock | None = None) -> Book:
    """A book over a store that begins with the demo."""
    book, day = Book(store, clock or at_start), NOW.date()
    book.store.put_document(SYSTEM_DOCUMENT, demo_text(day))
    book.record(*first_events(demo_system(day), book.clock()))
    return book


def browser(book: Book, gate: Gate | None = None) -> TestClient:
    app = create_app(book, gate=gate)
    return TestClient(app, follow_redirects=False, raise_server_exceptions=False)


@pytest.fixture(scope="module")
def own() -> Iterator[Server]:
    with own_server() as one:
        yield one


def test_the_database_goes_away_and_comes_back_under_running_pages(own: Server) -> None:
    with Store.open(own.address) as store:
        book = begun(store)
        pages = browser(book)
        pour = POUR | {"at": book.clock().isoformat()}
        assert pages.get("/kegs").status_code == 200
        before = store.count()
        own.stop()
        for path in ("/", "/kegs", "/log", "/data"):
            page = pages.get(path, headers=HTML)
            assert (page.status_code, page.headers["retry-after"]) == (503, "5")
            words = plain(page.text)
            assert "The log cannot be reached" in words
            assert "cannot be reached: is the server running" in words
        data = pages.post("/api/v1/events", json=pour)
        assert data.status_code == 503
        assert "cannot be reached" in data.json()["detail"][0]
        assert pages.get("/healthz").status_code == 200
        own.start()
        assert pages.get("/kegs").status_code == 200
        assert pages.post("/api/v1/events", json=pour).status_code == 201
        assert store.count() == before + 1


def test_so_it_is_behind_a_login_and_in_a_club(own: Server) -> None:
    with Store.open(own.address, cellar="smith") as store:
        accounts.make(store, "Ann", PASSWORD, "keeper")
        book = begun(store)
        secret = sessions.begin(store, "Ann", NOW)
        club = TestClient(Club(store, Rules(), at_start), follow_redirects=False)
        places = ((browser(book, Gate(book)), ""), (club, "/c/smith"))
        for pages, base in places:
            pages.headers["Cookie"] = f"{COOKIE}={secret}"
            assert pages.get(f"{base}/kegs").status_code == 200
        own.stop()
        for pages, base in places:
            away = pages.get(f"{base}/kegs", headers=HTML)
            assert away.status_code == 503
            assert "cannot be reached" in away.text
        unopened = TestClient(Club(store, Rules(), at_start)).get("/c/jones/login")
        assert unopened.status_code == 503
        own.start()
        for pages, base in places:
            assert pages.get(f"{base}/kegs").status_code == 200


def test_a_full_disk_is_said_and_what_was_there_is_still_shown(tmp_path: Path) -> None:
    """SQLite is told that the file may have no more pages, which it reports as a full disk."""
    book = with_demo(tmp_path)
    file, before = str(tmp_path / "ullage.db"), book.store.count()
    book.store.close()

    def limit(connection: object, *_: object) -> None:
        connection.execute("PRAGMA max_page_count=1")  # type: ignore[attr-defined]

    event.listen(Engine, "connect", limit)
    try:
        with Store.open(file) as store:
            pages = browser(Book(store, at_start))
            assert pages.get("/kegs").status_code == 200
            note = {"kind": "noted", "about": "K1", "text": "x" * 1000}
            codes: list[int] = []
            told = ""
            while 503 not in codes and len(codes) < 500:
                answer = pages.post("/api/v1/events", json=note | {"at": NOW.isoformat()})
                codes.append(answer.status_code)
                told = answer.text
            assert codes == [*[201] * (len(codes) - 1), 503]
            assert "is full: make room and try again; nothing was written" in told
            form = pages.post("/record/keg/K1/note", data={"text": "x" * 900}, headers=HTML)
            assert form.status_code in (404, 503)
            assert pages.get("/kegs").status_code == 200
            assert store.count() == before + len(codes) - 1
    finally:
        event.remove(Engine, "connect", limit)


def test_a_store_that_may_only_be_read_is_shown_and_says_so(tmp_path: Path) -> None:
    book = with_demo(tmp_path)
    book.store.close()
    with Store.open(f"sqlite:///file:{tmp_path / 'ullage.db'}?mode=ro&uri=true") as store:
        pages = browser(Book(store, at_start))
        for path in ("/", "/kegs", "/kegs/K1", "/log", "/gas"):
            assert pages.get(path).status_code == 200
        refused = pages.post("/api/v1/events", json=POUR | {"at": NOW.isoformat()})
        assert refused.status_code == 503
        assert "may only be read: give yourself the right" in refused.text


@pytest.fixture
def two(new_url: NewUrl) -> Iterator[tuple[Book, Book]]:
    """Two books over one store, each with connections of its own, as two processes have."""
    url = new_url()
    with Store.open(url) as one, Store.open(url) as other:
        yield begun(one), Book(other, at_start)


def test_what_one_writes_the_other_shows_with_its_next_page(two: tuple[Book, Book]) -> None:
    one, other = map(browser, two)
    for turn, (writes, reads) in enumerate(((one, other), (other, one)) * 2):
        assert reads.get("/kegs").status_code == 200
        note = {"kind": "noted", "about": "K1", "text": f"turn {turn}", "at": NOW.isoformat()}
        assert writes.post("/api/v1/events", json=note).status_code == 201
        assert f"turn {turn}" in reads.get("/log").text
        text = two[0].system_text()[0].replace("[[place]]", f"# turn {turn}\n[[place]]", 1)
        two[turn % 2].store.put_document(SYSTEM_DOCUMENT, text)
        assert f"# turn {turn}" in reads.get("/system.toml").text


def test_a_login_at_one_holds_at_the_other_until_it_ends_at_either(two: tuple[Book, Book]) -> None:
    accounts.make(two[0].store, "Ann", PASSWORD, "keeper")
    one, other = (browser(book, Gate(book)) for book in two)
    done = one.post("/login", data={"name": "Ann", "password": PASSWORD})
    assert done.status_code == 303
    other.cookies = one.cookies
    assert other.get("/kegs").status_code == 200
    assert other.post("/logout").status_code == 303
    assert one.get("/kegs", headers=HTML).status_code == 303


def test_tries_at_both_are_counted_together(two: tuple[Book, Book]) -> None:
    accounts.make(two[0].store, "Ann", PASSWORD, "keeper")
    both = [browser(book, Gate(book)) for book in two]
    codes = [
        both[turn % 2].post("/login", data={"name": "Ann", "password": "x"}).status_code
        for turn in range(MOST_HERE + 1)
    ]
    assert codes == [*[401] * MOST_HERE, 429]


def test_two_browsers_on_one_keg_at_once(two: tuple[Book, Book]) -> None:
    """What was answered with 201 is there once, in one order; who was beaten to it is told so."""
    pages = [browser(book) for book in two]
    before = two[0].store.count()

    def pour(number: int) -> tuple[int, str]:
        answer = pages[number % 2].post("/api/v1/events", json=POUR | {"at": NOW.isoformat()})
        return answer.status_code, answer.text

    assert [pour(0)[0], pour(1)[0]] == [201, 201]  # the framework makes ready what it keeps
    with ThreadPoolExecutor(2) as hands:
        done = list(hands.map(pour, range(24)))
    codes = [code for code, _ in done]
    assert {*codes} <= {201, 409}
    assert all("meanwhile" in text for code, text in done if code == 409)
    assert codes.count(201) >= 12
    assert two[0].store.count() == before + 2 + codes.count(201)
    numbers = [one.number for one in two[1].store.read("keg:K1")]
    assert numbers == [*range(1, len(numbers) + 1)]


def test_a_clock_set_back_shuts_nobody_out(tmp_path: Path) -> None:
    """Sessions hold; tries from the time that was do not count for longer than they would."""
    clock = Clock(NOW)
    with Store.open(str(tmp_path / "ullage.db")) as store:
        book = begun(store, clock)
        accounts.make(store, "Ann", PASSWORD, "keeper")
        pages = browser(book, Gate(book))
        for _ in range(MOST_HERE):
            pages.post("/login", data={"name": "Ann", "password": "x"})
        secret = sessions.begin(store, "Ann", clock())
        clock.at = NOW - timedelta(days=30)
        right = {"name": "Ann", "password": PASSWORD}
        assert pages.post("/login", data=right).status_code == 303
        pages.headers["Cookie"] = f"{COOKIE}={secret}"
        assert pages.get("/kegs").status_code == 200
        note = {"kind": "noted", "about": "K1", "text": "before", "at": clock().isoformat()}
        assert pages.post("/api/v1/events", json=note).status_code == 201
        late = POUR | {"at": NOW.isoformat()}
        refused = pages.post("/api/v1/events", json=late)
        assert refused.status_code == 422
        assert "future" in refused.text or "ahead" in refused.text
        clock.at = NOW + WINDOW
        assert pages.post("/api/v1/events", json=late).status_code == 201
