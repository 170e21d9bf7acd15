"""Upkeep's pages: what is due, done in one tap, intervals changed; the calendar's address."""

from __future__ import annotations

import re
from datetime import timedelta

from starlette.testclient import TestClient

from tests.web.words import plain
from ullage.cellar.keg_events import KegCleaned, Kicked
from ullage.cellar.other_events import LineCleaned, UpkeepDone
from ullage.plan.calendar_address import secret
from ullage.plan.upkeep_changes import Change, change, changes_of, rule_of
from ullage.plan.upkeep_progress import tick
from ullage.web.book import Book

LINE = {"task": "clean line", "about": "left"}


def test_the_answer_stands_first(cellar: TestClient) -> None:
    page = plain(cellar.get("/upkeep").text)
    assert "Do now: Have the cylinder tested: cylinder main, due 1 Apr 2024." in page
    assert re.search(
        r"Tap left Never written down; counted from [\w ]+\. Clean the beer line", page
    )


def test_tasks_of_one_part_and_day_stand_together_each_with_its_own_tap(
    cellar: TestClient, book: Book
) -> None:
    page = cellar.get("/upkeep").text
    list_of = page[page.index('<ul aria-label="Tap left">') :]
    list_of = list_of[: list_of.index("</ul>")]
    tasks = re.findall(r'name="task" value="([^"]+)"', list_of)
    # the line and the faucet are due a fortnight after the log began (published, 14 days)
    assert tasks == ["clean line", "faucet"]
    assert len(re.findall(r'name="about" value="left"', list_of)) == len(tasks)
    # said once of both, each with its own button
    assert plain(page).count("Tap left Never written down; counted from") >= 1
    assert page.count('aria-label="Done: Take the faucet apart and brush it: tap left"') == 1
    # one tap does one of them, not both
    answer = cellar.post("/upkeep/done", data=LINE)
    found = [one for one in book.present().log if isinstance(one, LineCleaned | UpkeepDone)]
    assert answer.status_code == 303
    assert [(type(one), one.subject) for one in found] == [(LineCleaned, "left")]


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
    assert "Tap left Clean the beer line" in plain(due)


def ticked(cellar: TestClient, *steps: int, **more: str) -> None:
    for step in steps:
        sent = {**LINE, "step": str(step), "do": "done", **more}
        assert cellar.post("/upkeep/tick", data=sent).status_code == 303


HOW = "/upkeep/how?task=clean+line&about=left"


def test_ticks_stand_on_the_page_among_the_things_to_do_and_in_the_next_browser(
    cellar: TestClient, book: Book
) -> None:
    sent = cellar.post("/upkeep/tick", data={**LINE, "step": "1", "do": "done"})
    assert sent.headers["Location"] == f"{HOW}#step-1"
    ticked(cellar, 2, 3)
    said = "Begun just now, step 4 of 6, next: Keep it moving for 15 minutes"
    assert said in plain(cellar.get(HOW).text)
    assert said in plain(cellar.get("/upkeep").text)
    assert f"Clean the beer line: tap left: b{said[1:]}" in plain(cellar.get("/").text)
    from ullage.web.app import create_app  # noqa: PLC0415

    with TestClient(create_app(Book(book.store, book.clock))) as other:
        page = other.get(HOW).text
    assert said in plain(page)
    # published: 15 min circulating (Brewers Association, Draught Beer Quality Manual)
    begun = book.clock()
    until = begun + timedelta(minutes=15)
    assert f"runs since {begun:%H:%M}, long enough at {until:%H:%M}, in 15 min" in plain(page)
    assert 'hx-trigger="every 20s"' in page
    assert "Cleaner is in the line" in plain(page)


def test_what_is_half_done_stands_once(cellar: TestClient) -> None:
    row = 'href="/upkeep/how?task=clean+line&amp;about=left'
    assert cellar.get("/upkeep").text.count(row) == 1
    ticked(cellar, 1, 2)
    page = cellar.get("/upkeep").text
    assert page.count(row) == 1
    assert page.index(row) < page.index("Due")
    assert "Go on with what is half done: Clean the beer line: tap left, step 3 of 6" in plain(page)
    assert 'aria-label="Done: Clean the beer line: tap left"' not in page
    cellar.post("/upkeep/drop", data=LINE)
    assert 'aria-label="Done: Clean the beer line: tap left"' in cellar.get("/upkeep").text


def test_a_tick_is_taken_off_and_all_of_it_is_dropped(cellar: TestClient) -> None:
    ticked(cellar, 1, 2)
    cellar.post("/upkeep/tick", data={**LINE, "step": "2", "do": "not done"})
    assert "step 2 of 6" in plain(cellar.get(HOW).text)
    assert cellar.post("/upkeep/begin", data=LINE).headers["Location"] == f"{HOW}#steps"
    assert "step 1 of 6" in plain(cellar.get(HOW).text)
    assert cellar.post("/upkeep/drop", data=LINE).status_code == 303
    assert "Begun" not in plain(cellar.get("/upkeep").text)


def test_the_last_step_writes_it_down_and_can_be_undone(cellar: TestClient, book: Book) -> None:
    ticked(cellar, 1, 2, 3, 4, 5)
    answer = cellar.post("/upkeep/tick", data={**LINE, "step": "6", "do": "done"})
    event = book.present().log[-1]
    assert isinstance(event, LineCleaned)
    page = cellar.get(answer.headers["Location"]).text
    assert "Written down: tap left line cleaned" in plain(page)
    assert f'action="/undo/{event.id}"' in page
    assert "Begun" not in plain(page)


def test_a_late_tick_of_what_is_finished_begins_nothing(cellar: TestClient) -> None:
    ticked(cellar, 1)
    page = cellar.get(HOW).text
    (seen,) = {*re.findall(r'name="seen" value="([0-9a-f]{32})"', page)}
    ticked(cellar, 2, 3, 4, 5, 6, seen=seen)
    ticked(cellar, 6, seen=seen)
    assert "Begun" not in plain(cellar.get("/upkeep").text)


def test_with_a_script_only_the_steps_come_back(cellar: TestClient) -> None:
    script = {"HX-Request": "true"}
    part = cellar.post("/upkeep/tick", data={**LINE, "step": "1", "do": "done"}, headers=script)
    assert part.status_code == 200
    assert "<html" not in part.text
    assert 'id="steps"' in part.text
    assert "<html" not in cellar.get(HOW, headers=script).text
    for step in range(2, 6):
        cellar.post("/upkeep/tick", data={**LINE, "step": str(step)}, headers=script)
    last = cellar.post("/upkeep/tick", data={**LINE, "step": "6"}, headers=script)
    assert last.headers["HX-Redirect"].startswith("/upkeep?wrote=")


def test_what_it_is_done_with_goes_with_the_tick(cellar: TestClient) -> None:
    query = "&units=metric&means=keg&push=0.5&strength=3"
    page = cellar.get(HOW + query).text
    assert "Push it through from a clean keg" in plain(page)
    kept = dict(re.findall(r'name="(means|push|strength)" value="([^"]+)"', page))
    assert kept["push"] == "0.5 bar"
    ticked(cellar, 1, 2, 3, **kept)
    plainly = plain(cellar.get(HOW).text)
    assert "that takes 60 g" in plainly
    assert "Gas at 7 psi (0.5 bar) moves" in plainly
    assert "let it stand in the line for 20 minutes" in plainly


def test_a_pressure_above_the_rating_is_told_at_its_field(cellar: TestClient) -> None:
    wrong = cellar.get(f"{HOW}&means=keg&push=90+psi")
    assert wrong.status_code == 422
    assert "lowest rating" in plain(wrong.text)
    assert 'value="90 psi"' in wrong.text
    for query in ("means=bucket", "head=3+gal", "warm=95+degC", "free=0"):
        assert cellar.get(f"{HOW}&{query}").status_code == 422


def test_the_flow_stands_in_numbers(cellar: TestClient) -> None:
    page = plain(cellar.get(f"{HOW}&units=metric").text)
    for words in ("Through this line", "turbulent", "L/min", "CO2 to push it out", "28 g"):
        assert words in page


def test_what_cannot_be_ticked(cellar: TestClient) -> None:
    for step in ("0", "7", "x", ""):
        sent = cellar.post("/upkeep/tick", data={**LINE, "step": step, "do": "done"})
        assert sent.status_code == 422
    full = cellar.post("/upkeep/tick", data={"task": "clean keg", "about": "K2", "step": "1"})
    assert full.status_code == 422
    assert "holds beer" in plain(full.text)
    gone = cellar.post("/upkeep/tick", data={"task": "clean line", "about": "attic", "step": "1"})
    assert gone.status_code == 404
    assert "Begun" not in plain(cellar.get("/upkeep").text)


def test_one_left_for_a_day_says_that_cleaner_must_not_stay(book: Book) -> None:
    rule = rule_of("clean line")
    tick(book.store, rule, "left", (1, 2, 3), book.clock() - timedelta(hours=25))
    from ullage.web.app import create_app  # noqa: PLC0415

    with TestClient(create_app(book)) as client:
        for path in ("/upkeep", HOW, "/"):
            page = plain(client.get(path).text)
            assert "The solution must not stay there" in page, path
        assert "Begin again" in client.get(HOW).text


def test_a_keg_is_cleaned_step_by_step(cellar: TestClient, book: Book) -> None:
    book.record(Kicked(at=book.clock(), keg="K2"))
    keg = {"task": "clean keg", "about": "K2"}
    steps = len(rule_of("clean keg").steps)
    for step in range(1, steps + 1):
        cellar.post("/upkeep/tick", data={**keg, "step": str(step)})
    assert isinstance(book.present().log[-1], KegCleaned)


def test_a_changed_interval_moves_the_cellar_and_the_page_at_once(
    cellar: TestClient, book: Book
) -> None:
    book.record(LineCleaned(at=book.clock() - timedelta(days=10), tap="left"))
    advice = "Clean the line of tap left"
    assert advice not in plain(cellar.get("/").text)
    change(book.store, "clean line", Change(days=7))
    assert advice in plain(cellar.get("/").text)
    assert "Do now: Have the cylinder tested" in plain(cellar.get("/upkeep").text)
    due = next(
        one
        for one in cellar.get("/upkeep").text.split("<li>")
        if "Clean the beer line: tap left" in one
    )
    assert "Done" in due
    change(book.store, "clean line", Change(days=30))
    assert advice not in plain(cellar.get("/").text)


def test_the_same_as_data(cellar: TestClient) -> None:
    due = cellar.get("/api/v1/upkeep").json()
    assert due["tasks"][0]["task"] == "requalify"
    way = {"task": "clean line", "about": "left", "means": "keg", "gauge_pressure_pa": "75842"}
    found = cellar.get("/api/v1/upkeep/procedure", params=way).json()
    # by hand: see the tests of plan.clean_flow: 46 mL/s at 11 psi
    by_gas = next(one for one in found["flows"] if one["means"] == found["means"])
    assert 44e-6 < by_gas["flow_m3_s"] < 48e-6
    assert by_gas["contact_s"] == 1200.0
    for wrong, code in (
        ({"task": "polish", "about": "left"}, 404),
        ({"task": "clean line", "about": "attic"}, 404),
        ({**way, "gauge_pressure_pa": "600000"}, 422),
        ({**way, "strength": "0.5"}, 422),
    ):
        assert cellar.get("/api/v1/upkeep/procedure", params=wrong).status_code == code


def test_a_line_that_only_the_log_names_is_kept_up_too(empty_book: Book) -> None:
    from ullage.web.app import create_app  # noqa: PLC0415

    empty_book.record(LineCleaned(at=empty_book.clock() - timedelta(days=20), tap="porch"))
    with TestClient(create_app(empty_book), follow_redirects=False) as client:
        assert "Clean the line of tap porch" in plain(client.get("/").text)
        page = client.get("/upkeep").text
        assert "Clean the beer line: tap porch" in plain(page)
        assert "/upkeep/how" not in page[: page.index("Later")]
        sent = client.post("/upkeep/done", data={"task": "clean line", "about": "porch"})
        assert sent.status_code == 303
        assert "Clean the line of" not in plain(client.get("/").text)
