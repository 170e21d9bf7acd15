"""The faults and the leak test as pages: answers in the address, checks as links, what is wrong."""

from __future__ import annotations

import html
import re

import pytest
from starlette.testclient import TestClient

from ullage.cellar.other_events import LeakTested, Noted
from ullage.web.app import create_app
from ullage.web.book import Book

ASKED = {"tap": "left", "seen": "foam first glass"}
HELD = {
    "test": "hold", "p1": "30", "p2": "26", "t1": "68", "t2": "68 °F", "time": "12",
    "volume": "5 gal", "needle": "0.25", "contents": "5",
}  # fmt: skip


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", found[1])).split())


def test_it_begins_with_what_is_seen(client: TestClient) -> None:
    page = client.get("/faults").text
    assert lead(page) == "Say what you see, and at which tap."
    assert page.count('type="checkbox" name="seen"') == 10
    assert 'href="/faults" aria-current="page"' in page


def test_a_cause_stands_first_with_its_fix_and_evidence(client: TestClient) -> None:
    page = client.get("/faults", params=ASKED).text
    assert lead(page).startswith("Tap left, foam first glass: ")
    assert "Shank or tower is warm" in page
    assert "insulate the shank: it is at 45 °F" in page
    assert "below what holds the gas in" in page
    assert "style=" not in page


def test_answers_to_checks_are_links_that_can_be_kept(client: TestClient) -> None:
    page = client.get("/faults", params=ASKED).text
    links = [html.unescape(one) for one in re.findall(r'<a class="button" href="([^"]+)"', page)]
    yes = next(one for one in links if "yes=" in one)
    answered = client.get(yes).text
    assert 'aria-label="What you looked at"' in answered
    back = re.search(r'<a href="([^"]+)">Take back', answered)
    assert back is not None
    assert 'aria-label="What you looked at"' not in client.get(html.unescape(back[1])).text


def test_it_says_what_the_data_say(client: TestClient) -> None:
    asked = {**ASKED, "yes": "second glass calm", "no": "keg warm,just disturbed"}
    found = client.get("/faults.json", params=asked).json()
    assert found["causes"][0]["cause"] == "warm tower"
    page = client.get("/faults", params={**ASKED, "yes": "second glass calm"}).text
    assert "shank or tower is warm" in lead(page)


def test_the_script_gets_the_living_part_alone(client: TestClient) -> None:
    answer = client.get("/faults", params=ASKED, headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="whatif"')


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"seen": "foamy"}, "foam always"),
        ({"seen": "flat", "tap": "x"}, "left"),
        ({"seen": "flat", "yes": "too much gas"}, "told by the model"),
    ],
)
def test_what_cannot_be_asked_is_told(client: TestClient, asked: dict[str, str], said: str) -> None:
    answer = client.get("/faults", params=asked)
    assert answer.status_code == 422
    assert said in html.unescape(answer.text)
    assert client.get("/faults.json", params=asked).status_code == 422


def test_without_a_system_there_is_still_an_order(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        assert "Gas leaks between cylinder and keg" in client.get("/faults?seen=gas+gone").text
        assert client.get("/faults/leak").status_code == 200


def test_a_leak_test_says_its_rate_and_how_long_the_gas_lasts(client: TestClient) -> None:
    page = client.get("/faults/leak", params=HELD).text
    assert lead(page).startswith("It leaks: about ")
    assert "the cylinder is empty in" in lead(page)
    assert "never with a flame" in page


def _press(cellar: TestClient, asked: dict[str, str]) -> None:
    """Press the button below an answer; one comes back to the answer, told what was written."""
    page = cellar.get("/faults/leak", params=asked).text
    form = re.search(r'<form class="write-down" action="([^"]+)".*?</form>', page, re.S)
    assert form is not None
    pairs = re.findall(r'name="([^"]+)" value="([^"]*)"', form[0])
    data = {html.unescape(name): html.unescape(value) for name, value in pairs}
    answer = cellar.post(form[1], data=data)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"].startswith("/faults/leak?test=")
    assert lead(cellar.get(answer.headers["location"]).text) == lead(page)


def test_a_leak_test_is_written_down_in_one_tap(cellar: TestClient, book: Book) -> None:
    _press(cellar, HELD)
    event = book.present().log[-1]
    assert isinstance(event, LeakTested)
    # analytic: 30 and 26 psi, 68 °F, 12 h
    assert event.start_gauge_pa == pytest.approx(30 * 6894.757, rel=1e-6)
    assert event.end_gauge_pa == pytest.approx(26 * 6894.757, rel=1e-6)
    assert event.start_k == pytest.approx(293.15)
    assert event.end_k == pytest.approx(293.15)
    assert event.duration_s == pytest.approx(12 * 3600)
    assert (event.cylinder, event.part) == ("main", "gas lines")
    assert event.remark.startswith("It leaks: about ")


def test_a_weigh_test_is_noted_in_one_tap(cellar: TestClient, book: Book) -> None:
    _press(cellar, {"test": "weigh", "w1": "21.4", "w2": "21.1 lb", "days": "3", "scale": "0.05"})
    event = book.present().log[-1]
    assert isinstance(event, Noted)
    assert event.text.startswith("Leak test by weighing: 21.4 lb, 3 days later 21.1 lb, 0 lb used")
    assert "It leaks" in event.text


def test_a_gauge_at_0_and_one_that_rose_are_told_and_written_down(
    cellar: TestClient, book: Book
) -> None:
    _press(cellar, {**HELD, "p2": "0"})
    event = book.present().log[-1]
    assert isinstance(event, LeakTested)
    assert event.remark.startswith("It leaks: at least ")
    risen = cellar.get("/faults/leak", params={**HELD, "p2": "34"}).text
    assert lead(risen).startswith("This test is void: ")
    assert "regulator that creeps" in risen
    heavier = {"test": "weigh", "w1": "20", "w2": "25", "days": "3", "scale": "0.05"}
    assert lead(cellar.get("/faults/leak", params=heavier).text).startswith("This test is void: ")


def test_a_weigh_test_within_its_error_is_no_leak(client: TestClient) -> None:
    asked = {"test": "weigh", "w1": "21.4", "w2": "21.38 lb", "days": "3", "scale": "0.05"}
    assert lead(client.get("/faults/leak", params=asked).text).startswith("No leak seen")


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [("p1", "", "This is needed"), ("volume", "5 psi", "pressure"), ("p1", "0.1", "too little")],
)
def test_a_wrong_reading_is_said_at_its_field(
    client: TestClient, field: str, typed: str, said: str
) -> None:
    answer = client.get("/faults/leak", params={**HELD, field: typed})
    assert answer.status_code == 422
    wrong = re.search(rf'id="f-{field}-error">(.*?)</p>', answer.text, re.S)
    assert wrong is not None
    assert said in wrong[1]
    assert 'value="12"' in answer.text  # what else was typed is kept


def test_the_gas_side_is_halved_step_by_step(client: TestClient) -> None:
    page = client.get("/faults/leak").text
    link = re.search(r'<a class="button" href="([^"]+)">keg K1, keg K2, keg K3 falls', page)
    assert link is not None
    second = client.get(html.unescape(link[1])).text
    assert "take the gas disconnect off keg K3" in second
    assert "Begin again" in second


def test_it_says_which_test_and_when_to_read_again(client: TestClient) -> None:
    page = client.get("/faults/leak").text
    assert lead(page).startswith("Hold the pressure first: a leak that empties ")
    steps = page[page.index('id="hold"') : page.index('aria-label="Pressure hold"')]
    # each caution stands in its step
    step = next(one for one in steps.split("<li>") if "set 30 psi" in one)
    assert "lowest rating" in steps[steps.index(step) :][:900]
    asked = {"test": "guide", "left": "5", "empties": "104", "lines": "19 L"}
    longer = lead(client.get("/faults/leak", params=asked).text)
    assert longer.startswith("Weigh the cylinder: a leak that empties 5 lb in ")


def test_a_check_that_cannot_be_done_is_left_out(client: TestClient) -> None:
    page = client.get("/faults", params=ASKED).text
    link = re.search(r'<a class="cannot" href="([^"]+)">', page)
    asked = re.search(r'<p class="ask">.*?</span>\s*(.*?)</p>', page, re.S)
    assert link is not None
    assert asked is not None
    after = client.get(html.unescape(link[1])).text
    assert asked[1] not in after
    assert 'name="skip"' in after
    assert client.get("/faults", params={**ASKED, "skip": "nothing"}).status_code == 422


def test_each_cause_has_its_cautions_beside_its_fix(client: TestClient) -> None:
    page = client.get("/faults", params={"tap": "left", "seen": "gas gone"}).text
    first = page[page.index('<ol class="causes"') : page.index("</li>\n<li>\n<h2>")]
    assert "never with a flame" in first


def test_what_the_log_says_of_the_gas_stands_on_the_leak_page(
    cellar: TestClient, book: Book
) -> None:
    posted = {"gross_kg": "18.9 lb", "tare_kg": "15.1 lb"}
    assert cellar.post("/record/cylinder/main/weighed", data=posted).status_code == 303
    page = cellar.get("/faults/leak").text
    # analytic: 6.3 lb at the start, 3.8 now; 25 g charged the three heads when it was connected
    assert "By your log: From cylinder main went 2.4 lb" in " ".join(
        re.sub(r"<[^>]+>", "", html.unescape(page)).split()
    )
    assert len(book.present().log) > 0
