"""The Cellar: what to do next, the drawing and its text, what was written down last."""

from __future__ import annotations

import gzip
import re

import pytest
from starlette.testclient import TestClient

from tests.web.test_app import WEIGHT_LIMIT
from tests.web.words import plain
from ullage.cellar.keg_events import GasOn, KegAcquired
from ullage.cellar.other_events import HouseholdSet, PlaceSet
from ullage.plan.adopt import adopt
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.web.app import create_app
from ullage.web.book import Book

PAGES = ("/", "/log", "/record/keg/K1", "/record/keg/K1/poured", "/system")
PAGES_BESIDE = (
    "/labels",
    "/labels?sheet=letter-2.625x1&copies=12",
    "/upkeep",
    "/upkeep/how?task=clean+line&about=left",
    "/safety",
    "/safety/card",
    "/faults",
    "/faults/leak",
)
"""Pages of other subjects that are weighed like these."""


def test_the_answer_comes_first(cellar: TestClient) -> None:
    words = plain(cellar.get("/").text)
    # analytic: 3.6 + 2.2 + 5 gal; 6.3 lb of gas, of which the heads take some at the start
    assert "10.8 gal of beer in 3 kegs, about 6.2 lb of CO2 in cylinder main." in words
    order = ("What to do next", "The system", "The same in words", "Written down last")
    places = [words.index(one) for one in order]
    assert places == sorted(places)


def test_what_to_do_leads_to_where_it_is_done(cellar: TestClient, book: Book) -> None:
    page = cellar.get("/").text
    assert re.findall(r'<a href="([^"]+)">(Keg K3[^<]+)</a>', page)[0][0] == "/kegs/K3"
    cellar.post("/record/keg/K3/gas-off", data={})
    page = cellar.get("/").text
    found = re.findall(r'<a href="([^"]+)" data-over>(Keg K3[^<]+)</a>', page)
    assert [link for link, _ in found] == ["/record/keg/K3/gas-on"]
    assert "connect it" in found[0][1]
    assert cellar.get(found[0][0]).status_code == 200


def test_every_part_can_be_tapped(cellar: TestClient) -> None:
    page = cellar.get("/").text
    drawn = set(re.findall(r'<a [^>]*href="(/record/[^"]+)"', page.partition("</figure>")[0]))
    for part in ("keg/K1", "keg/K2", "keg/K3", "cylinder/main", "tap/left", "place/freezer"):
        assert f"/record/{part}" in drawn
        assert page.count(f'"/record/{part}"') >= 2  # in the drawing, and as text
    for path in drawn:
        assert cellar.get(path).status_code == 200


def test_the_text_says_what_the_drawing_shows(cellar: TestClient, book: Book) -> None:
    table = cellar.get("/").text.partition("<details")[2]
    assert "Backyard Pale" in table
    assert "3.6 gal" in table
    book.record(HouseholdSet(at=book.clock(), altitude_m=0.0, units="metric"))
    assert "13.6 L" in cellar.get("/").text.partition("<details")[2]  # analytic: 3.6 US gal


def test_an_empty_book_offers_how_to_begin(empty_book: Book) -> None:
    page = TestClient(create_app(empty_book)).get("/").text
    for offer in ("Describe mine", "Try the demo", "Load a file"):
        assert offer in page


@pytest.fixture
def mounted(book: Book) -> TestClient:
    return TestClient(create_app(book, "/beer"), follow_redirects=False)


@pytest.mark.parametrize("path", PAGES)
def test_every_address_is_below_the_base(mounted: TestClient, path: str) -> None:
    page = mounted.get(f"/beer{path}").text
    addresses = re.findall(r'(?:href|src|action|hx-post|formaction)="(/[^"]*)"', page)
    assert addresses
    assert all(one.startswith("/beer/") for one in addresses)


def test_writing_down_works_below_the_base(mounted: TestClient, book: Book) -> None:
    sent = mounted.post("/beer/record/keg/K1/glass", data={"back": "/"})
    assert sent.headers["Location"].startswith("/beer/?wrote=")
    page = mounted.get(sent.headers["Location"]).text
    undo = re.findall(r'action="(/beer/undo/[^"]+)"', page)
    assert mounted.post(undo[0], data={"back": "/"}).status_code == 303


def test_the_pages_keep_their_own_policy(cellar: TestClient) -> None:
    for path in ("/", "/log", "/record/keg/K1", "/record/keg/K1/filled", "/system"):
        page = cellar.get(path).text
        assert "<style" not in page
        assert not re.search(r"\s(style|on\w+)=", page)
        assert not re.search(r'(href|src)="(https?:)?//', page)


def test_it_can_be_kept_as_an_application(cellar: TestClient) -> None:
    manifest = cellar.get("/manifest.webmanifest")
    assert manifest.headers["Content-Type"] == "application/manifest+json"
    icons = manifest.json()["icons"]
    assert {one["sizes"] for one in icons} == {"any", "192x192", "512x512"}
    for one in icons:
        picture = cellar.get(one["src"])
        assert picture.status_code == 200
        if one["type"] == "image/png":
            size = int.from_bytes(picture.content[16:20], "big")  # published: PNG, IHDR
            assert f"{size}x{size}" == one["sizes"]
    assert cellar.get("/icon-7.png").status_code == 404


@pytest.mark.parametrize("path", [*PAGES, "/record/keg/K3/filled", *PAGES_BESIDE])
def test_they_weigh_little(cellar: TestClient, path: str) -> None:
    page = cellar.get(path).text
    files = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page))
    weight = sum(len(gzip.compress(cellar.get(one).content)) for one in files)
    assert weight + len(gzip.compress(page.encode())) <= WEIGHT_LIMIT


def test_a_head_is_answered_without_a_body(cellar: TestClient) -> None:
    assert cellar.head("/").status_code == 200
    assert cellar.head("/").content == b""


def test_a_file_that_cannot_be_read_any_more_can_be_mended(cellar: TestClient, book: Book) -> None:
    text, _ = book.system_text()
    book.store.put_document(SYSTEM_DOCUMENT, text.replace("pin-lock-5gal", "of-another-version"))
    page = cellar.get("/")
    assert page.status_code == 200
    assert "Mend the system file, line" in plain(page.text)
    assert 'href="/system"' in page.text
    shown = cellar.get("/system")
    assert shown.status_code == 200
    assert "of-another-version" in shown.text
    assert cellar.post("/system", data={"text": text, "version": "2"}).status_code == 303
    assert "Mend" not in plain(cellar.get("/").text)


def test_a_log_without_a_file_is_drawn(empty_book: Book) -> None:
    at = empty_book.clock()
    empty_book.record(
        PlaceSet(at=at, place="shed", temperature_k=280.0),
        KegAcquired(at=at, keg="Old 1", keg_kind="ball-lock-3gal", place="shed"),
    )
    client = TestClient(create_app(empty_book))
    page = client.get("/")
    assert page.status_code == 200
    assert "1 keg empty" in plain(page.text)
    assert "/record/keg/Old%201" in page.text
    assert client.get("/record/keg/Old%201").status_code == 200


@pytest.mark.parametrize("kegs", [1, 12])
def test_a_cellar_may_be_small_or_large(empty_book: Book, kegs: int) -> None:
    text = 'name = "Hall"\n[[place]]\nname = "hall"\ntemperature = "40 degF"\n'
    for number in range(kegs):
        text += f'[[keg]]\nname = "N{number}"\nkind = "ball-lock-5gal"\nplace = "hall"\n'
    client = TestClient(create_app(empty_book), follow_redirects=False)
    assert client.post("/begin/file", data={"text": text}).status_code == 303
    page = client.get("/").text
    assert all(f'"/record/keg/N{number}"' in page for number in range(kegs))
    assert len(gzip.compress(page.encode())) < WEIGHT_LIMIT / 2


def test_no_part_is_named_twice_over(cellar: TestClient) -> None:
    words = plain(cellar.get("/").text)
    assert "keg K1" in words
    assert "regulator regulator" not in words
    # a beer that a shared regulator takes past its level is told of as well
    assert "Keg K2 (Cellar Stout) goes past its level at this pressure: set it to 7.1 psi." in words


def test_what_is_planned_does_not_crowd_out_what_was_written(
    cellar: TestClient, book: Book
) -> None:
    adopt(book.store, "K3", "burst", None, book.clock(), book.present().system)
    page = cellar.get("/").text
    last = page[page.index('id="last-h"') :]
    assert ">planned<" not in last
    assert ">planned<" in cellar.get("/log").text


def test_one_regulator_at_two_pressures_is_told(cellar: TestClient, book: Book) -> None:
    assert "gives one pressure" not in plain(cellar.get("/").text)
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=206_843.0))
    page = plain(cellar.get("/").text)
    assert "gives one pressure, yet by the log" in page
    assert "keg K2 on 30 psi" in page
