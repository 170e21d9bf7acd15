"""The page of what was learnt: shown first, kept and dropped by a button, the same as data."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.plan.taught import NOW, fill
from tests.web.made_up import fresh
from tests.web.words import plain
from ullage.cellar.learnt import ConstantsKept
from ullage.web.app import create_app
from ullage.web.book import Book


@pytest.fixture
def taught(tmp_path: Path) -> Book:
    """A book with readings of every kind."""
    book = fresh(tmp_path, lambda: NOW)
    fill(book.store)
    return book


@pytest.fixture
def pages(taught: Book) -> Iterator[TestClient]:
    with TestClient(create_app(taught), follow_redirects=False) as client:
        yield client


def test_the_answer_stands_first(pages: TestClient, taught: Book) -> None:
    before = taught.store.count()
    page = plain(pages.get("/learn").text)
    assert "readings tell of" in page
    assert "What the regulator on cylinder main gives over what it shows" in page
    assert "Readings that look wrong" in page
    assert "What would teach most next" in page
    assert "Student’s t" in page
    assert taught.store.count() == before


def test_a_button_keeps_one_constant_and_undo_takes_it_back(
    pages: TestClient, taught: Book
) -> None:
    state = taught.present().status
    sent = pages.post("/learn/keep", data={"name": "gauge main"})
    assert sent.status_code == 303
    event = taught.present().log[-1]
    assert isinstance(event, ConstantsKept)
    assert [*event.constants] == ["gauge main"]
    page = pages.get(sent.headers["Location"]).text
    assert f'action="/undo/{event.id}"' in page
    assert "Kept:" in plain(page)
    assert 'aria-label="Drop: What the regulator' in page
    assert taught.present().status != state
    pages.post("/learn/drop", data={"name": "gauge main"})
    assert taught.present().status == state


def test_all_at_once(pages: TestClient, taught: Book) -> None:
    pages.post("/learn/keep", data={"name": "all"})
    assert len(taught.present().learnt.kept) > 4
    assert 'aria-label="Drop all that is kept"' in pages.get("/learn").text
    pages.post("/learn/drop", data={"name": "all"})
    assert taught.present().learnt.kept == ()


def test_what_is_not_there_is_refused(pages: TestClient, taught: Book) -> None:
    before = taught.store.count()
    assert pages.post("/learn/keep", data={"name": "gauge mian"}).status_code == 422
    assert pages.post("/learn/drop", data={"name": "all"}).status_code == 422
    assert taught.store.count() == before


def test_units_are_the_readers(pages: TestClient) -> None:
    assert "psi" in pages.get("/learn").text
    metric = pages.get("/learn?units=metric").text
    assert " bar" in metric
    shown = plain(metric).partition("How this was computed")[0]  # the sources name a psi
    assert " psi" not in shown


def test_the_same_as_data(pages: TestClient) -> None:
    answer = pages.get("/api/v1/learn").json()
    names = [one["name"] for one in answer["constants"]]
    assert "gauge main" in names
    assert answer["next_readings"][0]["how"]
    described = pages.get("/openapi.json").json()["paths"]["/api/v1/learn"]
    assert "200" in described["get"]["responses"]


def test_an_empty_book_says_what_it_needs(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        assert "Nothing to learn from yet" in plain(client.get("/learn").text)
        assert client.get("/api/v1/learn").json()["constants"] == []


def test_other_pages_go_by_what_is_kept(pages: TestClient, taught: Book) -> None:
    cellar = pages.get("/").text
    usual = taught.present().answer.carbonation[0].gauge_pressure_pa
    pages.post("/learn/keep", data={"name": "all"})
    own = taught.present().answer.carbonation[0].gauge_pressure_pa
    assert own.high - own.low < usual.high - usual.low
    assert pages.get("/").text != cellar


def test_each_reading_that_would_teach_leads_to_where_it_is_written_down(
    pages: TestClient, taught: Book
) -> None:
    page = pages.get("/learn").text
    answer = pages.get("/api/v1/learn").json()
    listed = page.partition('<ol class="next">')[2].partition("</ol>")[0]
    rows = listed.split("<li>")[1:]
    assert len(rows) == len(answer["next_readings"])
    for row, one in zip(rows, answer["next_readings"], strict=True):
        (address,) = re.findall(r'href="([^"]+)"', row)
        form = pages.get(unescape(address)).text
        field = "gross_kg" if one["quantity"] == "contents_kg" else one["quantity"]
        assert f'name="{field}"' in form
        if one["quantity"] != "contents_kg":
            assert re.search(rf'name="{field}"[^>]* autofocus', form)
        assert form.count(" autofocus") <= 1
        assert 'name="back" value="/learn"' in form


def test_what_is_written_down_there_leads_back(pages: TestClient) -> None:
    """What the page asks for can be written down there, and leads back."""
    sent = pages.post(
        "/record/keg/K1/measured", data={"temperature_k": "40 degF", "back": "/learn"}
    )
    assert sent.status_code == 303
    assert sent.headers["Location"].startswith("/learn")
