"""What the application answers, header by header and word by word."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from datetime import datetime
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from starlette.testclient import TestClient

from tests.draw import samples
from ullage.errors import OutOfRange
from ullage.plan.answers import WholeAnswer
from ullage.units import UnitSystem
from ullage.web.app import create_app
from ullage.web.headers import POLICY, SECURITY

WEIGHT_LIMIT = 60_000
ADDRESSES = ("/", "/healthz", "/plan.json", "/nothing", "/static/sheet.css", "/static/nothing")


class Headings(HTMLParser):
    """Gathers the levels of a page's headings."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.levels: list[int] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))


def plain(page: str) -> str:
    """The page's words, without its tags."""
    return " ".join(re.sub(r"<[^>]+>", "", page).split())


def failing(wrong: Exception) -> TestClient:
    def ask(units: UnitSystem | None, now: datetime) -> WholeAnswer:
        raise wrong

    return TestClient(create_app(ask=ask), raise_server_exceptions=False)


def test_the_answers_come_first(client: TestClient) -> None:
    words = plain(client.get("/").text)
    assert "Set 13.1 psi; the Wheat is ready on Friday 4 December." in words
    assert "Pours a US pint in 7.4 s through 6 ft of line; fit 10 ft to fill it in 10 s." in words
    assert words.index("Set 13.1 psi") < words.index("The system") < words.index("Carbonation")


def test_every_part_of_the_sheet_is_there(client: TestClient) -> None:
    words = plain(client.get("/").text)
    for said in (
        "Burst at 40 psi for a day, then 13.1 psi",
        "Lengths of line",
        "The cylinder main (5 lb) holds 3.7 lb of CO2: enough for about 8 more kegs (6 to 9)",
        "Fit a secondary regulator for the porter",
        "Air the room: CO2 gathers in low places.",
        "How this was computed",
        "Plan of the whole system",
    ):
        assert said in words


def test_units_can_be_switched_by_a_link(client: TestClient) -> None:
    page = client.get("/?units=metric&theme=blueprint").text
    assert "Set 0.9 bar; the Wheat" in plain(page)
    assert "half litre in 7.8 s" in plain(page)
    assert 'href="/?units=us&amp;theme=blueprint"' in page
    assert 'data-theme="blueprint"' in page
    assert "data-theme" not in client.get("/").text


def test_headings_go_down_one_by_one(client: TestClient) -> None:
    levels = Headings(client.get("/").text).levels
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_the_page_keeps_its_own_policy(client: TestClient) -> None:
    page = client.get("/").text
    assert "<script" not in page
    assert "<style" not in page
    assert not re.search(r"\s(style|on\w+)=", page)
    assert not re.search(r'(href|src)="(https?:)?//', page)


def test_it_weighs_little(client: TestClient) -> None:
    files = ("/", "/static/sheet.css", "/static/print.css", "/static/icon.svg")
    assert sum(len(gzip.compress(client.get(one).content)) for one in files) <= WEIGHT_LIMIT


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_answer_bears_the_security_headers(client: TestClient, address: str) -> None:
    headers = client.get(address).headers
    assert {name: headers.get(name) for name in SECURITY} == SECURITY
    assert headers["Content-Security-Policy"] == POLICY


def test_files_say_how_long_they_may_be_kept(client: TestClient) -> None:
    kept = {
        address: client.get(address).headers["Cache-Control"]
        for address in ("/", "/static/sheet.css", "/static/sheet.css?v=1", "/healthz")
    }
    assert kept == {
        "/": "no-cache",
        "/static/sheet.css": "public, max-age=86400",
        "/static/sheet.css?v=1": "public, max-age=31536000, immutable",
        "/healthz": "no-store",
    }


def test_fonts_come_from_here(client: TestClient) -> None:
    sheet = client.get("/static/sheet.css").text
    fonts = re.findall(r'url\("([^"]+)"\)', sheet)
    assert len(fonts) == 3
    assert {client.get(f"/static/{font}").status_code for font in fonts} == {200}


def test_the_plan_as_data(client: TestClient) -> None:
    answer = client.get("/plan.json")
    assert answer.headers["Content-Type"] == "application/json"
    first = answer.json()["carbonation"][0]
    assert first["beer"] == "Wheat"
    assert first["gauge_pressure_pa"] == pytest.approx(13.1 * samples.PSI)
    assert first["wanted_by"] == "2026-12-05T18:00:00-06:00"


def test_the_interface_describes_itself(client: TestClient) -> None:
    paths = client.get("/openapi.json").json()["paths"]
    assert set(paths) == {"/plan.json", "/healthz"}


def test_health_and_head(client: TestClient) -> None:
    assert client.get("/healthz").text == "ok\n"
    assert client.head("/").status_code == 200
    assert client.head("/").content == b""


def test_what_is_not_there_says_so_in_the_same_look(client: TestClient) -> None:
    answer = client.get("/nothing")
    assert answer.status_code == 404
    assert "Nothing drawn here" in plain(answer.text)
    assert "title-block" in answer.text
    assert client.get("/nothing.json").json()["error"] == "Nothing drawn here"


def test_an_unknown_unit_is_refused_with_what_is_known(client: TestClient) -> None:
    answer = client.get("/?units=<b>")
    assert answer.status_code == 422
    assert "units: Input should be" in plain(answer.text)
    assert "<b>" not in answer.text


def test_what_physics_refuses_is_told() -> None:
    answer = failing(OutOfRange("40 °C is warmer than beer is served")).get("/")
    assert answer.status_code == 422
    assert "40 °C is warmer than beer is served" in plain(answer.text)


def test_a_fault_of_ours_shows_no_insides() -> None:
    answer = failing(RuntimeError("secret inside")).get("/")
    assert answer.status_code == 500
    assert "Something broke" in plain(answer.text)
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["Content-Security-Policy"] == POLICY


def test_without_a_system_it_says_how_to_begin() -> None:
    empty = TestClient(create_app())
    assert "ullage demo" in plain(empty.get("/").text)
    assert empty.get("/plan.json").status_code == 404


def ask_metric(units: UnitSystem | None, now: datetime) -> WholeAnswer:
    assert now.tzinfo is not None
    return samples.whole()


@pytest.fixture
def mounted() -> Iterator[TestClient]:
    with TestClient(create_app(base_path="/beer/", ask=ask_metric)) as client:
        yield client


def test_it_can_live_below_a_path(mounted: TestClient) -> None:
    page = mounted.get("/beer/").text
    addresses = re.findall(r'(?:href|src)="(/[^"]*)"', page)
    assert addresses
    assert all(one.startswith("/beer/") for one in addresses)
    assert mounted.get("/beer/static/sheet.css").status_code == 200


def test_the_answer_is_asked_once_a_minute() -> None:
    asked = []

    def ask(units: UnitSystem | None, now: datetime) -> WholeAnswer:
        asked.append((units, now))
        return samples.whole()

    busy = TestClient(create_app(ask=ask))
    for _ in range(5):
        busy.get("/")
    assert len(asked) == len(set(asked)) <= 2
