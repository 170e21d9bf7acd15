"""The pages about brewing and parties: the answer first, adoption, what the plan must know."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.plan.brew_logs import FILE
from tests.web.made_up import NOW, at_start, fresh
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import BatchDescribed, Brewed, Gathering
from ullage.plan.begin import begin
from ullage.plan.brewing_adopt import plan_steps
from ullage.system.file import parse_system
from ullage.web.app import create_app
from ullage.web.book import Book


@pytest.fixture
def bar(tmp_path: Path) -> Book:
    """A book over a bar with a fermenter."""
    book = fresh(tmp_path)
    begin(book.store, parse_system(FILE), FILE, at_start(), at_start())
    return book


@pytest.fixture
def served(bar: Book) -> TestClient:
    return TestClient(create_app(bar), headers={"Sec-Fetch-Site": "same-origin"})


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_answer_stands_first_then_the_picture_then_the_batches(served: TestClient) -> None:
    page = served.get("/brew?sure=50").text
    assert lead(page).startswith("Brew 19 L of ")
    assert "No tap runs dry, counted on the usual drinking." in page
    assert page.index('class="lead"') < page.index("<svg") < page.index('<table class="batches"')
    assert page.count("<svg") == 2  # the wide picture and the narrow one
    assert 'aria-current="page">Brew<' in page


def test_the_page_and_its_data_are_one_answer(served: TestClient, bar: Book) -> None:
    told = served.get("/brew.json", params={"sure": "50", "weeks": "8"}).json()
    # independent: the API reads the question by its own way
    api = served.get("/api/v1/brewing", params={"sureness": "0.5", "weeks": "8"}).json()
    assert told == api
    assert told["batches"]


def test_every_field_changes_the_question(served: TestClient) -> None:
    def first(**fields: str) -> str:
        return str(served.get("/brew.json", params=fields).json()["batches"][0]["brew_at"])

    assert first(days="wed") != first(days="sat, sun")
    assert first(sure="95") <= first(sure="50")
    beers = served.get("/brew.json", params={"next-right": "Pale"}).json()["batches"]
    assert {one["beer"] for one in beers} == {"Pale"}


def test_a_rate_that_nobody_knows_is_asked_for_where_the_answer_stands(tmp_path: Path) -> None:
    book = fresh(tmp_path)
    text = FILE.replace('drinking = "1.4 L/week"\n', "").replace('drinking = "2.8 L/week"\n', "")
    begin(book.store, parse_system(text), text, at_start(), at_start())
    page = TestClient(create_app(book))
    bare = page.get("/brew").text
    assert lead(bare).startswith("When to brew cannot be told: how quickly the beer on tap left")
    assert "Nothing is planned for tap left (Pale) and tap right (Stout): how quickly" in bare
    assert "Adopt this plan" not in bare
    for name in ("drunk-left", "drunk-right"):  # among the first fields, not folded away
        assert bare.index(f'name="{name}"') < bare.index("More that matters")
    told = page.get(
        "/brew", params={"drunk-left": "2.8 L/week", "drunk-right": "1.4", "sure": "50"}
    )
    assert lead(told.text).startswith("Brew 19 L of ")
    assert "is not known" not in told.text
    assert 'name="drunk-left" value="2.8 L/week"' in told.text
    wrong = page.get("/brew", params={"drunk-left": "often"})
    assert wrong.status_code == 422
    assert 'id="f-drunk-left-error"' in wrong.text


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"days": "weekend"}, "days", "sat, sun"),
        ({"weeks": "1000"}, "weeks", "Choose one of"),
        ({"sure": "0"}, "sure", "Choose one of"),
        ({"next-left": "Cider"}, "next-left", "Choose one of"),
    ],
)
def test_what_is_wrong_stands_at_its_field(
    served: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = served.get("/brew", params=fields)
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]
    assert "No answer yet" in answer.text


def test_a_plan_is_adopted_followed_and_taken_back(served: TestClient, bar: Book) -> None:
    sent = served.post("/brew/adopt", data={"sure": "50", "weeks": "12"}, follow_redirects=False)
    assert sent.status_code == 303
    assert sent.headers["location"] == "/brew?weeks=12&sure=50"
    waits = plan_steps(bar.present().log)
    assert any(isinstance(one, Brewed) for one in waits)
    page = served.get("/brew").text
    assert "Adopt this plan instead" in page
    assert page.count('aria-label="Done: Fermenter F1: Brew') >= 1
    cellar = served.get("/").text
    soon = [one for one in waits if (one.at - NOW).days < 14]
    assert cellar.count("Fermenter F1: Brew 19 L") >= (1 if soon else 0)
    first = waits[0]
    done = served.post(f"/done/{first.id}", data={"back": "/brew"}, follow_redirects=False)
    assert done.status_code == 303
    assert len(plan_steps(bar.present().log)) == len(waits) - 1
    assert served.post("/brew/withdraw").status_code == 200
    assert plan_steps(bar.present().log) == []


def test_a_plan_that_cannot_be_is_refused_with_a_sentence(served: TestClient) -> None:
    assert "sat, sun" in served.post("/brew/adopt", data={"days": "never"}).text
    assert served.post("/brew/adopt", data={"days": "never"}).status_code == 422


def test_a_brew_is_written_down_and_counted(served: TestClient, bar: Book) -> None:
    fields = {"beer": "Pale", "fermenter": "F1", "volume": "18"}
    assert served.post("/brew/brewed", data=fields).status_code == 200
    brewed = bar.present().log[-1]
    assert isinstance(brewed, Brewed)
    assert brewed.volume_m3 == pytest.approx(0.018)
    assert '<span class="note">begun</span>' in served.get("/brew").text
    wrong = served.post("/brew/brewed", data={**fields, "beer": "", "volume": "much"})
    assert wrong.status_code == 422
    assert 'id="f-beer-error"' in wrong.text
    assert 'id="f-volume-error"' in wrong.text
    assert 'value="much"' in wrong.text


def test_a_season_goes_on_the_timeline_and_off_again(served: TestClient, bar: Book) -> None:
    fields = {"about": "Holidays", "begins": "2026-12-19", "lasts": "2 weeks", "factor": "1.5"}
    assert served.post("/brew/season", data=fields).status_code == 200
    season = bar.present().log[-1]
    assert isinstance(season, Gathering)
    assert (season.planned, season.factor) == (True, 1.5)
    page = served.get("/brew").text
    assert "Holidays, 19 Dec" in page
    assert served.post(f"/undo/{season.id}", data={"back": "/brew"}).status_code == 200
    assert "Holidays, 19 Dec" not in served.get("/brew").text
    wrong = served.post("/brew/season", data={**fields, "factor": "many", "about": ""})
    assert wrong.status_code == 422
    assert "is no factor" in wrong.text


def test_a_party_counts_kegs_that_are_not_tapped_until_it_is_told_not_to(
    served: TestClient, bar: Book
) -> None:
    bar.record(
        BatchDescribed(at=bar.clock(), batch="Wheat", target_vol=2.4),
        Filled(
            at=bar.clock(), keg="K3", batch="Wheat", volume_m3=0.018, temperature_k=277.15,
            start_vol=2.4, air_purged=True,
        ),
    )  # fmt: skip
    page = served.get("/brew/party", params={"guests": "20"}).text
    assert "Besides, in kegs that no tap pours yet" in page
    assert re.search(r"Tap it on tap \w+ when keg \w+ is empty", page)
    left_out = served.get("/brew/party", params={"guests": "20", "untapped": "leave"}).text
    assert "Besides, in kegs" not in left_out
    assert served.get("/brew/party", params={"untapped": "some"}).status_code == 422


def test_a_party_is_answered_and_put_on_the_timeline(served: TestClient, bar: Book) -> None:
    fields = {"at": "2026-12-05T16:00", "for": "5 h", "guests": "10", "name": "Feast"}
    page = served.get("/brew/party", params=fields).text
    assert lead(page).startswith("Feast on Sat 5 Dec: 22.4 L for 10 guests")
    assert "Serve only those of age" in page
    assert "of the time. A guest waits" in page
    sent = served.post("/brew/party/adopt", data=fields, follow_redirects=False)
    assert sent.headers["location"].startswith("/brew?wrote=")
    party = bar.present().log[-1]
    assert isinstance(party, Gathering)
    assert (party.about, party.guests) == ("Feast", 10)
    data = served.get("/brew/party.json", params=fields).json()
    assert party.beer_m3 == pytest.approx(data["beer_m3"], abs=1e-6)
    assert "Feast, 5 Dec" in served.get("/brew").text


@pytest.mark.parametrize(
    ("fields", "where", "told"),
    [
        ({"guests": "many"}, "guests", "whole number"),
        ({"guests": ""}, "guests", "needed"),
        ({"at": "soon"}, "at", "is not a time"),
        ({"for": "9 days"}, "for", "15 min to 3 days"),
        ({"first": "-1"}, "first", "from 0 to 10"),
        ({"drink": "5 gal"}, "drink", "out of bounds"),
    ],
)
def test_a_party_that_cannot_be_read_is_told_at_its_field(
    served: TestClient, fields: dict[str, str], where: str, told: str
) -> None:
    answer = served.get("/brew/party", params=fields)
    assert answer.status_code == 422
    found = re.search(rf'id="f-{where}-error">(.*?)</p>', answer.text)
    assert found is not None
    assert told in found[1]


def test_an_empty_log_has_the_pages_too(client: TestClient, tmp_path: Path) -> None:
    empty = TestClient(create_app(fresh(tmp_path)))
    for path in ("/brew", "/brew/party"):
        assert empty.get(path).status_code == 200
    assert lead(empty.get("/brew").text) == "There is no tap to brew for yet."
    assert client.get("/brew").status_code == 200


def test_the_api_adopts_plans_and_parties(served: TestClient, bar: Book) -> None:
    plan = served.post("/api/v1/brewing/adopt", json={"weeks": 12, "sureness": 0.5})
    assert plan.status_code == 201
    told = plan.json()
    assert len(told["steps"]) == len(plan_steps(bar.present().log))
    again = served.post("/api/v1/brewing/adopt").json()
    assert again["withdrawn"] == len(told["steps"])
    party: dict[str, str | int] = {
        "guests": 12,
        "starts": "2026-12-12T16:00:00-06:00",
        "name": "Feast",
    }
    asked = served.get("/api/v1/party", params=party)
    assert asked.status_code == 200
    done = served.post("/api/v1/party/adopt", json=party).json()
    assert done["event"] == bar.present().log[-1].id
    assert done["party"]["beer_m3"] == asked.json()["beer_m3"]
    throng = served.post("/api/v1/party/adopt", json=party | {"guests": 2000, "first_hour": 10.0})
    assert throng.status_code == 422
    # analytic: 2000 guests at 10 drinks and 4 h at 1, 14 of 12 US fl oz each, a twentieth lost
    assert "is more than a party may drink in the log, 5,000 L: say fewer" in throng.text
    wrongs: tuple[dict[str, str], ...] = (
        {"days": "never"},
        {"weeks": "0"},
        {"next": "Stout"},
        {"surely": "1"},
    )
    for wrong in wrongs:
        assert served.get("/api/v1/brewing", params=wrong).status_code == 422
    assert served.get("/api/v1/party", params={"guests": 3}).status_code == 422
