"""The sharing's page and its data: the same answer as in the terminal, the answer first."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import fresh
from ullage.plan.as_json import plain
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion, Wish
from ullage.web.app import create_app
from ullage.web.book import Book

LIVE = {"HX-Request": "true"}
HERE = "/gas/share"
OTHERS = {"beers": "Pale 2.5; Stout 2.1; Wheat 3.0 @ 45 degF", "regulators": "2"}


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


def test_the_answer_stands_first_then_the_picture_then_the_tables(cellar: TestClient) -> None:
    page = cellar.get(HERE).text
    assert lead(page).startswith("Set regulator to ")
    places = [
        page.index(part)
        for part in (
            'class="lead"',
            '<form id="question"',
            "<svg",
            "<caption>Regulators",
            "<caption>Beers",
            "<caption>Lines",
            "One regulator more or fewer",
            "What drifts",
            "A new keg while the others serve",
            "How this was computed",
        )
    ]
    assert places == sorted(places)
    assert page.count("check valve and a shut-off") == 1
    assert "Never" in page or "never" in page


def test_the_data_is_what_the_library_says(cellar: TestClient, book: Book) -> None:
    present = book.present()
    question = ShareQuestion(2, (Wish("K3", "regulator"),))
    # independent: asked of the library
    own = plain(share(present.system, question, present.at))
    assert cellar.get(f"{HERE}.json?regulators=2&keep=K3%3Dregulator").json() == own
    assert cellar.get("/api/v1/share?regulators=2&keep=K3=regulator").json() == own


def test_the_address_holds_the_question(cellar: TestClient) -> None:
    page = cellar.get(HERE, params={"regulators": "2", "keep": "K3=regulator"}).text
    assert 'value="K3=regulator"' in page
    assert f"{HERE}.json?regulators=2&amp;keep=K3%3Dregulator" in page
    assert "Hang anew: K1 to new regulator and K2 to new regulator." in page


def test_other_beers_stand_at_their_own_temperatures(cellar: TestClient) -> None:
    told = cellar.get(f"{HERE}.json", params=OTHERS).json()
    kelvins = {one["beer"]: one["temperature_k"] for one in told["beers"]}
    assert kelvins["Wheat"] == pytest.approx(280.37, abs=0.02)
    assert kelvins["Pale"] == pytest.approx(276.48, abs=0.02)
    assert [one["regulator"] for one in told["settings"]] == ["regulator 1", "regulator 2"]
    page = cellar.get(HERE, params=OTHERS).text
    assert 'aria-current="true">any other beers</a>' in page


def test_only_the_living_part_for_the_script(cellar: TestClient) -> None:
    part = cellar.get(HERE, headers=LIVE).text
    assert part.lstrip().startswith('<div id="whatif"')
    assert "<html" not in part


def test_an_empty_log_asks_about_other_beers(empty_book: Book) -> None:
    client = TestClient(create_app(empty_book))
    page = client.get(HERE)
    assert page.status_code == 200
    assert lead(page.text).startswith("Set regulator 1 to ")
    wrong = client.get(HERE, params={"beers": ""})
    assert wrong.status_code == 422
    assert "no keg of yours holds beer" in wrong.text


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"regulators": "many"}, "regulators", "Choose one of"),
        ({"keep": "K3"}, "keep", "which keg stays where"),
        ({"keep": "K9=regulator"}, "keep", "K9"),
        ({"temperature": "38 psi"}, "temperature", "38 psi"),
        ({"carbonate": "K9"}, "carbonate", "Choose one of"),
        ({"beers": "Pale"}, "beers", "not a beer with its level"),
        ({"beers": "2.5", "temperature": ""}, "temperature", "This is needed"),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    cellar: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = cellar.get(HERE, params=fields)
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]
    data = cellar.get(f"{HERE}.json", params=fields)
    assert data.status_code == 422
    assert where in data.json()["fields"]


@pytest.mark.parametrize(
    ("query", "code", "told"),
    [
        ("regulators=0", 422, "regulators"),
        ("regulators=13", 422, "regulators"),
        ("keep=K3", 422, "which keg stays where"),
        ("keep=K9=regulator", 404, "K9"),
        ("carbonate=K9", 404, "K9"),
        ("temperature_k=100", 422, "temperature_k"),
        ("nonsense=1", 422, "nonsense"),
    ],
)
def test_the_api_refuses_in_json(cellar: TestClient, query: str, code: int, told: str) -> None:
    answer = cellar.get(f"/api/v1/share?{query}")
    assert answer.status_code == code
    assert told in " ".join(answer.json()["detail"])


def test_the_api_is_described(cellar: TestClient) -> None:
    paths: dict[str, Any] = cellar.get("/openapi.json").json()["paths"]
    told = paths["/api/v1/share"]["get"]
    assert {one["name"] for one in told["parameters"]} == {
        "regulators",
        "keep",
        "temperature_k",
        "carbonate",
        "price",
    }
    assert "ShareAnswer" in str(told["responses"]["200"])
    assert f"{HERE}.json" in paths


@pytest.mark.parametrize("path", ["/gas", "/pour", "/plan"])
def test_it_is_linked_from_where_one_would_ask(cellar: TestClient, path: str) -> None:
    assert f'href="{HERE}"' in cellar.get(path).text


def test_the_finding_leads_here(cellar: TestClient) -> None:
    assert "Share the regulators out anew" in cellar.get("/plan").text


def test_a_fresh_book_is_there_for_the_api_too(tmp_path: Any) -> None:
    answer = TestClient(create_app(fresh(tmp_path))).get("/api/v1/share")
    assert answer.status_code == 422
    assert "No keg with beer" in answer.json()["detail"][0]


def test_a_price_given_shows_what_one_more_costs(cellar: TestClient) -> None:
    before = cellar.get(HERE).text
    assert "Costs more" not in before
    assert 'name="price-regulator"' in before
    asked = {"price-regulator": "45-60"}
    page = cellar.get(HERE, params=asked).text
    assert "Costs more" in page
    # analytic: what is there costs nothing more, one regulator more is one price
    assert "<td>0.00</td>" in page
    assert re.search(r"<td>45\.00 to 60\.00, without Gas manifold", page)
    assert 'name="price-manifold-2"' in page
    assert "price-regulator=45-60" in page  # the address of the data
    both = cellar.get(HERE, params={**asked, "price-manifold-2": "20"}).text
    assert re.search(r"<td>65\.00 to 80\.00, without Check valve", both)


def test_a_price_is_in_the_data_and_a_wrong_one_is_told_at_its_field(cellar: TestClient) -> None:
    asked = {"price-regulator": "45"}
    told = cellar.get(f"{HERE}.json", params=asked).json()["trade_offs"]
    assert [one["cost_low"] for one in told][:2] == [0.0, 45.0]
    assert (
        cellar.get("/api/v1/share", params={"price": "regulator=45"}).json()["trade_offs"] == told
    )
    wrong = cellar.get(HERE, params={"price-regulator": "dear"})
    assert wrong.status_code == 422
    assert "is no price" in wrong.text
    assert cellar.get("/api/v1/share", params={"price": "regulatr=45"}).status_code == 422
    assert cellar.get("/api/v1/share", params={"price": "45"}).status_code == 422
