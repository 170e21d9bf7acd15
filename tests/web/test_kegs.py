"""The kegs' pages: what they say, and the way from a filling to a plan that is done."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from datetime import timedelta
from urllib.parse import quote

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.web.made_up import NOW
from tests.web.words import errors, form_to, forms, plain
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    Kicked,
    Measured,
)
from ullage.cellar.other_events import BatchDescribed, Undone
from ullage.everyday_units import PSI
from ullage.plan.begin import begin
from ullage.plan.cases import lowest_rating
from ullage.plan.to_come import waiting
from ullage.plan.upkeep_changes import rule_of
from ullage.plan.upkeep_progress import tick
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.units import Kind, format_quantity
from ullage.web.app import create_app
from ullage.web.book import Book

ODD = 'Großes "Faß" 1/2 %?#'
AT = f"/kegs/{quote(ODD, safe='')}"
FILES = ("sheet.css", "forms.css", "kegs.css", "sheet.js", "vendor/htmx.min.js")
BEER = 'Käse & "Bier" 5/6'


def acquire(book: Book, name: str = ODD) -> None:
    at = book.clock()
    book.record(KegAcquired(at=at, keg=name, keg_kind="ball-lock-5gal", place="freezer"))


def filling(**more: str) -> dict[str, str]:
    """What is typed to fill a keg with a new beer."""
    return {
        "batch": "",
        "new_batch": BEER,
        "style": "pale ale",
        "target_vol": "2.5",
        "og": "1.052",
        "fg": "1.011",
        "cleaned": "yes",
        "sanitised": "pushed",
        "purged": "after",
        "cycles": "5",
        "purge_pa": "30",
        "amount": "5 gal",
        "temperature_k": "66",
        "fermentation_k": "68",
        **more,
    }


def log(book: Book) -> tuple[Event, ...]:
    return book.present().log


def kinds(book: Book, since: int) -> list[str]:
    return [event.kind for event in log(book)[since:]]


def got(client: TestClient, answer: Response) -> str:
    """The page that a form leads to."""
    assert answer.status_code == 303, errors(answer.text)
    page = client.get(answer.headers["location"])
    assert page.status_code == 200
    return page.text


def test_the_list_says_how_each_keg_stands(cellar: TestClient, book: Book) -> None:
    acquire(book)
    book.record(Kicked(at=book.clock(), keg="K2"))
    page = cellar.get("/kegs").text
    words = plain(page)
    assert "4 kegs: 1 as gassy as wanted, 1 on the way, 2 empty." in words
    assert "2.4 vol as wanted: 2.3 to 2.7 vol" in words
    assert "too low: 2.8 to 3.2 vol wanted" in words
    assert "not within 28 days as things stand" in words
    for path in ("/kegs/K1", "/batches/Backyard%20Pale", f"{AT}/fill", "/kegs/K2/fill", "/new-keg"):
        assert f'href="{path}"' in page


def test_an_empty_book_offers_a_beginning(empty_book: Book) -> None:
    page = TestClient(create_app(empty_book)).get("/kegs")
    assert page.status_code == 200
    assert "No kegs yet." in plain(page.text)


def test_a_name_may_hold_any_letters(cellar: TestClient, book: Book) -> None:
    acquire(book)
    assert cellar.get(AT).status_code == 200
    assert cellar.get(f"{AT}.json").json()["status"]["keg"] == ODD
    assert form_to(cellar.get(f"{AT}/fill").text, f"{AT}/fill").method == "post"
    page = got(cellar, cellar.post(f"{AT}/fill", data=filling()))
    beer = f"/batches/{quote(BEER, safe='')}"
    assert f'href="{beer}"' in page
    assert f"in keg {ODD}." in plain(cellar.get(beer).text)
    for name in ("K1.json", "K1/fill", "a/../b"):
        acquire(book, name)
        assert f"Keg {name}" in plain(cellar.get(f"/kegs/{quote(name, safe='')}").text)


def test_what_is_not_there_is_not_found(cellar: TestClient) -> None:
    for path in ("/kegs/K9", "/kegs/K9.json", "/kegs/K9/fill", "/batches/none"):
        assert cellar.get(path).status_code == 404
    for path in ("/kegs/K9/adopt", "/kegs/K9/fill", "/kegs/K9/done", "/batches/none"):
        assert cellar.post(path).status_code == 404


def test_from_the_filling_to_a_plan_that_is_done(cellar: TestClient, book: Book) -> None:
    acquire(book)
    before = len(log(book))
    page = got(cellar, cellar.post(f"{AT}/fill", data=filling()))
    assert kinds(book, before) == [
        "batch_described",
        "keg_cleaned",
        "keg_sanitised",
        "filled",
        "purged",
    ]
    assert "Written down:" in plain(page)
    assert f"{BEER} holds 0.8" in plain(page)
    page = got(cellar, cellar.post(f"{AT}/adopt", data={"method": "burst", "by": "2026-12-01"}))
    steps = waiting(log(book), book.clock())
    assert len(steps) == 2
    assert "The plan" in plain(page)
    assert "CO2 suffocates: doors open." in plain(page)
    assert "Ready on" in plain(page)
    page = got(cellar, cellar.post(f"{AT}/done", data=form_to(page, f"{AT}/done").values))
    assert [step.step for step in waiting(log(book), book.clock())] == [steps[1].step]
    assert book.present().status.kegs[0].supply_gauge_pa is not None
    page = got(cellar, cellar.post(f"{AT}/anew"))
    assert len({event.plan for event in log(book) if event.plan}) == 2
    undo = next(one.action for one in forms(page) if one.action.startswith("/undo/"))
    got(cellar, cellar.post(undo, data={"back": AT}))
    page = got(cellar, cellar.post(f"{AT}/withdraw"))
    assert waiting(log(book), book.clock()) == []
    assert "No plan waits." in plain(page)


def test_the_day_it_is_wanted_by_is_kept_with_its_batch(cellar: TestClient, book: Book) -> None:
    page = cellar.get("/kegs/K3?by=2026-12-20").text
    assert 'value="2026-12-20"' in page
    got(cellar, cellar.post("/kegs/K3/adopt", data={"by": "2026-12-20", "method": ""}))
    assert str(book.present().state.batches["Harvest Wheat"].ready_by) == "2026-12-20"
    wrong = cellar.post("/kegs/K3/adopt", data={"by": "soon", "method": "hold"})
    assert wrong.status_code == 422
    assert 'aria-invalid="true"' in wrong.text
    assert cellar.get("/kegs/K3?by=soon").status_code == 422


def test_what_is_known_of_a_beer_need_not_be_said_again(cellar: TestClient, book: Book) -> None:
    acquire(book)
    before = len(log(book))
    typed = {"batch": "Backyard Pale", "amount": "42 lb", "temperature_k": "38", "start_vol": "2.3"}
    got(cellar, cellar.post(f"{AT}/fill", data=typed))
    assert kinds(book, before) == ["filled"]
    filled = log(book)[-1]
    assert isinstance(filled, Filled)
    assert filled.net_kg == pytest.approx(42 * 0.45359237)  # analytic: the pound's definition
    assert (filled.batch, filled.start_vol) == ("Backyard Pale", 2.3)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"new_batch": ""}, "Say which beer it is: give it a name."),
        ({"new_batch": "Backyard Pale"}, "There is a beer of that name: choose it above"),
        ({"target_vol": ""}, "Say how much CO2 is wanted"),
        ({"amount": "5 psi"}, "5 psi"),
        ({"amount": ""}, "write a volume"),
        ({"amount": "8 gal"}, "is more than keg"),
        ({"temperature_k": "warm"}, "warm"),
        ({"start_vol": "1"}, "one of the two"),
        ({"og": "1.010", "fg": "1.050"}, "have they changed places?"),
        ({"cycles": "2.5"}, "a whole number"),
        ({"when": "2026-12-24T18:00"}, "lies ahead"),
        ({"ready_by": "soon"}, "soon"),
        ({"batch": "Nobody's"}, "none of these"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_written(
    cellar: TestClient, book: Book, typed: dict[str, str], said: str
) -> None:
    acquire(book)
    before = len(log(book))
    answer = cellar.post(f"{AT}/fill", data=filling(**typed))
    assert answer.status_code == 422
    assert said in " ".join(errors(answer.text))
    assert answer.text.count('aria-invalid="true"') == answer.text.count('class="error" id=') >= 1
    assert answer.text.count(" autofocus") == 1
    kept = form_to(answer.text, f"{AT}/fill").values
    assert kept["style"] == "pale ale"
    assert len(log(book)) == before


def test_filling_over_beer_is_minded(cellar: TestClient) -> None:
    words = plain(cellar.get("/kegs/K1/fill").text)
    assert "it still holds 3.6 gal of Backyard Pale" in words
    assert "Gloves, goggles" in words


@pytest.fixture
def later(book: Book) -> Iterator[tuple[TestClient, Book]]:
    """The same store two days later."""
    after = Book(book.store, lambda: book.clock() + timedelta(days=2))
    with TestClient(create_app(after), follow_redirects=False) as client:
        yield client, after


def test_a_missed_step_stands_first_and_can_be_planned_anew(
    cellar: TestClient, later: tuple[TestClient, Book]
) -> None:
    got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "burst"}))
    client, book = later
    words = plain(client.get("/kegs/K3").text)
    assert "A step was missed on" in words
    assert "or plan anew" in words
    assert "1 planned step missed." in plain(client.get("/kegs").text)
    page = got(client, client.post("/kegs/K3/anew"))
    assert "missed" not in plain(page).split("The numbers")[0]
    assert all(step.when != "missed" for step in waiting(log(book), book.clock()))


def test_a_step_may_be_done_otherwise(cellar: TestClient, book: Book) -> None:
    page = got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "hold"}))
    step = form_to(page, "/kegs/K3/done").values["step"]
    wrong = cellar.post("/kegs/K3/done", data={"step": step, "gauge": "5 gal"})
    assert wrong.status_code == 422
    assert "pressure" in " ".join(errors(wrong.text))
    wrong = cellar.post("/kegs/K3/done", data={"step": step, "when": "yesterday"})
    assert wrong.status_code == 422
    typed = {"step": step, "gauge": "1 bar", "when": ""}
    got(cellar, cellar.post("/kegs/K3/done", data=typed))
    set_to = [event for event in log(book) if isinstance(event, GasOn) and not event.planned]
    assert set_to[-1].gauge_pressure_pa == pytest.approx(1e5)
    again = cellar.post("/kegs/K3/done", data={"step": step})
    assert again.status_code == 422
    assert "That step does not wait any more." in plain(again.text)


def test_what_is_set_already_is_left_as_it_is(cellar: TestClient) -> None:
    page = got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "hold", "by": "2027-01-15"}))
    page = got(cellar, cellar.post("/kegs/K3/done", data=form_to(page, "/kegs/K3/done").values))
    words = plain(page)
    assert re.search(r"wanted\. Leave the gas at [\d.]+ psi\. Ready on \w+day", words)
    assert "Other ways, and another day" in words


def test_a_step_done_late_says_that_the_rest_no_longer_fits(
    cellar: TestClient, later: tuple[TestClient, Book]
) -> None:
    page = got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "prime"}))
    step = form_to(page, "/kegs/K3/done").values["step"]
    client, _ = later
    page = got(client, client.post("/kegs/K3/done", data={"step": step}))
    said = "The step before was done 48 hours later than planned"  # analytic: two days
    assert said in plain(page)
    page = got(client, client.post("/kegs/K3/anew"))
    assert said not in plain(page)


def test_the_plan_before_is_taken_back_by_another(cellar: TestClient) -> None:
    page = got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "hold"}))
    step = form_to(page, "/kegs/K3/done").values["step"]
    got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "burst"}))
    assert cellar.post("/kegs/K3/done", data={"step": step}).status_code == 422


def test_no_plan_can_be_made_anew_or_taken_back_where_there_is_none(cellar: TestClient) -> None:
    for act in ("anew", "withdraw"):
        answer = cellar.post(f"/kegs/K3/{act}")
        assert answer.status_code == 422
        assert "no plan" in plain(answer.text) or "No planned step waits" in plain(answer.text)
        assert "ullage anew" not in answer.text


def test_a_script_gets_the_sheet_alone(cellar: TestClient) -> None:
    part = cellar.get("/kegs/K3", headers={"hx-request": "true"})
    assert "<html" not in part.text
    assert "Ways to its level" in part.text
    answer = cellar.post("/kegs/K3/adopt", data={"method": "hold"}, headers={"hx-request": "true"})
    assert answer.status_code == 303  # followed by the script with its own header


def test_a_beer_that_is_not_described_leads_to_its_description(
    cellar: TestClient, book: Book
) -> None:
    acquire(book)
    at = book.clock()
    book.record(Filled(at=at, keg=ODD, batch="Mystery", volume_m3=0.018, temperature_k=290.0))
    words = plain(cellar.get(AT).text)
    assert "is not described" in words
    page = cellar.get("/batches/Mystery").text
    assert "Not described yet" in plain(page)
    wrong = cellar.post("/batches/Mystery", data={"target_vol": ""})
    assert wrong.status_code == 422
    got(cellar, cellar.post("/batches/Mystery", data={"target_vol": "2.6", "abv": "5.5"}))
    assert "Set " in plain(cellar.get(AT).text)
    told = log(book)[-1]
    assert isinstance(told, BatchDescribed)
    assert told.target_vol == 2.6
    assert told.abv == pytest.approx(0.055)


def test_a_beer_is_shown_as_typed_and_changed(cellar: TestClient, book: Book) -> None:
    page = cellar.get("/batches/Harvest%20Wheat").text
    form = form_to(page, "/batches/Harvest%20Wheat")
    assert form.values["target_vol"] == "3"
    got(cellar, cellar.post(form.action, data={**form.values, "style": "weizen"}))
    state = book.present().state.batches["Harvest Wheat"]
    assert (state.style, state.target_vol) == ("weizen", 3.0)
    swapped = {**form.values, "og": "1.010", "fg": "1.050"}
    wrong = cellar.post(form.action, data=swapped)
    assert wrong.status_code == 422
    assert "have they changed places?" in errors(wrong.text)[0]


def test_a_new_keg(cellar: TestClient, book: Book) -> None:
    typed = {"keg": 'Ü/4 "x"', "keg_kind": "pin-lock-5gal", "place": "freezer"}
    page = got(cellar, cellar.post("/new-keg", data=typed))
    assert "It is empty" in plain(page)
    again = cellar.post("/new-keg", data=typed)
    assert again.status_code == 422
    assert "is in the cellar already" in errors(again.text)[0]
    there = {"keg": "K8", "keg_kind": "pin-lock-5gal", "place": "shed"}
    wrong = cellar.post("/new-keg", data=there)
    assert "this place is new" in errors(wrong.text)[0]
    got(cellar, cellar.post("/new-keg", data={**there, "place_k": "50"}))
    warm = book.present().state.places_k["shed"]
    assert warm == pytest.approx(283.15)  # analytic: 50 °F is 10 °C


def acquired_last(book: Book) -> KegAcquired:
    last = log(book)[-1]
    assert isinstance(last, KegAcquired)
    return last


def test_a_new_keg_that_came_used_is_seen_to_first(cellar: TestClient, book: Book) -> None:
    form = form_to(cellar.get("/new-keg").text, "/new-keg")
    assert "used" not in {name for name, value in form.values.items() if value}
    typed = {"keg": "K8", "keg_kind": "ball-lock-5gal", "place": "freezer"}
    got(cellar, cellar.post("/new-keg", data={**typed, "used": "yes"}))
    assert acquired_last(book).used is True
    assert book.present().system.keg("K8").used
    page = plain(cellar.get("/upkeep").text)
    assert "keg K8" in page
    assert "Not known when: do it before the first filling." in page
    got(cellar, cellar.post("/new-keg", data={**typed, "keg": "K9"}))
    assert acquired_last(book).used is None
    assert not book.present().system.keg("K9").used


def test_readings_stand_beside_the_model(cellar: TestClient, book: Book) -> None:
    book.record(Measured(at=book.clock(), keg="K1", level_vol=2.3, gauge_pressure_pa=10 * PSI))
    words = plain(cellar.get("/kegs/K1").text)
    assert "20262.3 vol2.4 vol−0.1 vol" in words
    assert "202610 psi11 psi−1 psi" in words
    metric = plain(cellar.get("/kegs/K1?units=metric").text)
    assert "0.69 bar0.76 bar−0.07 bar" in metric


def test_a_year_of_readings_is_folded_but_for_the_last_few(cellar: TestClient, book: Book) -> None:
    for days in range(10, 0, -1):
        book.record(Measured(at=book.clock(), keg="K1", temperature_k=277.0 + 0.1 * days))
    page = cellar.get("/kegs/K1").text
    open_rows, folded = page.split("<details><summary>2 older</summary>")
    assert open_rows.count("Temperature of the beer <span") == 8
    assert folded.count("Temperature of the beer <span") == 2


def test_what_comes_next_has_a_column_only_where_something_does(cellar: TestClient) -> None:
    assert ">Next</th>" not in cellar.get("/kegs").text
    cellar.post("/kegs/K3/adopt", data={"method": "burst"})
    assert ">Next</th>" in cellar.get("/kegs").text


def test_the_past_stands_with_undo(cellar: TestClient, book: Book) -> None:
    book.record(Measured(at=book.clock(), keg="K1", level_vol=2.3))
    page = cellar.get("/kegs/K1").text
    measured = log(book)[-1]
    assert f'action="/undo/{measured.id}"' in page
    cellar.post(f"/undo/{measured.id}", data={"back": "/kegs/K1"})
    assert isinstance(log(book)[-1], Undone)
    assert "taken back" in cellar.get("/kegs/K1").text


def test_the_same_as_data(cellar: TestClient, book: Book) -> None:
    cellar.post("/kegs/K3/adopt", data={"method": "burst"})
    whole = cellar.get("/kegs.json").json()
    assert [one["status"]["keg"] for one in whole["kegs"]] == ["K1", "K2", "K3"]
    one = cellar.get("/kegs/K3.json").json()
    assert one == whole["kegs"][2]
    assert {"level_vol", "level_low_vol", "gauge_pressure_pa"} <= one["status"].keys()
    assert one["ahead"]["ready"]["at"]
    assert one["steps"][0]["gauge_pressure_pa"] == pytest.approx(40 * PSI)
    paths = cellar.get("/openapi.json").json()["paths"]
    assert {"/kegs.json", "/kegs/{name}.json"} <= paths.keys()


def test_the_base_path_leads_every_address(book: Book) -> None:
    client = TestClient(create_app(book, "/beer"), follow_redirects=False)
    for path in ("/kegs", "/kegs/K3", "/kegs/K3/fill", "/batches/Harvest%20Wheat", "/new-keg"):
        page = client.get(f"/beer{path}").text
        assert 'href="/kegs' not in page
        assert 'action="/kegs' not in page
    answer = client.post("/beer/kegs/K3/adopt", data={"method": "hold"})
    assert answer.headers["location"].startswith("/beer/kegs/K3")


def test_a_page_is_light(cellar: TestClient, book: Book) -> None:
    cellar.post("/kegs/K3/adopt", data={"method": "shake"})
    for path in ("/kegs", "/kegs/K3", "/kegs/K1/fill"):
        page = cellar.get(path).text
        files = [cellar.get(f"/static/{name}").content for name in FILES]
        assert sum(len(gzip.compress(one)) for one in (page.encode(), *files)) < 60_000


def test_a_long_cure_is_told_once_and_done_step_by_step(cellar: TestClient, book: Book) -> None:
    at = book.clock()
    book.record(Measured(at=at, keg="K3", level_vol=3.9))
    adopted = cellar.post("/kegs/K3/adopt", data={"method": "vent and shake"})
    assert adopted.status_code == 303
    waits = [step for step in waiting(book.present().log, at) if step.subject == "K3"]
    vents = len(waits) - 1  # the last puts the gas back on
    words = plain(cellar.get("/kegs/K3").text)
    assert vents > 4
    # the row ends at night: by hand, the 14 hours from 8:00 to 22:00 hold 26 times 33 minutes
    rows = [int(one) for one in re.findall(r"Again every 33 minutes, (\d+) times, until", words)]
    assert 4 < max(rows) <= min(26, vents - 1)


def test_a_tap_that_says_it_is_one_is_not_called_so_twice(empty_book: Book) -> None:
    text = demo_text(NOW.date()).replace('name = "left"', 'name = "tap 1"')
    system = parse_system(text, "the test")
    assert "tap 1" in [tap.name for tap in system.taps]
    begin(empty_book.store, system, text, empty_book.clock(), empty_book.clock())
    page = plain(TestClient(create_app(empty_book)).get("/kegs").text)
    assert "on tap 1" in page
    assert "tap tap" not in page


def test_a_new_keg_stands_where_most_do(cellar: TestClient) -> None:
    page = form_to(cellar.get("/new-keg").text, "/new-keg")
    assert page.values["place"] == "freezer"


def test_an_empty_keg_leads_to_how_it_is_cleaned(cellar: TestClient, book: Book) -> None:
    book.record(Kicked(at=book.clock(), keg="K2"))
    page = cellar.get("/kegs/K2").text
    assert 'href="/upkeep/how?task=clean+keg&amp;about=K2#steps"' in page
    assert cellar.get("/upkeep/how?task=clean+keg&about=K2").status_code == 200
    assert "How to clean it" not in cellar.get("/kegs/K1").text


def test_a_keg_with_cleaner_in_it_says_so_where_it_would_be_filled(
    cellar: TestClient, book: Book
) -> None:
    book.record(Kicked(at=book.clock(), keg="K2"))
    for path in ("/kegs/K2", "/kegs/K2/fill"):
        assert "Cleaner is in the keg" not in plain(cellar.get(path).text)
    tick(book.store, rule_of("clean keg"), "K2", (1, 2, 3), book.clock())
    for path in ("/kegs/K2", "/kegs/K2/fill"):
        assert "Cleaner is in the keg" in plain(cellar.get(path).text)
    assert "Cleaner is in the keg" not in plain(cellar.get("/kegs/K1").text)


def test_what_the_log_tells_of_a_keg_is_not_asked_again_when_it_is_filled(
    cellar: TestClient, book: Book
) -> None:
    at, path = book.clock(), "/kegs/K2/fill"
    book.record(Kicked(at=at, keg="K2"))
    assert 'name="cleaned"' in cellar.get(path).text
    book.record(KegCleaned(at=at, keg="K2"))
    words = plain(cellar.get(path).text)
    assert "That it was sanitised is not written down." in words
    assert 'name="cleaned"' not in cellar.get(path).text
    book.record(KegSanitised(at=at, keg="K2", pushed=True))
    words, local = plain(cellar.get(path).text), at.astimezone()
    day = f"{local.day} {local:%b %Y}"
    assert (
        f"By what is written down it was cleaned on {day} and sanitised on {day} (pushed empty "
        "with CO2: no air is left). That counts"
    ) in words
    assert "Sanitised again since" in words
    typed = filling(batch="Backyard Pale", new_batch="", target_vol="", og="", fg="")
    kept = {name: text for name, text in typed.items() if name not in ("cleaned", "sanitised")}
    assert cellar.post(path, data={**kept, "purged": ""}).status_code == 303
    # analytic: one cleaning and one sanitising for one filling, and no air let in by a second
    kinds = [type(one) for one in book.present().log if one.stream == "keg:K2"][-4:]
    assert kinds == [Kicked, KegCleaned, KegSanitised, Filled]


def test_a_keg_far_over_its_level_is_too_high_and_not_on_the_way(
    cellar: TestClient, book: Book
) -> None:
    book.record(Measured(at=book.clock(), keg="K2", level_vol=5.13))
    words = plain(cellar.get("/kegs").text)
    assert "3 kegs: 1 as gassy as wanted, 1 with too much gas, 1 on the way." in words


def test_a_keg_that_cools_with_no_gas_on_is_told_of_what_it_may_suck_in(
    cellar: TestClient, book: Book
) -> None:
    book.record(GasOff(at=book.clock(), keg="K3"))
    page = plain(cellar.get("/kegs/K3").text)
    assert "below the air's pressure" in page
    assert "Put gas on before it chills." in page
    assert "below the air's pressure" not in plain(cellar.get("/kegs/K1").text)


def test_every_way_bears_the_lowest_rating_of_this_keg(cellar: TestClient, book: Book) -> None:
    """Independent: the rating as the plan layer has it for the system of the demo."""
    system = book.present().system
    rating = format_quantity(lowest_rating(system, system.keg("K3")), Kind.PRESSURE, "us")
    page = cellar.get("/kegs/K3").text
    ways = page.count('name="method"')
    assert ways > 1
    assert page.count(f"Never set more than {rating}") == ways
    got(cellar, cellar.post("/kegs/K3/adopt", data={"method": "hold", "by": "2027-01-15"}))
    said = f"Never above {rating} (the beer line), the lowest rating in the chain."
    assert said in plain(cellar.get("/kegs/K3").text)
    assert said in plain(cellar.get("/record/keg/K3/gas-on").text)
