"""What comes from outside stays text, wherever it goes: pages, headers, databases, file names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from tests.web.people import PASSWORD, every_address, log_in, with_people
from ullage.cellar import accounts, passwords
from ullage.cellar.keg_events import Filled, KegAcquired
from ullage.cellar.store import Store
from ullage.errors import AccessError
from ullage.web.app import create_app
from ullage.web.book import Book

HOSTILE = "\"><img src=x onerror=alert(1)>'{{7*7}}</script>"
FIELD = re.compile(r'<input type="password"[^>]*>')


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@pytest.fixture
def door(book: Book) -> Iterator[TestClient]:
    gate = with_people(book)
    with TestClient(create_app(book, gate=gate), follow_redirects=False) as client:
        log_in(client, "Ann", book)
        yield client


def test_names_that_are_markup_stay_text_on_every_page(door: TestClient, book: Book) -> None:
    at = book.clock()
    book.record(KegAcquired(at=at, keg=HOSTILE[:80], keg_kind="ball-lock-5gal", place="freezer"))
    book.record(
        Filled(
            at=at, keg=HOSTILE[:80], batch=HOSTILE[:80], volume_m3=0.019, temperature_k=277.0,
            remark=HOSTILE,
        )
    )  # fmt: skip
    accounts.make(book.store, HOSTILE, PASSWORD, "guest")
    shown = 0
    for method, path in every_address(book):
        if method == "GET":
            text = door.get(f"{path}?back={HOSTILE}", headers={"Accept": "text/html"}).text
            shown += "onerror" in text
            if text.lstrip().startswith("<"):
                assert "<img src=x" not in text, path
                assert "49" not in re.findall(r"img src=x onerror=alert\(1\)&gt;.{0,6}(49)", text)
    assert shown > 5


@pytest.mark.parametrize("said", ["' OR '1'='1", "x'; DROP TABLE account; --", "%", "_", "\\"])
def test_what_is_asked_for_is_no_part_of_the_question(
    door: TestClient, book: Book, said: str
) -> None:
    assert accounts.checked(book.store, said, PASSWORD) is None
    assert door.get("/log", params={"of": said}).status_code in (200, 404)
    found = door.get("/api/v1/events", params={"stream": f"keg:{said}"})
    assert (found.status_code, len(found.json()["events"])) == (200, 0)
    assert book.store.read(f"keg:{said}") == ()
    assert len(accounts.every(book.store)) == 3


def test_asking_changes_nothing(door: TestClient, book: Book) -> None:
    """Whatever a page of another site has a browser load."""
    before = (book.store.marks(), accounts.every(book.store))
    for method, path in every_address(book):
        if method in ("GET", "HEAD", "OPTIONS"):
            door.request(method, path)
            door.request(method, path, params={"name": "Ann", "role": "guest", "do": "make"})
    assert (book.store.marks(), accounts.every(book.store)) == before


def test_every_answer_says_what_it_is(door: TestClient, book: Book) -> None:
    for method, path in (*every_address(book), ("GET", "/static/icon.svg"), ("GET", "/nothing")):
        answer = door.request(method, path)
        if answer.content:
            sort = answer.headers["content-type"]
            needs = sort.startswith("text/") or "xml" in sort
            assert not needs or "charset=utf-8" in sort, (path, sort)
        assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("name", ["../../../x.db", "/etc/passwd", "..\\x", "x\0.jsonl"])
def test_a_file_s_name_is_of_no_matter(door: TestClient, tmp_path: Path, name: str) -> None:
    around = (tmp_path, tmp_path.parent.parent)  # three folders up from where a store may lie
    before = [sorted(folder.iterdir()) for folder in around]
    sent = door.post("/data/log", files={"file": (name, b"no log", "application/jsonl")})
    assert sent.status_code == 422
    assert [
        [one for one in sorted(folder.iterdir()) if "-wal" not in one.name] for folder in around
    ] == [[one for one in then if "-wal" not in one.name] for then in before]
    assert not (tmp_path.parent / "x.db").exists()


@pytest.mark.parametrize(
    "path",
    ["/.git/config", "/static/../app.py", "/static/%2e%2e/app.py", "/static/", "/static",
     "/static/..%2f..%2f..%2fpyproject.toml", "/static//etc/passwd"],
)  # fmt: skip
def test_nothing_but_what_is_meant_is_served(door: TestClient, path: str) -> None:
    assert door.get(path).status_code in (307, 404)


def test_the_commonest_passwords_are_refused() -> None:
    # published: OWASP ASVS 5.0, 6.2.4: the 3,000 commonest of those that are long enough
    common = [one for one in FREQUENCY_LISTS["passwords"] if len(one) >= passwords.SHORTEST]
    assert len(common) > 3000
    for password in common[:3000]:
        with pytest.raises(AccessError, match="will not do"):
            passwords.check(password, "Ann")


def test_passwords_are_hidden_and_a_browser_may_fill_them_in(door: TestClient) -> None:
    seen = 0
    for path in ("/login", "/own-password", "/accounts"):
        for field in FIELD.findall(door.get(path).text):
            assert re.search(r'autocomplete="(current|new)-password"', field)
            assert "value=" not in field
            seen += 1
    assert seen >= 6
    assert "onpaste" not in door.get("/login").text


def test_nobody_is_there_to_begin_with(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "new.db")) as store:
        assert accounts.every(store) == ()
