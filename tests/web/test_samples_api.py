"""Readings sent in with a token, and how each sensor stands, as data."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from ullage.cellar import samples, tokens
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.web.api.route import LARGEST_BODY
from ullage.web.app import create_app
from ullage.web.book import Book

PATH = "/api/v1/samples"
SENSORS = """
[[sensor]]
name = "probe"
of = "place:freezer"
measures = "temperature"
unit = "degC"

[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
writes = true
"""


def describe(book: Book) -> None:
    """Put the sensors into the household's file."""
    book.store.put_document(SYSTEM_DOCUMENT, book.system_text()[0] + SENSORS)


@pytest.fixture
def sensed(book: Book) -> Iterator[TestClient]:
    describe(book)
    with TestClient(create_app(book), follow_redirects=False) as client:
        yield client


@pytest.fixture
def secret(book: Book) -> dict[str, str]:
    return {"Authorization": f"Bearer {tokens.make(book.store, 'probe')}"}


def kept(book: Book) -> int:
    with book.store.reading() as connection:
        return samples.count(connection, book.store.cellar)


def test_one_number_is_taken(sensed: TestClient, book: Book, secret: dict[str, str]) -> None:
    answer = sensed.post(PATH, json={"source": "probe", "value": 4.0}, headers=secret)
    assert answer.status_code == 201
    told = {"new": 1, "known": 0, "late": 0, "refused": [], "facts": [], "doubts": []}
    assert answer.json() == told
    now = next(one for one in sensed.get(PATH).json() if one["source"] == "probe")
    assert (now["value"], now["unit"], now["age_s"]) == (pytest.approx(277.15), "K", 0.0)


def test_several_are_taken_each_by_itself(
    sensed: TestClient, book: Book, secret: dict[str, str]
) -> None:
    at = book.clock().isoformat()
    body: list[dict[str, Any]] = [
        {"source": "probe", "value": "39.2 degF", "at": at},
        {"source": "probe", "value": 4, "at": at},  # the same: 39.2 °F are 4 °C
        {"source": "prob", "value": 4},
        {"source": "probe", "value": "4 kg"},
        {"source": "probe", "value": 400},
    ]
    answer = sensed.post(PATH, json=body, headers=secret).json()
    assert (answer["new"], answer["known"]) == (1, 1)
    assert [one["index"] for one in answer["refused"]] == [2, 3, 4]
    assert 'did you mean "probe"?' in answer["refused"][0]["why"]
    assert kept(book) == 1


def test_a_request_may_be_sent_again(
    sensed: TestClient, book: Book, secret: dict[str, str]
) -> None:
    body = {"source": "probe", "value": 4.0, "at": book.clock().isoformat()}
    codes = [sensed.post(PATH, json=body, headers=secret).status_code for _ in range(2)]
    assert codes == [201, 200]
    assert kept(book) == 1


def test_where_all_are_refused_the_code_says_so(sensed: TestClient, secret: dict[str, str]) -> None:
    answer = sensed.post(PATH, json={"source": "prob", "value": 4.0}, headers=secret)
    assert answer.status_code == 422
    assert "no sensor is called" in answer.json()["detail"][0]


def test_a_glass_comes_back_as_a_fact(
    sensed: TestClient, book: Book, secret: dict[str, str]
) -> None:
    start = book.clock() - timedelta(seconds=-1)
    book.clock = lambda: start + timedelta(minutes=10)  # type: ignore[misc]
    body = [
        {
            "source": "K1 scale",
            "value": 20.0 if index < 30 else 19.6,
            "at": (start + timedelta(seconds=10 * index)).isoformat(),
        }
        for index in range(60)
    ]
    (fact,) = sensed.post(PATH, json=body, headers=secret).json()["facts"]
    assert (fact["kind"], fact["keg"], fact["source"]) == ("poured", "K1", "K1 scale")
    assert "by sensor K1 scale" in sensed.get("/log").text
    undone = sensed.post(f"/api/v1/events/{fact['id']}/undo")
    assert undone.status_code == 201


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Authorization": "Bearer nonsense"},
        {"Authorization": "Basic cHJvYmU6eA=="},
        {"Authorization": "Bearer "},
    ],
)
def test_without_a_good_token_nothing_is_taken(
    sensed: TestClient, book: Book, headers: dict[str, str]
) -> None:
    answer = sensed.post(PATH, json={"source": "probe", "value": 4.0}, headers=headers)
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    (sentence,) = answer.json()["detail"]
    assert "ullage token new NAME" in sentence
    assert kept(book) == 0


def test_a_revoked_token_is_good_no_more(
    sensed: TestClient, book: Book, secret: dict[str, str]
) -> None:
    tokens.revoke(book.store, "probe")
    answer = sensed.post(PATH, json={"source": "probe", "value": 4.0}, headers=secret)
    assert answer.status_code == 401


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({}, 201),
        ({"Origin": "http://testserver"}, 201),
        ({"Origin": "http://elsewhere"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
    ],
)
def test_a_page_of_another_site_cannot_use_one(
    sensed: TestClient, secret: dict[str, str], more: dict[str, str], code: int
) -> None:
    answer = sensed.post(PATH, json={"source": "probe", "value": 4.0}, headers=secret | more)
    assert answer.status_code == code


@pytest.mark.parametrize(
    ("body", "code", "told"),
    [
        (b"{", 422, ""),
        (b"[]", 422, "at least 1 item"),
        (b'{"source": "probe"}', 422, "value: Field required"),
        (b'{"source": "probe", "value": 4, "unit": "degC"}', 422, "unit: Extra inputs"),
        (b'{"source": "probe", "value": NaN}', 422, "value"),
        (b'{"source": "probe", "value": 4, "at": "2026-11-26T18:00:00"}', 422, "at: "),
        (b" " * (LARGEST_BODY + 1), 413, "1,000,000 bytes"),
    ],
)
def test_what_cannot_be_read_is_told(
    sensed: TestClient, secret: dict[str, str], body: bytes, code: int, told: str
) -> None:
    headers = secret | {"Content-Type": "application/json"}
    answer = sensed.post(PATH, content=body, headers=headers)
    assert answer.status_code == code
    assert told in " ".join(answer.json()["detail"])


def test_a_sensor_that_said_nothing_is_listed(sensed: TestClient) -> None:
    found = {one["source"]: one for one in sensed.get(PATH).json()}
    assert found["K1 scale"] == {
        "source": "K1 scale",
        "of": "keg:K1",
        "quantity": "weight",
        "writes": True,
        "unit": "kg",
        "value": None,
        "at": None,
        "age_s": None,
        "facts": 0,
    }


def test_without_sensors_the_list_is_empty(cellar: TestClient) -> None:
    assert cellar.get(PATH).json() == []
