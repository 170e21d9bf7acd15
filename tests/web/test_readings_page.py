"""The page of sensors: how each stands, and tokens made and revoked."""

from __future__ import annotations

import re
from datetime import timedelta

from starlette.testclient import TestClient

from tests.web.test_samples_api import describe
from tests.web.words import plain
from ullage.cellar import tokens
from ullage.plan.sensed import Reading, take_in
from ullage.web.app import create_app
from ullage.web.book import Book


def speak(book: Book) -> None:
    """Both sensors, for two hours up to six o'clock; a glass is poured by weight."""
    describe(book)
    begun = book.clock()
    now, told = begun + timedelta(hours=6), []
    book.clock = lambda: now  # type: ignore[misc]
    for index in range(120):
        at = now - timedelta(minutes=119 - index)
        told.append(Reading("probe", at, 276.15 + index % 3))
        told.append(Reading("K1 scale", at, 20.0 if index < 90 else 19.6))
    assert len(take_in(book.store, told, now).followed.facts) == 2


def test_the_data_page_leads_there(cellar: TestClient) -> None:
    assert 'href="/readings"' in cellar.get("/data").text


def test_with_no_sensor_it_says_how_to_connect_one(cellar: TestClient) -> None:
    words = plain(cellar.get("/readings").text)
    assert "No sensor yet: the system file describes none." in words
    assert "[[sensor]]" in words
    assert "ullage listen --broker" in words
    assert "http://testserver/api/v1/samples" in words


def test_each_sensor_stands_with_its_newest_reading(cellar: TestClient, book: Book) -> None:
    speak(book)
    page = cellar.get("/readings?units=metric").text
    words = plain(page)
    assert "temperature of place freezer" in words
    assert "just now" in words
    assert "3 °C to 5 °C today" in words  # 276.15 and 278.15 K
    assert page.count("<svg") >= 2
    assert "Kept, but writes nothing down." in words
    assert "Wrote down 2 facts." in words
    assert "keg K1: poured" in words
    assert 'href="/log?of=keg%3AK1"' in page


def test_who_is_silent_is_named_first(cellar: TestClient, book: Book) -> None:
    describe(book)
    now = book.clock()
    take_in(book.store, [Reading("probe", now, 277.0)], now)
    words = plain(cellar.get("/readings").text)
    assert "Nothing from “K1 scale” within the last hour." in words
    assert "has said nothing yet" in words
    take_in(book.store, [Reading("K1 scale", now, 20.0)], now)
    assert "All 2 sensors speak." in plain(cellar.get("/readings").text)


def test_a_token_is_shown_once(cellar: TestClient, book: Book) -> None:
    answer = cellar.post("/readings/tokens", data={"name": "probe"})
    assert answer.status_code == 201
    assert answer.headers["cache-control"] == "no-store"
    found = re.search(rf"{tokens.BEGINS}[\w-]{{43}}", answer.text)
    assert found is not None
    assert tokens.bearer(book.store, found[0]) is not None
    again = cellar.get("/readings").text
    assert tokens.BEGINS not in again
    assert "Revoke the token probe" in again


def test_a_token_is_revoked(cellar: TestClient, book: Book) -> None:
    tokens.make(book.store, "probe")
    answer = cellar.post("/readings/tokens/revoke", data={"name": "probe"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/readings")
    assert tokens.every(book.store) == ()
    assert cellar.post("/readings/tokens/revoke", data={"name": "probe"}).status_code == 404


def test_a_token_needs_a_name_of_its_own(cellar: TestClient, book: Book) -> None:
    tokens.make(book.store, "probe")
    for name, said in (("probe", "is good already"), ("", "say what will use it")):
        answer = cellar.post("/readings/tokens", data={"name": name})
        assert answer.status_code == 422
        assert said in plain(answer.text)
        assert 'aria-invalid="true"' in answer.text


def test_a_page_of_another_site_makes_none(cellar: TestClient, book: Book) -> None:
    answer = cellar.post(
        "/readings/tokens", data={"name": "x"}, headers={"Origin": "http://elsewhere"}
    )
    assert answer.status_code == 403
    assert tokens.every(book.store) == ()


def test_below_a_proxy_s_path(book: Book) -> None:
    speak(book)
    with TestClient(create_app(book, "/beer"), follow_redirects=False) as client:
        page = client.get("/beer/readings").text
        assert 'action="/beer/readings/tokens"' in page
        assert "/beer/api/v1/samples" in page
