"""The gas: each cylinder by the log, what it is good for, and the what-if of any cylinder."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from tests.console import ullage
from tests.draw import samples
from ullage.cellar.events import Event
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
)
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.gas_views import log_rows

POUND = 0.45359237
ASKED = {"size": "10 lb", "mass": "6.5 lb", "temperature": "68 °F", "altitude": "0"}


def leads(page: str) -> list[str]:
    found = re.findall(r'<p class="lead">(.*?)</p>', page, re.S)
    return [" ".join(re.sub(r"<[^>]+>", "", one).split()) for one in found]


def test_each_cylinder_says_what_it_holds(cellar: TestClient) -> None:
    page = cellar.get("/gas").text
    cylinder, what_if = leads(page)
    # analytic: 21.4 lb on the scale less 15.1 lb of tare, less what has gone into the heads
    assert re.search(r"main \(10 lb\) holds 6\.[123] lb of CO2: enough for \d+", cylinder)
    assert "weeks" in cylinder
    assert what_if.startswith("A 10 lb cylinder with 10 lb of CO2")
    assert 'href="/record/cylinder/main/weighed?back=%2Fgas"' in page
    assert "As things go it is empty about" in page


def test_the_log_says_what_went_between_weighings(book: Book) -> None:
    at = book.clock() + timedelta(hours=9)
    later = Book(book.store, lambda: at)
    later.record(
        CylinderWeighed(at=at - timedelta(hours=8), cylinder="main", contents_kg=6.0 * POUND),
        CylinderWeighed(at=at - timedelta(hours=1), cylinder="main", contents_kg=5.0 * POUND),
        CylinderRead(at=at, cylinder="main", gauge_pressure_pa=5.6e6, temperature_k=293.0),
    )
    with TestClient(create_app(later)) as client:
        page = client.get("/gas").text
    assert "holds 5 lb of CO2" in leads(page)[0]
    # analytic: 6 lb less 5 lb
    assert "1 lb less than on" in page
    rows = page[page.index("Its log") :]
    assert rows.index("psi") < rows.index("5 lb") < rows.index("connected")


def notes(*events: Event) -> list[str]:
    """What is said beside a log of a cylinder, the oldest first."""
    return [row.note for row in reversed(log_rows(events, samples.START, "metric"))]


def test_what_went_from_a_full_one_goes_by_the_gas_in_it() -> None:
    at = [samples.START + timedelta(days=days) for days in range(-6, 0)]
    connected = CylinderConnected(at=at[0], cylinder="gas", size="5 lb")
    to_blend = CylinderSwapped(at=at[1], cylinder="gas", co2_share=0.25)
    weighed = CylinderWeighed(at=at[2], cylinder="gas", contents_kg=0.5)
    refilled = CylinderSwapped(at=at[3], cylinder="gas")
    to_co2 = CylinderSwapped(at=at[3], cylinder="gas", co2_share=1.0)
    again = weighed.model_copy(update={"at": at[4], "id": "0" * 32})
    # independent: 5 lb are 3.335 L, which hold 692 g of the blend at 140 bar (0.61 kg of an ideal
    # gas, some 12 % more as it is far from ideal); 5 lb less 500 g are 1.77 kg
    went = notes(connected, to_blend, weighed, refilled, again)
    assert [one.split(" less")[0] for one in went] == ["", "", "192 g", "", "192 g"]
    assert notes(connected, weighed)[1].startswith("1.77 kg less than on")
    assert notes(connected, to_blend, to_co2, again)[3].startswith("1.77 kg less than on")
    assert notes(refilled, again) == ["", ""]  # what size it is of is not in the log
    rows = log_rows([connected, to_blend, weighed], samples.START, "metric")
    assert not [row.what for row in rows if "of CO2" in row.what]


def test_it_says_what_the_terminal_says(client: TestClient) -> None:
    told = ullage("gas", "--json", "--cylinder", "10 lb", "--mass", "6.5 lb").json
    found = client.get("/gas.json", params=ASKED).json()["what_if"]
    # independent: the command line; but the page shows the serving pressure rounded to 0.01 psi
    assert found["remaining_kg"] == told["remaining_kg"]
    assert found["cylinder_gauge_pa"] == told["cylinder_gauge_pa"]
    assert found["kegs_left"] == pytest.approx(told["kegs_left"], rel=1e-3)


def test_the_what_if_begins_from_a_cylinder(client: TestClient) -> None:
    page = client.get("/gas?cylinder=main").text
    assert re.search(r'name="mass"[^>]* value="6\.\d+"', page)
    assert '<option value="10 lb" selected>' in page


def test_above_31_degrees_it_tells_of_no_liquid(client: TestClient) -> None:
    asked = {**ASKED, "size": "5 lb", "mass": "2.5 lb", "temperature": "40 °C"}
    page = client.get("/gas", params=asked).text
    # independent (CoolProp): 340 kg/m³ at 40 °C are 84.27 bar absolute, 1,208 psi on the gauge
    assert "its gauge shows 1,208 psi" in leads(page)[-1]
    found = client.get("/gas.json", params=asked).json()["what_if"]
    assert found["liquid_gone_below_kg"] is None
    assert "there is no liquid in a cylinder" in found["remarks"][0]


def test_the_script_gets_the_what_if_alone(client: TestClient) -> None:
    answer = client.get("/gas", params=ASKED, headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="whatif"')
    assert len(leads(answer.text)) == 1


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("mass", "30 lb", "was the tare taken off?"),
        ("mass", "3 ft", "is a length, not a mass"),
        ("temperature", "", "This is needed"),
        ("temperature", "90 °C", "is out of bounds"),
        ("size", "9 lb", "Choose one of"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    client: TestClient, field: str, typed: str, said: str
) -> None:
    answer = client.get("/gas", params={**ASKED, field: typed})
    assert answer.status_code == 422
    wrong = re.search(rf'id="f-{field}-error">(.*?)</p>', answer.text, re.S)
    assert wrong is not None
    assert said in wrong[1]
    data = client.get("/gas.json", params={**ASKED, field: typed})
    assert data.status_code == 422
    assert said in data.json()["fields"][field]


def test_cautions_stand_where_the_cylinder_is_handled(cellar: TestClient) -> None:
    page = cellar.get("/gas").text
    assert page.count("Keep the cylinder upright") == 1
    assert "closed small room" in page


def test_without_a_system_any_cylinder_can_be_asked_about(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        page = client.get("/gas").text
        data = client.get("/gas.json").json()
    assert len(leads(page)) == 1
    assert "Keep the cylinder upright" in page
    assert data["cylinders"] == []
    assert data["what_if"]["size"] == "10 lb"
