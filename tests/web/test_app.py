"""What the application answers, header by header and word by word."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from starlette.testclient import TestClient

from tests.draw import samples
from tests.web.made_up import MadeUp
from tests.web.words import plain
from ullage.cellar.keg_events import Poured
from ullage.errors import OutOfRange
from ullage.plan.answers import WholeAnswer
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.headers import POLICY, SECURITY

WEIGHT_LIMIT = 60_000
ADDRESSES = ("/plan", "/healthz", "/plan.json", "/nothing", "/static/sheet.css", "/static/nothing")


class Headings(HTMLParser):
    """Gathers the levels of a page's headings."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.levels: list[int] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))


@pytest.fixture
def failing(book: Book) -> Callable[[Exception], TestClient]:
    """The pages of a book whose whole answer raises."""

    def make(wrong: Exception) -> TestClient:
        def ask() -> WholeAnswer:
            raise wrong

        return TestClient(create_app(MadeUp(book, ask)), raise_server_exceptions=False)

    return make


def test_the_answers_come_first(client: TestClient) -> None:
    words = plain(client.get("/plan").text)
    assert "Set 13.1 psi; the Wheat is ready on Friday 4 December." in words
    assert "Pours a US pint in 7.4 s through 6 ft of line; fit 10 ft to fill it in 10 s." in words
    assert words.index("Set 13.1 psi") < words.index("The system") < words.index("Carbonation")


def test_every_part_of_the_sheet_is_there(client: TestClient) -> None:
    words = plain(client.get("/plan").text)
    for said in (
        "Burst at 40 psi for a day, then 13.1 psi",
        "Lengths of line",
        "Cylinder main (5 lb) holds 3.7 lb of CO2: enough for about 8 more kegs (6 to 9)",
        "Fit a secondary regulator for the porter",
        "Air the room: CO2 gathers in low places.",
        "How this was computed",
        "Plan of the whole system",
    ):
        assert said in words


def test_units_and_theme_can_be_asked_for_in_the_address(client: TestClient) -> None:
    page = client.get("/plan?units=metric&theme=blueprint").text
    assert "Set 0.9 bar; the Wheat" in plain(page)
    assert "half litre in 7.8 s" in plain(page)
    assert 'data-theme="blueprint"' in page
    assert "data-theme" not in client.get("/plan").text


def test_the_theme_is_kept_by_a_cookie(cellar: TestClient) -> None:
    answer = cellar.post("/look", data={"theme": "paper", "back": "/log?of=keg"})
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/log?of=keg"
    kept = answer.headers["Set-Cookie"]
    assert "ullage_theme=paper" in kept
    assert "HttpOnly" in kept
    assert 'data-theme="paper"' in cellar.get("/plan").text
    assert cellar.post("/look", data={"theme": "chalk"}).status_code == 422


def test_the_units_are_written_down_and_can_be_taken_back(cellar: TestClient, book: Book) -> None:
    before = len(book.present().log)
    answer = cellar.post("/look", data={"units": "metric", "back": "/plan"})
    assert len(book.present().log) == before + 1
    assert book.present().system.units == "metric"
    assert book.present().system.altitude == pytest.approx(182.88)  # analytic: 600 ft
    page = cellar.get(answer.headers["Location"]).text
    assert "Written down" in plain(page)
    assert "bar" in plain(page)
    cellar.post("/look", data={"units": "metric"})
    assert len(book.present().log) == before + 1
    assert cellar.post("/look", data={"units": "roman"}).status_code == 422


@pytest.mark.parametrize("back", ["//evil.example", "https://evil.example", "/\\\\evil", "", "/ x"])
def test_one_can_only_be_sent_back_to_a_page_of_ours(cellar: TestClient, back: str) -> None:
    answer = cellar.post("/look", data={"theme": "auto", "back": back})
    assert answer.headers["Location"] == "/"


def test_a_form_must_be_fields_and_not_too_long(cellar: TestClient) -> None:
    sent = cellar.post("/look", json={"theme": "auto"})
    assert sent.status_code == 415
    long = cellar.post("/look", data={"theme": "x" * 700_000})
    assert long.status_code == 413


def test_headings_go_down_one_by_one(client: TestClient) -> None:
    levels = Headings(client.get("/plan").text).levels
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_the_page_keeps_its_own_policy(client: TestClient) -> None:
    page = client.get("/plan").text
    scripts = re.findall(r"<script[^>]*>", page)
    assert scripts
    assert all(re.fullmatch(r'<script defer src="/static/[^"]+">', one) for one in scripts)
    assert "<style" not in page
    assert not re.search(r"\s(style|on\w+)=", page)
    assert not re.search(r'(href|src)="(https?:)?//', page)


def test_it_weighs_little(client: TestClient) -> None:
    page = client.get("/plan").text
    files = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
    assert len(files) >= 5
    weights = [len(gzip.compress(client.get(one).content)) for one in files]
    assert sum(weights) + len(gzip.compress(page.encode())) <= WEIGHT_LIMIT


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_answer_bears_the_security_headers(client: TestClient, address: str) -> None:
    headers = client.get(address).headers
    assert {name: headers.get(name) for name in SECURITY} == SECURITY
    assert headers["Content-Security-Policy"] == POLICY


def test_files_say_how_long_they_may_be_kept(client: TestClient) -> None:
    kept = {
        address: client.get(address).headers["Cache-Control"]
        for address in ("/plan", "/static/sheet.css", "/static/sheet.css?v=1", "/healthz")
    }
    assert kept == {
        "/plan": "no-cache",
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
    assert {"/plan.json", "/healthz"} <= set(paths)
    assert not {"/", "/plan", "/look", "/log"} & set(paths)


def test_health_and_head(client: TestClient) -> None:
    assert client.get("/healthz").text == "ok\n"
    assert client.head("/plan").status_code == 200
    assert client.head("/plan").content == b""


def test_what_is_not_there_says_so_in_the_same_look(client: TestClient) -> None:
    answer = client.get("/nothing")
    assert answer.status_code == 404
    assert "Nothing drawn here" in plain(answer.text)
    assert "title-block" in answer.text
    assert client.get("/nothing.json").json()["error"] == "Nothing drawn here"


def test_an_unknown_unit_is_refused_with_what_is_known(client: TestClient) -> None:
    answer = client.get("/plan.json?units=<b>", headers={"Accept": "text/html"})
    assert answer.status_code == 422
    assert "units: Input should be" in answer.text
    assert "<b>" not in answer.text


def test_what_physics_refuses_is_told(failing: Callable[[Exception], TestClient]) -> None:
    answer = failing(OutOfRange("40 °C is warmer than beer is served")).get("/plan")
    assert answer.status_code == 422
    assert "40 °C is warmer than beer is served" in plain(answer.text)


def test_a_fault_of_ours_shows_no_insides(failing: Callable[[Exception], TestClient]) -> None:
    answer = failing(RuntimeError("secret inside")).get("/plan")
    assert answer.status_code == 500
    assert "Something broke" in plain(answer.text)
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["Content-Security-Policy"] == POLICY


def test_another_sites_page_can_change_nothing(cellar: TestClient, book: Book) -> None:
    before = book.store.position()
    for headers in ({"Sec-Fetch-Site": "cross-site"}, {"Origin": "http://evil.example"}):
        assert cellar.post("/look", data={"units": "metric"}, headers=headers).status_code == 403
    assert book.store.position() == before


def test_without_a_system_there_is_no_plan(empty_book: Book) -> None:
    empty = TestClient(create_app(empty_book))
    assert empty.get("/plan").status_code == 404
    assert empty.get("/plan.json").status_code == 404


@pytest.fixture
def mounted(book: Book) -> Iterator[TestClient]:
    with TestClient(create_app(book, "/beer/"), follow_redirects=False) as client:
        yield client


@pytest.mark.parametrize("path", ["/plan", "/nothing"])
def test_it_can_live_below_a_path(mounted: TestClient, path: str) -> None:
    page = mounted.get(f"/beer{path}").text
    addresses = re.findall(r'(?:href|src|action|hx-post)="(/[^"]*)"', page)
    assert addresses
    assert all(one.startswith("/beer/") for one in addresses)
    assert mounted.get("/beer/static/sheet.css").status_code == 200


def test_a_form_below_a_path_leads_back_below_it(mounted: TestClient) -> None:
    answer = mounted.post("/beer/look", data={"theme": "paper", "back": "/plan"})
    assert answer.headers["Location"] == "/beer/plan"
    assert "Path=/beer;" in answer.headers["Set-Cookie"]


def test_the_present_is_worked_out_once_for_a_log_and_a_minute(book: Book) -> None:
    first = book.present()
    assert book.present() is first
    book.record(Poured(at=book.clock(), keg="K1", volume_m3=5e-4))
    assert book.present() is not first


@pytest.mark.parametrize(
    "address", ["/", "/kegs/K3", "/pour", "/carbonate?keg=K3", "/gas", "/gas/ahead", "/gas/share"]
)
def test_no_two_things_on_a_page_share_an_id(cellar: TestClient, address: str) -> None:
    ids = re.findall(r'\bid="([^"]+)"', cellar.get(address).text)
    assert len(ids) == len(set(ids))
