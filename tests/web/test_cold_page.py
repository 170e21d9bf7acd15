"""Keeping cold on a page: the same answer as in the terminal, errors at their fields."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from tests.console import ullage

ASKED = {"temperature": "38 F", "kegs": "3", "kind": "ball-lock-5gal", "from": "68", "room": "70"}


def test_it_says_what_the_terminal_says(client: TestClient) -> None:
    told = ullage("cold", "--temperature", "38 degF", "--kegs", "3", "--json").json
    # independent: the command line reads the same words by its own way
    assert client.get("/build/cold.json", params=ASKED).json() == told


def test_the_answer_stands_first(client: TestClient) -> None:
    page = client.get("/build/cold", params={**ASKED, "tower": "60", "price": "0.2 EUR"}).text
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    assert found[1].startswith("Set 38 °F with a differential of 3 °F")
    assert "EUR a year" in page
    assert "first glass foams" in page
    assert page.count("advised</span>") == 1


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"differential": "99"}, "differential", "no differential"),
        ({"price": "dear"}, "price", "no price"),
        ({"temperature": "75"}, "temperature", "colder"),
        ({"energy": "0 kWh"}, "energy", "out of bounds"),
        ({"energy": "60"}, "temperature", "cannot hold"),
        ({"from": ""}, "from", "This is needed"),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    client: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = client.get("/build/cold", params={**ASKED, **fields})
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]
