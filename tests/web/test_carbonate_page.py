"""The carbonation what-if: the pressure as in the terminal, the ways to get there, errors."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from tests.console import ullage
from ullage.web.app import create_app
from ullage.web.book import Book

ANOTHER = {"keg": "", "altitude": "0", "temperature": "38 °F"}


def text_of(page: str, mark: str) -> str:
    found = re.search(rf"{mark}(.*?)</p>", page, re.S)
    assert found is not None
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


@pytest.mark.parametrize("level", [2.2, 2.5, 2.8])
def test_it_says_what_the_terminal_says(client: TestClient, level: float) -> None:
    told = ullage("carbonate", "--json", "--volumes", f"{level}", "--temperature", "38 degF").json
    found = client.get("/carbonate.json", params={**ANOTHER, "volumes": f"{level}"}).json()
    # independent: the command line reads the same words by its own way
    assert found["pressure"] == told


def test_the_pressure_stands_first(client: TestClient) -> None:
    page = client.get("/carbonate", params={**ANOTHER, "volumes": "2.5"}).text
    said = text_of(page, '<p class="lead">')
    # published: Miller 1994 as in docs/models.md: 2.5 volumes at 38 °F need 11.2 psi
    assert float(re.findall(r"Set ([\d.]+) psi", said)[0]) == pytest.approx(11.2, abs=0.3)
    assert "80 % sure" in said


def test_a_pressure_leads_to_a_level(client: TestClient) -> None:
    page = client.get("/carbonate", params={**ANOTHER, "volumes": "", "pressure": "11.2"}).text
    said = text_of(page, '<p class="lead">')
    assert float(re.findall(r"leads to ([\d.]+) vol", said)[0]) == pytest.approx(2.5, abs=0.05)


def test_a_pressure_alone_in_the_address_is_enough(client: TestClient) -> None:
    assert "leads to" in client.get("/carbonate?pressure=11").text


def test_it_begins_from_the_keg_that_is_wanted_soonest(client: TestClient) -> None:
    page = client.get("/carbonate").text
    assert 'name="volumes" id="f-volumes" value="3"' in page
    assert re.search(r'<a href="/carbonate\?keg=K3" aria-current="true">', page)
    assert '<a href="/kegs/K3">Keg K3</a>' in page


def test_the_ways_have_their_days(client: TestClient) -> None:
    question = {**ANOTHER, "volumes": "2.5", "by": "2026-12-20"}
    page = client.get("/carbonate", params=question).text
    assert page.count("<svg") == 1
    assert "advised" in page
    ways = client.get("/carbonate/ways", params=question, headers={"HX-Request": "true"})
    assert "<html" not in ways.text
    data = client.get("/carbonate.json", params=question).json()["ways"]
    assert data["advised"] in [one["method"] for one in data["schedules"]]
    for one in data["schedules"]:
        assert one["title"] in ways.text


def test_the_living_part_does_not_wait_for_the_ways(client: TestClient) -> None:
    answer = client.get("/carbonate", params=ANOTHER, headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="whatif"')
    assert "<svg" not in answer.text


@pytest.mark.parametrize(
    ("question", "field", "said"),
    [
        ({"volumes": "2.5", "pressure": "12"}, "pressure", "one of them"),
        ({"volumes": "", "pressure": ""}, "volumes", "one of them"),
        ({"volumes": "2.5 ft"}, "volumes", "is a length"),
        ({"volumes": "2.5", "temperature": ""}, "temperature", "This is needed"),
        ({"volumes": "2.5", "fg": "12"}, "fg", "is not a gravity of beer"),
        ({"volumes": "2.5", "fg": "1.012"}, "fg", "give its alcohol too"),
        ({"volumes": "2.5", "by": "soon"}, "by", "is not a day"),
        ({"volumes": "2.5", "start": "x"}, "start", "is not a carbonation"),
        ({"volumes": "6", "temperature": "90 °F"}, "volumes", "more pressure than any keg"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    client: TestClient, question: dict[str, str], field: str, said: str
) -> None:
    answer = client.get("/carbonate", params={**ANOTHER, **question})
    assert answer.status_code == 422
    assert said in text_of(answer.text, f'id="f-{field}-error">')
    assert "No answer yet" in answer.text
    data = client.get("/carbonate.json", params={**ANOTHER, **question})
    assert data.status_code == 422
    assert said in data.json()["fields"][field]


def test_a_level_that_no_pressure_holds_is_an_answer(client: TestClient) -> None:
    answer = client.get("/carbonate", params={**ANOTHER, "volumes": "0.1", "temperature": "30 °F"})
    assert answer.status_code == 200
    assert "No pressure holds" in text_of(answer.text, '<p class="lead">')


def test_a_pressure_above_the_rating_is_not_to_be_set(client: TestClient) -> None:
    page = client.get("/carbonate", params={**ANOTHER, "volumes": "4.5", "temperature": "72 °F"})
    assert "Do not set" in text_of(page.text, '<p class="lead">')
    assert '<li class="danger">' in page.text


def test_a_metric_household_reads_grams_and_bar(client: TestClient) -> None:
    page = client.get("/carbonate?keg=&units=metric&volumes=5&temperature=4").text
    assert re.search(r"Set [\d.]+ bar to hold 5 g/L at 4 °C", text_of(page, '<p class="lead">'))


def test_without_a_system_the_usual_is_asked(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        page = client.get("/carbonate").text
    assert "to hold 2.5 vol at 38 °F" in text_of(page, '<p class="lead">')
    assert 'class="chooser"' not in page
    assert "/kegs/" not in page.replace('href="/kegs"', "")
