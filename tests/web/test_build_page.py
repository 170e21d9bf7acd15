"""The building page: the parts list of the present system, and what more taps take."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.console import ullage
from tests.web.words import plain
from ullage.system.demo import demo_text
from ullage.web.app import create_app
from ullage.web.book import Book

WEIGHT_LIMIT = 60_000


def test_the_answer_comes_first(client: TestClient) -> None:
    answer = client.get("/build")
    assert answer.status_code == 200
    words = plain(answer.text)
    assert re.search(r"\d+ of 19 joints mate as they are", words)
    order = ["joints mate", "What does not match", "To buy", "Joint by joint", "Before gas goes on"]
    found = [words.index(word) for word in order]
    assert found == sorted(found)
    assert len(gzip.compress(answer.content)) < WEIGHT_LIMIT


def test_it_says_what_the_terminal_says(cellar: TestClient, tmp_path: Path) -> None:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    told = ullage("parts", "--json", str(path)).json
    found = cellar.get("/build.json").json()["parts"]
    # independent: the command line
    assert found["parts"] == told["parts"]
    assert found["joints"] == told["joints"]


def test_it_leads_to_the_fit_and_to_its_data(client: TestClient) -> None:
    page = client.get("/build").text
    assert 'href="/build/fit"' in page
    assert 'href="/build.json"' in page
    assert re.search(r'href="/build"[^>]*aria-current="page"', page)


def test_more_taps_are_asked_in_the_address(client: TestClient) -> None:
    words = plain(client.get("/build?taps=5&volumes=2.5").text)
    assert "From 3 to 5 taps" in words
    grown = client.get("/build.json?taps=5&volumes=2.5").json()["growth"]
    assert (grown["taps_before"], grown["taps_after"]) == (3, 5)


def test_the_script_gets_the_what_if_alone(client: TestClient) -> None:
    answer = client.get("/build?taps=4", headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="whatif"')
    assert "Joint by joint" not in answer.text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("taps", "3", "Give more than the 3 there are".lower()),
        ("taps", "many", "choose one of"),
        ("volumes", "3 ft", "is a length"),
        ("volumes", "9", "out of bounds"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    client: TestClient, field: str, typed: str, said: str
) -> None:
    answer = client.get("/build", params={"taps": "4", field: typed})
    assert answer.status_code == 422
    wrong = re.search(rf'id="f-{field}-error">(.*?)</p>', answer.text, re.S)
    assert wrong is not None
    assert said in wrong[1].lower()
    data = client.get("/build.json", params={"taps": "4", field: typed})
    assert data.status_code == 422
    assert said in data.json()["fields"][field].lower()


def test_cautions_stand_before_the_gas_once(client: TestClient) -> None:
    page = client.get("/build").text
    for words in ("Keep the cylinder upright", "never drill", "closed small room"):
        assert page.count(words) == 1


def test_without_a_system_there_is_nothing_to_join(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        page = plain(client.get("/build").text)
        assert "Nothing is described yet" in page
        assert client.get("/build.json").json() == {"parts": None, "growth": None}


def test_below_a_base_path_its_links_hold(book: Book) -> None:
    with TestClient(create_app(book, "/beer")) as client:
        page = client.get("/beer/build").text
    assert 'href="/beer/build/fit"' in page
    assert not re.search(r'(href|action|hx-get)="/(?!beer)', page)
