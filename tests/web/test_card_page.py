"""The card for the wall: what stands on it, and that it is one page whatever there is."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page
from starlette.testclient import TestClient

from tests.draw import samples
from tests.plan.stouts import stouts
from tests.web.test_labels_browser import sizes_of
from tests.web.words import plain
from ullage.draw.upkeep_lines import day
from ullage.plan.wall_card import ACTS, ALARMS, BLANKS, wall_card
from ullage.system.demo import demo_system
from ullage.system.model import System
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.card_page import card_file
from ullage.web.card_views import card_view

AT = samples.START
DEMO = demo_system(AT.date())


def crowded() -> System:
    """A system with as much as a card may have to tell: many cylinders, the longest names."""

    def named(short: str) -> str:
        return f"{short} {'Wärmewasserwagen mit Möhrenwimpel ' * 3}"[:80].strip()

    like = DEMO.cylinders[0].model_copy(
        update={"contents": None, "gross_weight": None, "tare": None}
    )
    sizes = ("20 lb", "10 lb", "5 lb", "20 lb", "20 lb", "20 lb", "20 lb")
    cylinders = tuple(
        like.model_copy(
            update={"name": named(f"C{at}"), "size": size, "co2": 1.0 - 0.75 * (at == 3)}
        )
        for at, size in enumerate(sizes)
    )
    assert DEMO.room is not None
    room = DEMO.room.model_copy(update={"name": named("Keller"), "below_ground": True})
    kegs = tuple(one.model_copy(update={"name": named(one.name)}) for one in DEMO.kegs)
    taps = tuple(one.model_copy(update={"keg": named(one.keg)}) for one in DEMO.taps)
    regulators = tuple(
        one.model_copy(update={"cylinder": cylinders[0].name}) for one in DEMO.regulators
    )
    return DEMO.model_copy(
        update={
            "name": named("Anlage"),
            "cylinders": cylinders,
            "room": room,
            "kegs": kegs,
            "taps": taps,
            "regulators": regulators,
        }
    )


def test_all_of_it_stands_there(cellar: TestClient) -> None:
    words = plain(cellar.get("/safety/card").text)
    for said in (*ACTS, ALARMS, *BLANKS):
        assert said in words
    assert "All of cylinder main, full, let into garage (1,600 cu ft), shut: 5.6 % CO2." in words
    assert "Never above 50 psi: the lowest rating of all that is under pressure here" in words
    assert f"Worked out on {day(AT)} by Ullage" in words
    for said in ("OSHA PEL, 5,000 ppm", "ACGIH STEL, 30,000 ppm", "NIOSH IDLH, 40,000 ppm"):
        assert said in words  # published
    assert "The makers' instructions, local codes and licensed practice come before" in words


def test_metric_households_read_metric(cellar: TestClient) -> None:
    words = plain(cellar.get("/safety/card?units=metric").text)
    assert "4.54 kg of CO2, full" in words  # analytic: 10 lb
    assert "garage, 45 m³" in words  # analytic: 1,600 cu ft


def test_it_is_reached_from_safety(cellar: TestClient, book: Book) -> None:
    assert 'href="/safety/card"' in cellar.get("/safety").text
    below = TestClient(create_app(book, "/beer"))
    assert 'href="/beer/safety/card"' in below.get("/beer/safety").text
    assert 'href="/beer/safety"' in below.get("/beer/safety/card").text


def test_an_empty_book_has_a_card_too(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        words = plain(client.get("/safety/card").text)
    assert "its size is not told" in words
    assert "none written down" in words
    assert ACTS[0] in words


def test_the_numbers_are_told_apart_by_word_too() -> None:
    view = card_view(wall_card(DEMO, [], AT), "us")
    assert [(row.word, row.passed) for row in view.air] == [
        ("above NIOSH IDLH", True),
        ("above OSHA PEL", True),
    ]
    small = DEMO.cylinders[0].model_copy(
        update={"size": "425 g", "contents": None, "gross_weight": None, "tare": None}
    )
    rows = card_view(wall_card(DEMO.model_copy(update={"cylinders": (small,)}), [], AT), "us").air
    # analytic: 0.425 kg is 0.23 m³ in 45 m³, 5,100 ppm; aired over 8 hours it is a third of that
    assert [row.passed for row in rows] == [True, False]


def test_a_blend_is_no_co2_on_the_card() -> None:
    view = card_view(wall_card(stouts(), [], AT), "us")
    told = {row.name: row.value for row in view.here}
    # independent: 692 g at 140 bar; analytic: 5 lb
    assert told["Cylinder stout gas"] == "1.5 lb of blended gas, full"
    assert told["Cylinder co2"] == "5 lb of CO2, full"
    assert any("75 % nitrogen, which stings nobody" in rule for rule in view.rules)
    assert not any("nitrogen" in rule for rule in card_view(wall_card(DEMO, [], AT), "us").rules)


def test_the_file_needs_nothing_else() -> None:
    text = card_file(wall_card(DEMO, [], AT), "us")
    assert "http" not in text
    assert not re.search(r"(src|href)=", text)
    assert "border: 2px solid var(--danger, #a51d1d)" in text
    assert len(gzip.compress(text.encode())) < 10_000


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("system", [DEMO, crowded()], ids=["demo", "crowded"])
def test_the_file_is_one_page_whatever_there_is(
    page: Page, tmp_path: Path, paper: str, system: System
) -> None:
    file = tmp_path / "card.html"
    file.write_text(card_file(wall_card(system, [], AT), "metric"), encoding="utf-8")
    page.goto(file.as_uri())
    assert len(sizes_of(page.pdf(format=paper))) == 1
