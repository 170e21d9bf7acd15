"""A stout on a blend on the pages: what is told of keg, tap, cylinder and room; and the swap."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page
from starlette.testclient import TestClient

from tests.plan.stouts import PSI, stout_text, stouts
from tests.web.looks import Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.made_up import fresh
from tests.web.serving import served
from tests.web.words import plain
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.web.app import create_app
from ullage.web.book import Book


def with_stouts(folder: Path) -> Book:
    book = fresh(folder)
    book.store.put_document(SYSTEM_DOCUMENT, stout_text())
    book.record(*first_events(stouts(), book.clock()))
    return book


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The pages of a stout beside an ale, for tests that write nothing down."""
    with TestClient(create_app(with_stouts(tmp_path_factory.mktemp("stouts")))) as client:
        yield client


@pytest.fixture(scope="module")
def stout_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The same, served."""
    with served(create_app(with_stouts(tmp_path_factory.mktemp("stouts")))) as address:
        yield address


def test_the_keg_is_set_to_the_blends_pressure(pages: TestClient) -> None:
    keg = pages.get("/carbonate.json?keg=K2&temperature=38&volumes=1.2").json()["pressure"]
    # by hand, as in tests/plan/test_blend_served.py: 35.3 psi at 300 ft; straight CO2 needs none
    assert keg["gauge_pressure_pa"] / PSI == pytest.approx(35.3, abs=1.5)
    other = pages.get("/carbonate.json?keg=&temperature=38&volumes=1.2").json()["pressure"]
    assert other["gauge_pressure_pa"] < 0.0
    told = plain(pages.get("/carbonate?keg=K2").text)
    assert "hangs on a blend with 25 % CO2" in told
    assert "blend" not in plain(pages.get("/carbonate?keg=K1").text)


def test_the_cylinder_holds_blended_gas_and_no_liquid(pages: TestClient) -> None:
    told = plain(pages.get("/gas").text)
    assert "holds 1.5 lb of blended gas" in told
    assert "CO2 in its gas25 % the rest nitrogen" in told
    # of two cylinders one has liquid
    assert told.count("only then does the gauge fall") == 1
    what_if = plain(pages.get("/gas?cylinder=stout+gas&mass=0.75+lb").text)
    assert "with 12 oz of blended gas in it" in what_if
    too_much = pages.get("/gas?cylinder=stout+gas&mass=4+lb")
    assert too_much.status_code == 422
    assert "may hold" in plain(too_much.text)


def test_the_room_is_told_of_the_oxygen(pages: TestClient) -> None:
    told = plain(pages.get("/safety?room=10+m3").text)
    assert "75 % nitrogen" in told
    # by hand, as in tests/plan/test_blend_log.py: 19.9 % at sea level; 300 ft thin that by 0.01 %
    assert "leaves 19.9 % oxygen in the shut room" in told
    assert "never an adapter" in told


def test_its_tap_pours_at_that_pressure(pages: TestClient) -> None:
    told = plain(pages.get("/pour?tap=stout").text)
    assert "burst" not in told
    keg = plain(pages.get("/kegs/K2").text)
    assert "Set 34" in keg


@pytest.mark.parametrize("path", ["/record/cylinder/stout%20gas/swapped", "/gas", "/kegs/K2"])
@every_size
@every_scheme
def test_no_barriers(
    page: Page, stout_address: str, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    page.emulate_media(color_scheme=scheme)
    show(page, stout_address + path, size)
    no_barriers(page)
    assert sticking_out(page) == [0, []]
