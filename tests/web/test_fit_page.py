"""The fit's page: the same answer as in the terminal, drawn, with the middles to tape."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.console import ullage
from ullage.plan.begin import begin
from ullage.system.file import parse_system
from ullage.web.app import create_app
from ullage.web.book import Book

LIVE = {"HX-Request": "true"}
ROOM = {"place": "", "width": "25 in", "depth": "20 in", "height": "32 in", "step": "none"}


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


def asked(client: TestClient, **fields: str) -> Any:
    answer = client.get("/build/fit.json", params={**ROOM, **fields})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_it_says_what_the_terminal_says(client: TestClient) -> None:
    told = ullage("fit", "--inside", "25 in x 20 in x 32 in", "--kegs", "4", "--json").json
    # independent: the command line reads the same words by its own way
    assert asked(client, kegs="4") == told


def test_the_answer_stands_first_then_the_picture(client: TestClient) -> None:
    page = client.get("/build/fit", params={**ROOM, "kegs": "4"}).text
    assert lead(page).startswith("It fits: four kegs stand with")
    assert page.index('class="lead"') < page.index('<form id="question"') < page.index("<svg")
    assert page.count('<th scope="row">K') == 4
    assert "never drill" in page


def test_most_is_asked_for_unless_a_number_is_given(client: TestClient) -> None:
    told = asked(client)
    assert told["most"][0]["count"] == len(told["standing"]) == 5


def test_what_does_not_fit_shows_the_most_that_do(client: TestClient) -> None:
    page = client.get("/build/fit", params={**ROOM, "width": "15", "depth": "15", "kegs": "2"}).text
    assert "that is proved" in lead(page)
    assert "Drawn: the most that stand" in page
    assert page.count('<th scope="row">K') == 1


def test_a_place_that_was_never_measured_lends_its_kegs_kind(client: TestClient) -> None:
    page = client.get("/build/fit?place=freezer").text
    assert '<a href="/build/fit?place=freezer" aria-current="true">freezer</a>' in page
    assert lead(page).startswith("It fits")


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"width": "9 gal"}, "width", "not a length"),
        ({"width": ""}, "width", "This is needed"),
        ({"step": "back", "step_depth": ""}, "step_depth", "its depth is needed"),
        ({"step": "back", "step_depth": "6", "step_height": "40"}, "step_height", "as much as"),
        ({"bulge": "21"}, "bulge", "touch the back wall"),
        ({"shelf": "33"}, "shelf", "above height"),
        ({"collar": "6"}, "collar", "under a lid"),
        ({"kegs": "there"}, "kegs", "Begin from a place"),
        ({"kegs": "77"}, "kegs", "Choose one of"),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    client: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = client.get("/build/fit", params={**ROOM, **fields})
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]
    assert client.get("/build/fit.svg", params={**ROOM, **fields}).status_code == 422


def test_the_drawing_for_the_printer(client: TestClient) -> None:
    answer = client.get("/build/fit.svg", params={**ROOM, "kegs": "3"})
    assert answer.headers["content-type"] == "image/svg+xml; charset=utf-8"
    assert "Middles, from the front left corner" in answer.text


def test_only_the_living_part_for_the_script(client: TestClient) -> None:
    part = client.get("/build/fit", params=ROOM, headers=LIVE).text
    assert part.lstrip().startswith('<div id="whatif"')
    assert "<html" not in part


def test_where_not_one_stands_it_says_why(client: TestClient) -> None:
    page = client.get("/build/fit", params={**ROOM, "height": "20"}).text
    assert lead(page) == "It does not fit: one keg cannot stand here, and that is proved."
    assert "K1 needs 29 in of height" in page


def test_a_cylinder_in_a_fridge_that_was_never_measured_stands_inside(empty_book: Book) -> None:
    text = (
        'name = "One"\n[[place]]\nname = "fridge"\ntemperature = "38 degF"\n'
        '[[cylinder]]\nname = "c"\nsize = "10 lb"\nplace = "fridge"\n'
        '[[keg]]\nname = "K1"\nkind = "ball-lock-5gal"\nplace = "fridge"\n'
    )
    at = empty_book.clock()
    begin(empty_book.store, parse_system(text), text, at, at)
    page = TestClient(create_app(empty_book)).get("/build/fit?place=fridge").text
    assert '<option value="inside" selected>' in page
    assert '<option value="10 lb" selected>' in page
