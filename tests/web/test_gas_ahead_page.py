"""The page of the gas ahead: sentence first, chart, tables, prices typed, the same as data."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from ullage.cellar.other_events import CylinderWeighed
from ullage.plan.as_json import plain
from ullage.plan.gas_ahead import gas_ahead
from ullage.web.app import create_app
from ullage.web.book import Book

PAGE = "/gas/ahead"
DATA = "/api/v1/gas-ahead"


def leads(page: str) -> list[str]:
    found = re.findall(r'<p class="lead">(.*?)</p>', page, re.S)
    return [" ".join(re.sub(r"<[^>]+>", "", one).split()) for one in found]


def test_the_day_comes_first_then_the_picture_then_the_numbers(client: TestClient) -> None:
    page = client.get(PAGE).text
    assert leads(page)[0].startswith("Have cylinder main (10 lb) filled or swapped by ")
    order = [page.index(each) for each in ('class="lead"', "<svg", "<dl", "How this was computed")]
    assert order == sorted(order)
    for said in ("refill by", "A spare?", "What went, month by month", "Another size?"):
        assert said in page


def test_a_longer_lead_is_an_earlier_day(client: TestClient) -> None:
    week, month = (client.get(PAGE, params={"lead": days}).text for days in ("7", "30 days"))
    assert leads(week) != leads(month)
    data = client.get(DATA, params={"lead_days": 30}).json()
    early, late = (data["cylinders"][0][key] for key in ("refill", "empty"))
    assert early["by"] < late["early"]


def test_prices_compare_the_sizes(client: TestClient) -> None:
    typed = {"refill-5-lb": "20", "refill-10-lb": "25-30", "requalification": "40"}
    page = client.get(PAGE, params=typed).text
    assert "cheapest" in page
    assert "Not told: refill 2.5 lb, refill 15 lb, refill 20 lb." in page
    link = re.search(r'href="(/api/v1/gas-ahead[^"]*)"', page)
    assert link is not None
    told = client.get(link[1].replace("&amp;", "&")).json()
    assert told["cylinders"][0]["sizes"]["cheapest"] == "10 lb"


def test_what_a_cylinder_costs_is_told_with_its_size(client: TestClient) -> None:
    page = client.get(PAGE, params={"cylinder-20-lb": "140-180"}).text
    assert re.search(r">20 lb <span[^>]*>[^<]*, 140 to 180 to buy<", page)
    assert "to buy<" not in client.get(PAGE).text
    link = re.search(r'href="(/api/v1/gas-ahead[^"]*)"', page)
    assert link is not None
    rows = client.get(link[1].replace("&amp;", "&")).json()["cylinders"][0]["sizes"]["rows"]
    (big,) = (row for row in rows if row["size"] == "20 lb")
    assert (big["price_low"], big["price_high"]) == (140.0, 180.0)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("lead", "3 psi", "is a pressure, not a duration"),
        ("lead", "2 years", "is out of bounds"),
        ("refill-5-lb", "cheap", "is no price"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    client: TestClient, field: str, typed: str, said: str
) -> None:
    answer = client.get(PAGE, params={field: typed})
    assert answer.status_code == 422
    wrong = re.search(rf'id="f-{field}-error">(.*?)</p>', answer.text, re.S)
    assert wrong is not None
    assert said in wrong[1]


def test_the_script_gets_the_living_part_alone(client: TestClient) -> None:
    answer = client.get(PAGE, headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="whatif"')


def test_the_data_are_the_answer(cellar: TestClient, book: Book) -> None:
    present = book.present()
    told = cellar.get(DATA).json()
    assert told == plain(gas_ahead(present.log, present.at, system=present.system))
    assert cellar.get(DATA, params={"lead_days": 91}).status_code == 422
    wrong = cellar.get(DATA, params={"refill": "9 lb=3"})
    assert wrong.status_code == 422
    assert "no size of cylinder" in wrong.json()["detail"][0].lower()


def test_a_leak_is_told_with_where_to_test_for_it(book: Book) -> None:
    at = book.clock() + timedelta(days=30)
    later = Book(book.store, lambda: at)
    later.record(
        CylinderWeighed(at=at - timedelta(days=28), cylinder="main", contents_kg=2.5),
        CylinderWeighed(at=at - timedelta(days=1), cylinder="main", contents_kg=1.2),
    )
    with TestClient(create_app(later)) as client:
        page = client.get(PAGE).text
    assert "<strong>Leak likely</strong>" in page
    assert 'href="/faults/leak"' in page


def test_it_is_linked_from_the_gas_and_the_cellar(client: TestClient) -> None:
    for path in ("/gas", "/", "/record/cylinder/main"):
        assert f'href="{PAGE}"' in client.get(path).text, path


def test_without_a_log_it_says_how_to_begin(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        page = client.get(PAGE)
        data = client.get(DATA).json()
    assert page.status_code == 200
    assert "No cylinder is written down yet" in leads(page.text)[0]
    assert data["cylinders"] == []
