"""Rubbish in forms and addresses: it is told of at the field, and nothing of ours breaks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from re import findall
from urllib.parse import urlsplit

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import with_demo
from tests.web.words import Form, errors, forms
from ullage.cellar.keg_events import KegAcquired
from ullage.plan.adopt import adopt
from ullage.web.app import create_app

RUBBISH = (
    "",
    "-1",
    "1e309",
    "nan",
    "NaN psi",
    "<script>alert(1)</script>",
    "\x00",
    "９９",
    "1/0",
    "K1\nK2",
    "0001-01-01",
    "9999-12-31T23:59",
    "🍺" * 300,
)
PAGES = (
    *("/", "/kegs/K1", "/kegs/K3", "/kegs/K4/fill", "/new-keg", "/pour", "/carbonate", "/gas"),
    *("/gas/ahead", "/gas/share", "/gas/blend", "/brew", "/brew/party", "/build", "/safety"),
    *("/labels", "/faults", "/faults/leak", "/upkeep", "/learn", "/readings", "/alarms", "/data"),
    *("/log", "/system", "/record/keg/K1/poured", "/record/keg/K1/gas-on", "/record/tap/left"),
    *("/record/cylinder/main/weighed", "/batches/Harvest%20Wheat"),
    "/upkeep/how?task=clean+keg&about=K4",
)


@pytest.fixture
def lived_in(tmp_path: Path) -> Iterator[TestClient]:
    """The demo with an empty keg and a plan; what fails inside comes back as a 500."""
    book = with_demo(tmp_path)
    at = book.clock()
    book.record(KegAcquired(at=at, keg="K4", keg_kind="ball-lock-5gal", place="freezer"))
    adopt(book.store, "K3", "burst", None, at, book.present().system)
    app = create_app(book)
    with TestClient(app, raise_server_exceptions=False, follow_redirects=False) as client:
        yield client


def send(client: TestClient, page: str, form: Form) -> int:
    action = unescape(form.action) or urlsplit(page).path
    if form.method == "get":
        return client.get(action, params=form.values).status_code
    return client.post(action, data=form.values).status_code


@pytest.mark.parametrize("page", PAGES)
def test_no_form_breaks(lived_in: TestClient, page: str) -> None:
    shown = lived_in.get(page)
    assert shown.status_code == 200
    fillable = [one for one in forms(shown.text) if one.values]
    assert fillable or page in {"/", "/log", "/alarms", "/data", "/learn", "/record/tap/left"}
    broken = []
    # the same form for each of many things is tried once
    for form in {(urlsplit(one.action).path, *one.values): one for one in fillable}.values():
        for number, said in enumerate(RUBBISH):
            names = [*form.values]
            one = names[number % len(names)]
            for values in (dict.fromkeys(names, said), {**form.values, one: said}):
                if send(lived_in, page, replace(form, values=values)) >= 500:
                    broken.append((form.action, values))
    assert broken == []


@pytest.mark.parametrize("by", ["0001-01-01", "1899-12-31", "2200-01-01", "soon"])
def test_a_day_that_nobody_means_is_told_of_at_its_field(lived_in: TestClient, by: str) -> None:
    page = lived_in.get("/kegs/K1", params={"by": by})
    assert page.status_code == 422
    assert any("write one such as 2026-11-25" in one for one in errors(page.text))


@pytest.mark.parametrize("path", ["/data/log", "/data/readings"])
def test_a_file_sent_as_a_plain_field_may_hold_any_letter(lived_in: TestClient, path: str) -> None:
    page = lived_in.post(path, data={"file": "Bräu 38 °F ９９"})
    assert page.status_code == 422
    assert findall(r'role="alert"|class="error"', page.text)


def test_a_party_may_ask_for_beers_by_no_name_at_all(lived_in: TestClient) -> None:
    asked = {"at": "2026-12-19T16:00", "beers": "K1\nK2, \u202e, " + "x" * 300}
    assert lived_in.get("/brew/party", params=asked).status_code in {200, 422}


NO_NAMES = ("K1\nK2", "\x00", "x" * 300)


@pytest.mark.parametrize("name", NO_NAMES)
def test_what_is_brewed_and_a_season_want_a_name(lived_in: TestClient, name: str) -> None:
    brewed = {"beer": name, "fermenter": "F1", "volume": "5 gal"}
    season = {"about": name, "begins": "2026-12-20T12:00", "lasts": "5 days", "factor": "2"}
    for path, sent in (("/brew/brewed", brewed), ("/brew/season", season)):
        page = lived_in.post(path, data=sent)
        assert page.status_code == 422, path
        assert errors(page.text), path
