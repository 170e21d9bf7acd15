"""Safety: a room tried out in the address, for whoever has not told of one."""

from __future__ import annotations

from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.web.words import errors, plain
from ullage.cellar.keg_events import GasOn
from ullage.everyday_units import PSI
from ullage.plan.begin import begin
from ullage.system.file import parse_system
from ullage.web.app import create_app
from ullage.web.book import Book

NO_ROOM = """
name = "Garage kegs"
units = "metric"

[[place]]
name = "room"
temperature = "20 degC"

[[cylinder]]
name = "main"
size = "2 kg"
place = "room"
"""


@pytest.fixture
def roomless(empty_book: Book) -> TestClient:
    """The pages of a system that tells of no room."""
    at = empty_book.clock()
    begin(empty_book.store, parse_system(NO_ROOM, "the test"), NO_ROOM, at, at)
    return TestClient(create_app(empty_book))


def test_a_room_that_is_not_told_can_be_tried_out(roomless: TestClient) -> None:
    before = plain(roomless.get("/safety").text)
    assert "How large the room is, is not told" in before
    page = plain(roomless.get("/safety", params={"room": "30 m3"}).text)
    # analytic: 2 kg are 45.4 mol, at 20 °C and 1 atm 1.09 m³ (24.0 L/mol), which is 3.6 % of 30 m³,
    # and fresh air has 0.04 % already
    assert "3.7 % CO2" in page
    assert "is not told" not in page
    # it is kept nowhere, and the lines that keep it are given
    assert 'volume = "30 m3"' in page
    assert "is not told" in plain(roomless.get("/safety").text)


def test_the_lines_that_keep_the_room_are_good_ones(roomless: TestClient) -> None:
    page = roomless.get("/safety", params={"room": "30 m3"}).text
    lines = unescape(page[page.index("[room]") : page.index("</pre>")])
    told = parse_system(f"{NO_ROOM}\n{lines}\n", "the test")
    assert told.room is not None
    assert told.room.volume == pytest.approx(30.0)


@pytest.mark.parametrize("said", ["0", "-3", "large", "nan", "9e99", "3 kg", "1e6 m3"])
def test_no_room_is_so_large_or_is_one(roomless: TestClient, said: str) -> None:
    page = roomless.get("/safety", params={"room": said})
    assert page.status_code == 422
    assert len(errors(page.text)) == 1


def test_a_room_that_is_told_is_the_one_reckoned_with(cellar: TestClient) -> None:
    told = plain(cellar.get("/safety").text)
    larger = plain(cellar.get("/safety", params={"room": "2000 m3"}).text)
    assert "as the system file tells" in told
    assert "2,000 m³" in larger or "70,629 cu ft" in larger
    assert "[room]" not in larger


def test_a_regulator_at_two_pressures_is_reckoned_with_the_last_said(
    cellar: TestClient, book: Book
) -> None:
    """K3 stands after K2 in the file, and its own 11 psi were said before."""
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=45 * PSI))
    page = plain(cellar.get("/safety").text)
    assert "nearest: keg K" in page
    assert "its regulator is set to 45 psi" in page
    assert "gives one pressure, yet by the log" in page
    assert "gives one pressure, yet by the log" in plain(cellar.get("/kegs/K1").text)
