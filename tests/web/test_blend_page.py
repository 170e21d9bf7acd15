"""Blended gas on a page: the same answer as in the terminal, errors at their fields."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from tests.console import ullage

ASKED = {"temperature": "38 degF", "volumes": "2.5", "co2": "70 %", "pressure": "", "altitude": "0"}


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    return found[1]


def test_it_says_what_the_terminal_says(client: TestClient) -> None:
    told = ullage(
        "blend", "--temperature", "38 degF", "--volumes", "2.5", "--co2", "70 %", "--json"
    ).json
    # independent: the command line reads the same words by its own way
    assert client.get("/gas/blend.json", params=ASKED).json() == told


def test_the_answer_stands_first(client: TestClient) -> None:
    page = client.get("/gas/blend", params=ASKED).text
    # analytic: see tests/plan/test_blend.py
    assert lead(page).startswith("22.3 psi of a blend with 70 %")
    assert page.index('class="lead"') < page.index("<svg viewBox") < page.index("<caption>")


def test_it_begins_from_a_keg(client: TestClient) -> None:
    page = client.get("/gas/blend", params={"keg": "K2", "co2": "60 %"}).text
    assert 'aria-current="true">K2' in page
    assert 'name="keg" value="K2"' in page


def test_gas_leads_there(client: TestClient) -> None:
    assert 'href="/gas/blend"' in client.get("/gas").text


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"co2": "200 %"}, "co2", "no share"),
        ({"co2": ""}, "pressure", "or both"),
        ({"co2": "", "pressure": "1"}, "pressure", "Not even straight"),
        ({"volumes": ""}, "volumes", "This is needed"),
        ({"temperature": "hot"}, "temperature", "hot"),
        ({"tolerance": "x"}, "tolerance", "x"),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    client: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = client.get("/gas/blend", params={**ASKED, **fields})
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]
