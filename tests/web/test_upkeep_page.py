"""Upkeep's pages: what is due, done in one tap, intervals changed; the calendar's address."""

from __future__ import annotations

import re
from datetime import timedelta

from starlette.testclient import TestClient

from tests.web.words import plain
from ullage.cellar.keg_events import Kicked
from ullage.cellar.other_events import LineCleaned, UpkeepDone
from ullage.plan.calendar_address import secret
from ullage.plan.upkeep_changes import Change, changes_of
from ullage.web.book import Book

LINE = {"task": "clean line", "about": "left"}


def test_the_answer_stands_first(cellar: TestClient) -> None:
    page = plain(cellar.get("/upkeep").text)
    assert "Do now: Have the cylinder tested: cylinder main, due 1 Apr 2024." in page
    assert "Clean the beer line: tap left" in page


def test_done_in_one_tap_and_undone(cellar: TestClient, book: Book) -> None:
    answer = cellar.post("/upkeep/done", data=LINE)
    assert answer.status_code == 303
    event = book.present().log[-1]
    assert isinstance(event, LineCleaned)
    page = cellar.get(answer.headers["Location"]).text
    assert "Written down: tap left line cleaned" in plain(page)
    assert f'action="/undo/{event.id}"' in page
    cellar.post("/upkeep/done", data={"task": "gas alarm", "about": "cellar"})
    assert isinstance(book.present().log[-1], UpkeepDone)


def test_a_keg_with_beer_offers_no_done_until_it_is_empty(cellar: TestClient, book: Book) -> None:
    path = "/upkeep/how?task=clean+keg&about=K2"
    assert "Done</button>" not in cellar.get(path).text
    book.record(Kicked(at=book.clock(), keg="K2"))
    assert "Done</button>" in cellar.get(path).text


def test_a_procedure_reckons_with_the_label(cellar: TestClient) -> None:
    path = "/upkeep/how?task=clean+line&about=left&units=metric"
    assert "that takes 40 g" in plain(cellar.get(path).text)
    assert "that takes 60 g" in plain(cellar.get(f"{path}&strength=3").text)
    wrong = cellar.get(f"{path}&strength=lots")
    assert wrong.status_code == 422
    assert 'value="lots"' in wrong.text
    assert 'aria-invalid="true"' in wrong.text
    assert "that takes 40 g" in plain(wrong.text)


def test_what_is_not_there_is_not_found(cellar: TestClient) -> None:
    for query in ("task=clean+line&about=attic", "task=polish&about=left"):
        assert cellar.get(f"/upkeep/how?{query}").status_code == 404
    assert cellar.post("/upkeep/done", data={"task": "polish"}).status_code == 404
    assert cellar.post("/upkeep/on", data={"task": "polish"}).status_code == 404


def test_intervals_are_the_households(cellar: TestClient, book: Book) -> None:
    sent = cellar.post("/upkeep/rule", data={**LINE, "days": "21", "litres": "40.5"})
    assert sent.status_code == 303
    assert changes_of(book.store).rules == {"clean line": Change(days=21, litres=40.5)}
    assert "every 21 days or 40.5 litres" in plain(cellar.get(sent.headers["Location"]).text)
    wrong = cellar.post("/upkeep/rule", data={**LINE, "days": "often"})
    assert wrong.status_code == 422
    assert 'value="often"' in wrong.text
    assert "write a whole number from 1 to 3650" in wrong.text
    cellar.post("/upkeep/rule", data=LINE)  # all empty: the catalogue's own again
    assert changes_of(book.store).rules == {}


def test_a_task_is_switched_off_and_on(cellar: TestClient, book: Book) -> None:
    cellar.post("/upkeep/rule", data={**LINE, "off": "yes", "days": "14"})
    page = cellar.get("/upkeep").text
    assert "Clean the beer line: tap left" not in plain(page)
    assert 'aria-label="Switch on: clean line"' in page
    assert cellar.get("/upkeep/how?task=clean+line&about=left").status_code == 200
    cellar.post("/upkeep/on", data={"task": "clean line"})
    assert changes_of(book.store).rules == {}


def test_the_calendar_is_read_at_its_secret_address_only(cellar: TestClient, book: Book) -> None:
    assert cellar.get("/calendar/.ics").status_code == 404
    cellar.post("/upkeep/calendar", data={"do": "make"})
    first = secret(book.store)
    assert re.fullmatch(r"[\w-]{32}", first)
    assert f"/calendar/{first}.ics" in cellar.get("/upkeep").text
    feed = cellar.get(f"/calendar/{first}.ics")
    assert feed.status_code == 200
    assert feed.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert feed.text.startswith("BEGIN:VCALENDAR\r\n")
    assert cellar.get(f"/calendar/{first[:-1]}.ics").status_code == 404
    cellar.post("/upkeep/calendar", data={"do": "make"})
    assert cellar.get(f"/calendar/{first}.ics").status_code == 404
    second = secret(book.store)
    cellar.post("/upkeep/calendar", data={"do": "take back"})
    assert cellar.get(f"/calendar/{second}.ics").status_code == 404
    assert second not in cellar.get("/upkeep").text


def test_the_calendar_to_keep(cellar: TestClient) -> None:
    file = cellar.get("/upkeep/ullage.ics")
    assert file.headers["Content-Disposition"] == 'attachment; filename="ullage.ics"'
    assert "SUMMARY:Have the cylinder tested" in file.text


def test_pages_of_an_empty_book(empty_book: Book) -> None:
    from ullage.web.app import create_app  # noqa: PLC0415

    with TestClient(create_app(empty_book)) as client:
        for path in ("/upkeep", "/safety", "/upkeep/ullage.ics"):
            assert client.get(path).status_code == 200


def test_safety_says_what_the_room_would_come_to(cellar: TestClient) -> None:
    page = plain(cellar.get("/safety").text)
    # analytic: 4.536 kg / 1.80 kg/m³ (600 ft up) = 2.52 m³ in 45.3 m³: 5.6 %
    assert "All of cylinder main, full, let into garage (1,600 cu ft), shut: 5.6 % CO2." in page
    assert "immediately dangerous to life" in page
    assert "above ACGIH STEL" not in page or "NIOSH" in page
    assert "rated 50 psi" in page


def test_an_overdue_line_is_due(cellar: TestClient, book: Book) -> None:
    book.record(LineCleaned(at=book.clock() - timedelta(days=20), tap="left"))
    page = cellar.get("/upkeep").text
    due = page[page.index("Due now") : page.index("Waiting")]
    assert "Clean the beer line: tap left" in plain(due)
