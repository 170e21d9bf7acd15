"""Alarms on the pages: first on the Cellar, seen in one tap, as data, in the calendar."""

from __future__ import annotations

import re
from datetime import timedelta
from html import escape, unescape

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.plan.test_alarms_now import KEPT_K, SENSORS
from tests.web.made_up import NOW
from tests.web.people import log_in, with_people
from tests.web.words import plain
from ullage.cellar import samples
from ullage.cellar.keg_events import Poured
from ullage.cellar.other_events import CylinderWeighed
from ullage.cellar.samples import Sample
from ullage.everyday_units import PSI
from ullage.plan.alarms_heard import heard_of, tell
from ullage.plan.alarms_now import alarms_now
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.system.demo import demo_text
from ullage.web.app import create_app
from ullage.web.book import Book

WARM = "warm:place:freezer"
HIGH = "pressure-high:keg:K1"


def watched(book: Book, *, kelvin: float = KEPT_K + 9.0, psi: float = 11.0) -> None:
    """Two sensors of the demo have read these for half a day; the log began days before."""
    book.store.put_document(SYSTEM_DOCUMENT, demo_text(NOW.date()) + SENSORS)
    moments = [book.clock() - timedelta(minutes=back) for back in range(720)]
    told = [Sample("thermometer", "temperature", "place:freezer", at, kelvin) for at in moments]
    told += [Sample("gauge", "pressure", "keg:K1", at, psi * PSI) for at in moments]
    with book.store.writing() as connection:
        samples.keep(connection, book.store.cellar, told)


def days_later(book: Book, days: float = 3.0) -> Book:
    """The same book, its clock that much later."""
    at = book.clock() + timedelta(days=days)
    return Book(book.store, lambda: at)


def test_a_sound_cellar_says_nothing_but_where_alarms_are(cellar: TestClient) -> None:
    page = cellar.get("/").text
    assert 'id="alarms"' not in page
    assert 'href="/alarms"' in page
    assert "No alarm" in plain(cellar.get("/alarms").text)
    assert cellar.get("/api/v1/alarms").json()["alarms"] == []
    assert cellar.get("/api/v1/status").json()["alarms"] == 0


def test_alarms_stand_first_each_with_a_word_and_what_to_do(book: Book) -> None:
    with _served(book, psi=46.0) as client:
        page = client.get("/").text
        words = plain(page)
        order = ("Danger Keg K1 stands at 46 psi", "Warning Place freezer is at", "What to do next")
        places = [words.index(one) for one in order]
        assert places == sorted(places)
        assert "See that it has power" in words
        faults = "/faults?keg=K1&seen=pressure+creeping"
        for path in (faults, "/record/keg/K1/vented", "/record/place/freezer/temperature"):
            assert f'href="{escape(path)}"' in page
            assert client.get(path).status_code == 200
        ticked = 'value="pressure creeping" checked'
        assert ticked in client.get(faults).text


def test_every_lead_of_every_alarm_leads_somewhere(book: Book) -> None:
    later = days_later(book, 2.0)
    later.record(
        Poured(at=later.clock(), keg="K2", volume_m3=0.0078),
        CylinderWeighed(at=later.clock(), cylinder="main", contents_kg=0.2),
    )
    with _served(book, psi=2.0) as client:
        page = client.get("/alarms").text
        kinds = {one["alarm"]["kind"] for one in client.get("/api/v1/alarms").json()["alarms"]}
        assert kinds == {"pressure-low", "warm", "gas-vanishing", "gas-low", "beer-low"}
        leads = {
            unescape(href)
            for block in re.findall(r'<p class="leads">(.*?)</p>', page, re.DOTALL)
            for href in re.findall(r'href="([^"]+)"', block)
        }
        assert len(leads) > 8
        assert {path: client.get(path).status_code for path in leads} == dict.fromkeys(leads, 200)
        for path, _, place in (one.partition("#") for one in leads if "#" in one):
            assert f'id="{place}"' in client.get(path).text, (path, place)


def test_seen_in_one_tap_and_not_seen_after_all(book: Book) -> None:
    with _served(book) as client:
        answer = client.post("/alarms/seen", data={"key": WARM, "back": "/"})
        assert (answer.status_code, answer.headers["Location"]) == (303, "/")
        page = client.get("/").text
        assert 'id="alarms"' not in page
        assert "Alarms: 1 was seen" in plain(page)
        assert "quiet until" in plain(client.get("/alarms").text)
        assert client.get("/api/v1/alarms").json()["alarms"][0]["quiet_until"] is not None
        client.post("/alarms/unseen", data={"key": WARM})
        assert 'id="alarms"' in client.get("/").text


def test_a_danger_stays_on_the_cellar_however_often_it_was_seen(book: Book) -> None:
    with _served(book, kelvin=KEPT_K, psi=46.0) as client:
        client.post("/alarms/seen", data={"key": HIGH, "days": "30"})
        page = plain(client.get("/").text)
        assert "Danger Keg K1 stands at 46 psi" in page
        assert "quiet until" in page


def test_quiet_for_as_long_as_asked(book: Book) -> None:
    with _served(book) as client:
        client.post("/alarms/seen", data={"key": WARM, "days": "7"})
        (seen,) = heard_of(book.store).seen
        assert seen.until - seen.at == timedelta(days=7)
        wrong = client.post("/alarms/seen", data={"key": WARM, "days": "365"})
        assert wrong.status_code == 422
        assert "so many days: 1, 7, 30" in plain(wrong.text)


def test_one_that_is_over_needs_no_peace(cellar: TestClient, book: Book) -> None:
    answer = cellar.post("/alarms/seen", data={"key": WARM, "back": "/"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/alarms")
    assert heard_of(book.store).seen == ()


def test_a_page_of_another_site_cannot_say_it_was_seen(book: Book) -> None:
    with _served(book) as client:
        headers = {"Origin": "https://elsewhere.example", "Sec-Fetch-Site": "cross-site"}
        answer = client.post("/alarms/seen", data={"key": WARM}, headers=headers)
        assert answer.status_code == 403
        assert heard_of(book.store).seen == ()


def test_what_an_alarm_says_is_not_said_again_below(book: Book) -> None:
    book.record(Poured(at=book.clock(), keg="K2", volume_m3=0.0078))
    with _served(book, kelvin=KEPT_K) as client:
        said = "Keg K2 (Cellar Stout) is nearly empty"
        assert plain(client.get("/").text).count(said) == 1
        client.post("/alarms/seen", data={"key": "beer-low:keg:K2"})
        page = plain(client.get("/").text)
        assert page.count(said) == 1
        assert page.index(said) > page.index("What to do next")


def test_what_was_told_stands_on_the_page(book: Book) -> None:
    with _served(book) as client:
        assert "ullage listen" in client.get("/alarms").text
        later = days_later(book)
        at, present = later.clock(), later.present()
        tell(book.store, alarms_now(book.store, present.described, at, "us"), at)
        page = plain(client.get("/alarms").text)
        assert "Told in the last weeks" in page
        assert page.count("Place freezer is at") == 2


def test_the_calendar_has_an_entry_for_it(book: Book) -> None:
    with _served(book) as client:
        file = client.get("/upkeep/ullage.ics").text
        assert file.count("SUMMARY:Warning: too warm\\, freezer") == 1
        assert file == client.get("/upkeep/ullage.ics").text


def test_a_system_file_that_is_not_understood_is_no_good_news(book: Book) -> None:
    with _served(book) as client:
        book.store.put_document(SYSTEM_DOCUMENT, "format = 99")
        assert "No sensor is watched until the system file is mended" in plain(
            client.get("/alarms").text
        )


def test_names_cannot_break_the_page(book: Book) -> None:
    text = demo_text(NOW.date()).replace('"freezer"', '"<b>cold & \\"box\\"</b>"')
    sensors = SENSORS.replace("place:freezer", 'place:<b>cold & \\"box\\"</b>')
    book.store.put_document(SYSTEM_DOCUMENT, text + sensors)
    at = book.clock() + timedelta(days=3)
    of = 'place:<b>cold & "box"</b>'
    told = [
        Sample("thermometer", "temperature", of, at - timedelta(minutes=back), KEPT_K + 9.0)
        for back in range(200)
    ]
    with book.store.writing() as connection:
        samples.keep(connection, book.store.cellar, told)
    with TestClient(_app(Book(book.store, lambda: at)), follow_redirects=False) as client:
        page = client.get("/alarms").text
        assert "<b>cold" not in page
        (key,) = (one["alarm"]["key"] for one in client.get("/api/v1/alarms").json()["alarms"])
        assert client.post("/alarms/seen", data={"key": key}).status_code == 303
        assert [one.key for one in heard_of(book.store).seen] == [key]


def _app(book: Book) -> FastAPI:
    return create_app(book)


def _served(book: Book, *, kelvin: float = KEPT_K + 9.0, psi: float = 11.0) -> TestClient:
    """The pages three days after the book began, with what its sensors read until then."""
    later = days_later(book)
    watched(later, kelvin=kelvin, psi=psi)
    return TestClient(_app(later), follow_redirects=False)


def test_limits_are_the_household_s_own(book: Book) -> None:
    with _served(book, kelvin=KEPT_K + 4.0) as client:
        page = client.get("/alarms").text
        assert 'name="warm" id="f-warm" value="5.4"' in page
        assert "Usual: 5.4 °F. From 1.8 °F to 18 °F." in plain(page)
        assert "Place freezer is at" in plain(page)
        fields = {"warm": "10", "warm-for": "2 h", "beer": "0.1"}
        assert client.post("/alarms/limits", data=fields | {"beer": "10 %"}).status_code == 303
        page = client.get("/alarms").text
        words = plain(page)
        assert "No alarm" in words  # analytic: 4 K is 7.2 °F, less than 10
        assert 'name="warm" id="f-warm" value="10"' in page
        assert 'name="warm-for" id="f-warm-for" value="120"' in page
        assert "For 2 hours more than 10 °F above" in words
        assert "Your own here: Too warm: above what is kept by; Too warm: for so long" in words
        found = {one["name"]: one for one in client.get("/api/v1/alarms").json()["limits"]}
        assert (found["beer"]["value"], found["beer"]["usual"]) == (0.1, 0.15)
        # what is sent as it was shown changes nothing, what is emptied is as usual again
        client.post("/alarms/limits", data={"warm": "", "warm-for": "120", "pressure": "2"})
        kept = {one["name"]: one for one in client.get("/api/v1/alarms").json()["limits"]}
        assert [name for name, one in kept.items() if one["value"] != one["usual"]] == [
            "warm for",
            "beer",
        ]
        client.post("/alarms/limits", data={"to": "usual", "warm": "9"})
        assert "Your own here" not in client.get("/alarms").text


def test_a_limit_out_of_its_range_is_told_of_at_its_field(book: Book) -> None:
    with _served(book) as client:
        wrong = client.post("/alarms/limits", data={"warm": "7", "leak": "20", "beer": "much"})
        assert wrong.status_code == 422
        page = plain(wrong.text)
        assert "20% is out of bounds: give 55% to 99% (usual: 80%)" in page
        assert 'value="much"' in wrong.text
        assert '<details id="limits" open>' in wrong.text
        # nothing of it was kept, the right one neither
        assert "Your own here" not in client.get("/alarms").text


LIMIT = "/api/v1/alarms/limits/warm"


def test_a_limit_is_changed_by_a_program_and_set_back(book: Book) -> None:
    with _served(book, kelvin=KEPT_K + 4.0) as client:
        kept = client.put(LIMIT, json={"value": 5.0})
        assert kept.status_code == 200
        assert (kept.json()["name"], kept.json()["value"], kept.json()["unit"]) == (
            "warm",
            5.0,
            "K",
        )
        # analytic: 4 K lie below the new limit, above the usual one of 3 K
        assert client.get("/api/v1/alarms").json()["alarms"] == []
        for_long = client.put("/api/v1/alarms/limits/warm%20for", json={"value": 7200})
        assert for_long.json()["value"] == 7200.0
        usual = client.put(LIMIT, json={"value": None}).json()
        assert usual["value"] == usual["usual"] == 3.0
        limits = {one["name"]: one for one in client.get("/api/v1/alarms").json()["limits"]}
        assert limits["warm for"]["value"] == 7200.0


@pytest.mark.parametrize(
    ("path", "body", "said"),
    [
        (LIMIT, {"value": 40.0}, "72 °F is out of bounds: give 1.8 °F to 18 °F (usual: 5.4 °F)"),
        (LIMIT, {}, "value: Field required"),
        (LIMIT, {"value": "much"}, "value: "),
        (LIMIT, {"value": 4.0, "unit": "K"}, "unit: "),
        ("/api/v1/alarms/limits/warmth", {"value": 4.0}, "name: "),
    ],
)
def test_what_is_no_limit_is_refused_and_nothing_kept(
    book: Book, path: str, body: dict[str, object], said: str
) -> None:
    with _served(book) as client:
        wrong = client.put(path, json=body)
        assert wrong.status_code == 422
        assert said in " ".join(wrong.json()["detail"])
        limits = client.get("/api/v1/alarms").json()["limits"]
        assert all(one["value"] == one["usual"] for one in limits)


@pytest.mark.usefixtures("quick_hashes")
def test_limits_are_a_keepers(book: Book) -> None:
    with TestClient(create_app(book, gate=with_people(book)), follow_redirects=False) as door:
        assert door.put(LIMIT, json={"value": 5.0}).status_code == 401
        for name, code in (("Gus", 403), ("Hal", 403), ("Ann", 200)):
            log_in(door, name, book)
            assert door.put(LIMIT, json={"value": 5.0}).status_code == code, name
            door.cookies.clear()
