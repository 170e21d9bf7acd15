"""The log, taking back, writing down again, and planned steps done."""

from __future__ import annotations

from datetime import timedelta

from starlette.testclient import TestClient

from tests.web.words import form_to, forms, plain
from ullage.cellar.keg_events import GasOn, Poured, Vented
from ullage.cellar.other_events import Undone
from ullage.plan.adopt import adopt
from ullage.web.book import Book
from ullage.web.log_page import PER_PAGE


def poured(book: Book, keg: str = "K1") -> Poured:
    event = Poured(at=book.clock(), keg=keg, volume_m3=4e-4)
    book.record(event)
    return event


def test_undo_takes_back_and_again_brings_back(cellar: TestClient, book: Book) -> None:
    event = poured(book)
    left = book.present().status.kegs[0].beer_left_m3.value
    answer = cellar.post(f"/undo/{event.id}", data={"back": "/"})
    assert answer.status_code == 303
    assert book.present().status.kegs[0].beer_left_m3.value > left
    page = cellar.get(answer.headers["Location"]).text
    assert "Taken back: keg K1 poured" in plain(page)
    assert "Write it down again" in page
    assert "are you sure" not in plain(page).lower()
    again = cellar.post(f"/again/{event.id}", data={"back": "/log"})
    assert book.present().status.kegs[0].beer_left_m3.value == left
    assert "Written down" in plain(cellar.get(again.headers["Location"]).text)


def test_undo_twice_writes_once(cellar: TestClient, book: Book) -> None:
    event = poured(book)
    for _ in range(2):
        assert cellar.post(f"/undo/{event.id}", data={}).status_code == 303
    assert sum(isinstance(one, Undone) for one in book.present().log) == 1
    assert cellar.post("/undo/" + 32 * "0", data={}).status_code == 404


def test_what_was_written_together_is_taken_back_together(cellar: TestClient, book: Book) -> None:
    sent = cellar.post("/record/regulator/regulator/set", data={"gauge_pressure_pa": "14 psi"})
    page = cellar.get(sent.headers["Location"]).text
    undo = next(one for one in forms(page) if one.action.startswith("/undo/"))
    cellar.post(undo.action, data=undo.values)
    assert sum(isinstance(one, Undone) for one in book.present().log) == 3


def test_the_log_marks_what_is_planned_and_what_is_taken_back(
    cellar: TestClient, book: Book
) -> None:
    event = poured(book)
    step = Vented(at=book.clock() + timedelta(hours=3), keg="K2", planned=True)
    book.record(step)
    cellar.post(f"/undo/{event.id}", data={})
    page = cellar.get("/log").text
    rows = page.split("<li")
    assert sum("<s>poured" in row and "taken back" in row for row in rows) == 1
    assert sum("planned" in row and "vented" in row for row in rows) == 1
    assert f'action="/undo/{event.id}"' not in page
    assert f'action="/undo/{step.id}"' in page
    cellar.post(f"/done/{step.id}", data={})
    done = [row for row in cellar.get("/log").text.split("<li") if f"/undo/{step.id}" in row]
    assert len(done) == 1
    assert '<em class="mark">done</em>' in done[0]


def test_the_log_can_be_narrowed_and_is_paged(cellar: TestClient, book: Book) -> None:
    book.record(*(Poured(at=book.clock(), keg="K2", volume_m3=1e-5) for _ in range(PER_PAGE + 5)))
    first = cellar.get("/log?of=keg:K2").text
    assert first.count("<time") == PER_PAGE
    assert "page=2" in first
    second = cellar.get("/log?of=keg:K2&page=2").text
    assert 0 < second.count("<time") < PER_PAGE
    assert "keg K1" not in plain(second.partition("<ol")[2])
    assert cellar.get("/log?page=99").status_code == 200
    assert cellar.get("/log?page=0").status_code == 422
    assert "Nothing yet" in cellar.get("/log?of=keg:K9").text


def test_one_done_writes_the_whole_of_a_step(cellar: TestClient, book: Book) -> None:
    adopt(book.store, "K3", "burst", None, book.clock())
    page = plain(cellar.get("/").text)
    assert "purge, set the burst. To purge: 5 times at 30 psi. Set 40 psi." in page
    purge = next(one for one in book.present().log if one.planned)
    before = len(book.present().log)
    assert f'action="/done/{purge.id}"' in cellar.get("/").text
    assert cellar.post(f"/done/{purge.id}", data={}).status_code == 303
    done = book.present().log[before:]
    # pin: the same that the keg's page and `ullage done` write
    assert [one.kind for one in done] == ["purged", "gas_on"]
    assert all(one.does and not one.planned for one in done)
    rows = [one for one in book.present().status.steps if one.keg == "K3"]
    assert all(one.at > book.clock() for one in rows)


def test_the_words_of_a_step_of_several_lead_to_its_plan(cellar: TestClient, book: Book) -> None:
    adopt(book.store, "K3", "burst", None, book.clock())
    assert 'href="/kegs/K3#plan"' in cellar.get("/").text


def test_a_planned_step_is_done_with_one_tap_or_otherwise(cellar: TestClient, book: Book) -> None:
    later = book.clock() + timedelta(hours=1)
    step = GasOn(at=later, keg="K1", gauge_pressure_pa=2e5, planned=True)
    other = GasOn(at=later, keg="K2", gauge_pressure_pa=2e5, planned=True)
    book.record(step, other)
    page = cellar.get("/").text
    assert "Keg K1: Set 29 psi and connect the gas." in plain(page)
    assert cellar.post(f"/done/{step.id}", data={}).status_code == 303
    done = book.present().log[-1]
    assert isinstance(done, GasOn)
    assert (done.does, done.planned, done.at) == (step.id, False, book.clock())
    assert cellar.post(f"/done/{step.id}", data={}).status_code == 422
    page = cellar.get(f"/record/keg/K2/gas-on?does={other.id}").text
    form = form_to(page, "/record/keg/K2/gas-on")
    assert form.values["gauge_pressure_pa"] == "29"  # analytic: 2e5 Pa in psi
    assert cellar.post(form.action, data=form.values).status_code == 303
    assert book.present().log[-1].does == other.id
    assert book.present().status.steps == ()


def test_a_plan_that_was_taken_back_is_no_news(cellar: TestClient, book: Book) -> None:
    """The last that was written down is what happened; the log keeps what was only planned."""
    before = plain(cellar.get("/").text).partition("Written down last")[2]
    at = book.clock() + timedelta(days=9)
    told = book.record(GasOn(at=at, keg="K1", gauge_pressure_pa=2e5, planned=True))
    book.record(Undone(at=book.clock(), event=told.events[0].id, of=told.events[0].stream))
    assert plain(cellar.get("/").text).partition("Written down last")[2] == before
    assert "plan taken back" in plain(cellar.get("/log").text)
