"""The JSON API: the same answers as the pages, the same one way into the log."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import NOW, fresh
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Poured
from ullage.plan.adopt import Adopted
from ullage.plan.answers import CarbonationAnswer, WholeAnswer
from ullage.plan.as_json import plain
from ullage.plan.look_ahead import LookAhead, look_ahead
from ullage.plan.status import StatusAnswer
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.shapes import shape_of

GLASS = {"kind": "poured", "keg": "K1", "volume_m3": 0.0004, "at": NOW.isoformat()}


def refused(answer: Any, code: int) -> str:
    """The sentences of a refusal, whose form is checked."""
    assert answer.status_code == code, answer.text
    assert answer.headers["content-type"] == "application/json"
    told = answer.json()
    assert set(told) == {"error", "detail"}
    return " ".join(told["detail"])


# --- What is told ---


def test_the_status_is_that_of_the_pages(cellar: TestClient, book: Book) -> None:
    answer = cellar.get("/api/v1/status")
    assert answer.json() == {**plain(book.present().status), "alarms": 0}
    assert answer.headers["cache-control"] == "no-cache"


def test_the_look_ahead_goes_as_far_as_asked(cellar: TestClient, book: Book) -> None:
    present = book.present()
    told = cellar.get("/api/v1/look-ahead").json()
    assert told == plain(look_ahead(present.log, present.at, system=present.described))
    near = cellar.get("/api/v1/look-ahead?days=3").json()
    assert near["until"] < told["until"]
    assert "days" in refused(cellar.get("/api/v1/look-ahead?days=0"), 422)


def test_the_ways_of_a_keg(cellar: TestClient) -> None:
    told = cellar.get("/api/v1/kegs/K3/ways").json()
    assert told["keg"] == "K3"
    assert told["schedules"]
    soon = cellar.get("/api/v1/kegs/K3/ways?by=2026-11-30").json()
    assert soon["wanted_by"].startswith("2026-11-30T12:00")


def test_a_keg_that_is_not_there(cellar: TestClient) -> None:
    said = refused(cellar.get("/api/v1/kegs/K%2F9/ways"), 404)
    assert said == 'no keg is called "K/9" (there are: "K1", "K2", "K3")'


@pytest.mark.parametrize(
    "answer", [StatusAnswer, LookAhead, CarbonationAnswer, Adopted, WholeAnswer]
)
def test_every_answer_has_a_shape_with_units_in_its_keys(answer: type) -> None:
    schema = json.dumps(shape_of(answer).model_json_schema(mode="serialization"))
    assert "Band" not in schema
    assert '"additionalProperties": false' in schema


def test_a_band_is_three_keys() -> None:
    keys = shape_of(CarbonationAnswer).model_fields
    assert {"gauge_pressure_pa", "gauge_pressure_low_pa", "gauge_pressure_high_pa"} <= set(keys)
    assert keys["equilibrium_low_vol"].is_required()
    assert not keys["present_equilibrium_low_vol"].is_required()


# --- The log ---


def test_the_log_comes_in_pages(cellar: TestClient, book: Book) -> None:
    whole = [one.position for one in book.store.read()]
    found: list[int] = []
    page: dict[str, Any] = {"last": 0, "more": True}
    while page["more"]:
        page = cellar.get(f"/api/v1/events?limit=7&after={page['last']}").json()
        found += [one["position"] for one in page["events"]]
    assert found == whole
    assert page["last"] == whole[-1]
    beyond = cellar.get(f"/api/v1/events?after={whole[-1]}").json()
    assert beyond == {"events": [], "last": whole[-1], "more": False}


def test_the_log_of_one_thing(cellar: TestClient, book: Book) -> None:
    found = cellar.get("/api/v1/events?stream=keg:K2").json()["events"]
    assert [one["number"] for one in found] == [*range(1, len(found) + 1)]
    assert {one["event"]["keg"] for one in found} == {"K2"}
    rest = cellar.get(f"/api/v1/events?stream=keg:K2&after={found[0]['position']}").json()
    assert rest["events"] == found[1:]


def test_planned_steps_or_facts_alone(cellar: TestClient) -> None:
    assert cellar.get("/api/v1/events?planned=true").json()["events"] == []
    cellar.post("/api/v1/kegs/K3/adopt")
    planned = cellar.get("/api/v1/events?planned=true").json()["events"]
    facts = cellar.get("/api/v1/events?planned=false&limit=1000").json()["events"]
    assert planned
    assert {one["event"]["planned"] for one in planned} == {True}
    assert {one["event"]["planned"] for one in facts} == {False}


def test_a_word_that_is_no_field_is_refused(cellar: TestClient) -> None:
    assert "steam" in refused(cellar.get("/api/v1/events?steam=keg:K1"), 422)
    assert "stream" in refused(cellar.get("/api/v1/events?stream=K1"), 422)


def test_one_event_by_its_id(cellar: TestClient, book: Book) -> None:
    stored = book.store.read("keg:K1")[0]
    told = cellar.get(f"/api/v1/events/{stored.event.id}").json()
    assert told["position"] == stored.position
    assert told["event"] == json.loads(stored.event.model_dump_json(exclude_none=True))
    assert "0000" in refused(cellar.get(f"/api/v1/events/{'0' * 32}"), 404)


# --- What is written ---


def test_an_event_is_written_once(cellar: TestClient, book: Book) -> None:
    first = cellar.post("/api/v1/events", json=GLASS)
    assert first.status_code == 201
    written = first.json()["written"][0]
    assert book.store.read("keg:K1")[-1].event == Poured.model_validate(written)
    again = cellar.post("/api/v1/events", json=written)
    assert again.status_code == 200
    assert again.json() == {"written": [], "known": [written["id"]], "warnings": []}


def test_what_is_odd_is_said(cellar: TestClient) -> None:
    two = cellar.post("/api/v1/events", json=[GLASS, GLASS]).json()
    assert len(two["written"]) == 2
    assert two["warnings"]


def test_a_pressure_above_the_lowest_rating_is_said(cellar: TestClient, book: Book) -> None:
    at = book.clock().isoformat()
    event = {"kind": "gas_on", "keg": "K1", "at": at, "gauge_pressure_pa": 482_633.0}
    warnings = cellar.post("/api/v1/events", json=event).json()["warnings"]
    # pin: 482 633 Pa are 70 psi; the demo's beer lines are vinyl, marked for 50
    assert warnings[-1].startswith("70 psi is too much: the lowest rating here is 50 psi")


def test_a_list_is_written_whole_or_not_at_all(cellar: TestClient, book: Book) -> None:
    before = book.store.count()
    said = refused(cellar.post("/api/v1/events", json=[GLASS, GLASS | {"keg": "K9"}]), 422)
    assert "K9" in said
    assert book.store.count() == before


@pytest.mark.parametrize(
    ("body", "field"),
    [
        (GLASS | {"volume_m3": -1}, "volume_m3:"),
        (GLASS | {"colour": "amber"}, "colour:"),
        ([GLASS, GLASS | {"volume_m3": "much"}], "1.volume_m3:"),
        ({"events": [GLASS], "expected": {"keg:K1": -1}}, "expected.keg:K1:"),
        ({"events": [GLASS], "expected": {}, "more": 1}, "more:"),
        ({"kind": "drunk"}, "body:"),
        ([], "body:"),
        ("glass", "body:"),
        ({"\ud800": 1, **GLASS}, "body:"),
    ],
)
def test_what_is_wrong_is_named_by_its_field(cellar: TestClient, body: Any, field: str) -> None:
    sent = json.dumps(body)
    answer = cellar.post(
        "/api/v1/events", content=sent, headers={"content-type": "application/json"}
    )
    assert field in refused(answer, 422)


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59"])
def test_a_moment_that_no_clock_can_tell_is_refused(cellar: TestClient, at: str) -> None:
    assert refused(cellar.post("/api/v1/events", json=GLASS | {"at": at}), 422).startswith("at: ")
    planned = GLASS | {"at": at, "planned": True}
    assert refused(cellar.post("/api/v1/events", json=planned), 422).startswith("at: ")


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_day_that_no_clock_can_tell_is_refused(cellar: TestClient, day: str) -> None:
    batch = {"kind": "batch_described", "batch": "Harvest Wheat", "target_vol": 2.5}
    told = batch | {"at": NOW.isoformat(), "ready_by": day}
    assert "ready_by: " in refused(cellar.post("/api/v1/events", json=told), 422)
    assert "by: " in refused(cellar.get(f"/api/v1/kegs/K3/ways?by={day}"), 422)
    assert "by: " in refused(cellar.post("/api/v1/kegs/K3/adopt", json={"by": day}), 422)
    file = cellar.get("/api/v1/system.toml").text
    wrong = file.replace("ready_by = 2026", f"ready_by = {day} # ")
    assert wrong != file
    assert day in refused(cellar.put("/api/v1/system.toml", content=wrong), 422)


def test_versions_that_are_expected(cellar: TestClient, book: Book) -> None:
    number = book.store.read("keg:K1")[-1].number
    batch = {"events": [GLASS], "expected": {"keg:K1": number, "keg:none": 0}}
    assert cellar.post("/api/v1/events", json=batch).status_code == 201
    before = book.store.count()
    said = refused(cellar.post("/api/v1/events", json=batch), 409)
    assert f"keg:K1 is at number {number + 1}, not {number}" in said.replace("Keg", "keg")
    assert book.store.count() == before


def test_versions_do_not_matter_for_what_is_known(cellar: TestClient, book: Book) -> None:
    number = book.store.read("keg:K1")[-1].number
    batch = {"events": [GLASS | {"id": "a" * 32}], "expected": {"keg:K1": number}}
    assert cellar.post("/api/v1/events", json=batch).status_code == 201
    assert cellar.post("/api/v1/events", json=batch).json()["known"] == ["a" * 32]


def test_an_event_is_taken_back_once(cellar: TestClient, book: Book) -> None:
    event = cellar.post("/api/v1/events", json=GLASS).json()["written"][0]
    undone = cellar.post(f"/api/v1/events/{event['id']}/undo")
    assert undone.status_code == 201
    assert undone.json()["written"][0]["event"] == event["id"]
    assert "already" in refused(cellar.post(f"/api/v1/events/{event['id']}/undo"), 422)
    assert refused(cellar.post(f"/api/v1/events/{'0' * 32}/undo"), 404)


def test_a_body_has_a_greatest_size(cellar: TestClient) -> None:
    big = b"[" + b" " * 1_000_000
    answer = cellar.post(
        "/api/v1/events", content=big, headers={"content-type": "application/json"}
    )
    assert "1,000,000 bytes" in refused(answer, 413)


def test_another_site_s_page_writes_nothing(cellar: TestClient, book: Book) -> None:
    before = book.store.count()
    foreign = {"origin": "https://elsewhere.invalid"}
    assert cellar.post("/api/v1/events", json=GLASS, headers=foreign).status_code == 403
    assert book.store.count() == before


# --- Plans ---


def test_a_plan_is_adopted_done_and_made_anew(cellar: TestClient, book: Book) -> None:
    adopted = cellar.post("/api/v1/kegs/K3/adopt", json={"method": "burst", "by": "2026-12-08"})
    assert adopted.status_code == 201, adopted.text
    told = adopted.json()
    assert told["schedule"]["method"] == "burst"
    assert told["wanted_by"].startswith("2026-12-08")
    step = told["steps"][0]["step"]
    done = cellar.post(f"/api/v1/steps/{step}/done", json={"gauge_pressure_pa": 200_000.0})
    assert done.status_code == 201
    assert done.json()["written"][0]["does"] == step
    assert step in refused(cellar.post(f"/api/v1/steps/{step}/done"), 404)
    anew = cellar.post("/api/v1/kegs/K3/anew")
    assert anew.status_code == 201
    assert anew.json()["withdrawn"] >= 1


def test_what_cannot_be_planned(cellar: TestClient) -> None:
    assert refused(cellar.post("/api/v1/kegs/K9/adopt"), 404)
    assert "no plan yet" in refused(cellar.post("/api/v1/kegs/K3/anew"), 422)
    assert "method" in refused(cellar.post("/api/v1/kegs/K3/adopt", json={"method": "magic"}), 422)
    assert "way" in refused(cellar.post("/api/v1/kegs/K3/adopt", json={"way": "hold"}), 422)


# --- The system ---


def test_the_system_file_goes_round(cellar: TestClient) -> None:
    read = cellar.get("/api/v1/system.toml")
    assert read.headers["etag"] == '"1"'
    warmer = read.text.replace('temperature = "38 degF"', 'temperature = "40 degF"')
    saved = cellar.put("/api/v1/system.toml", content=warmer, headers={"if-match": '"1"'})
    assert saved.json()["version"] == 2
    assert saved.headers["etag"] == '"2"'
    assert [one["kind"] for one in saved.json()["written"]] == ["place_set"]
    late = cellar.put("/api/v1/system.toml", content=read.text, headers={"if-match": '"1"'})
    assert "version 2, not 1" in refused(late, 412)
    assert cellar.put("/api/v1/system.toml", content=read.text).json()["version"] == 3


def test_a_wrong_system_file_changes_nothing(cellar: TestClient) -> None:
    said = refused(cellar.put("/api/v1/system.toml", content='name = "X"\nunits = "old"\n'), 422)
    assert "line 2" in said
    assert refused(cellar.put("/api/v1/system.toml", content=b"\xff"), 415)
    assert cellar.get("/api/v1/system.toml").headers["etag"] == '"1"'


def test_the_system_as_json_is_what_the_file_says(cellar: TestClient) -> None:
    told = cellar.get("/api/v1/system").json()
    assert told["version"] == 1
    assert told["system"]["keg"][0]["name"] == "K1"
    assert told["system"]["cylinder"][0]["requalified"] == "2019-04-01"


def test_nothing_described_yet(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        assert refused(client.get("/api/v1/system"), 404)
        assert refused(client.get("/api/v1/system.toml"), 404)
        assert client.get("/api/v1/status").json()["kegs"] == []
        assert client.get("/api/v1/look-ahead").json()["kegs"] == []
        made = client.put("/api/v1/system.toml", content='name = "New"\n')
        assert made.json()["version"] == 1


# --- Files ---


def test_the_export_goes_round(cellar: TestClient, tmp_path: Path) -> None:
    data = cellar.get("/api/v1/log.jsonl").content
    (tmp_path / "other").mkdir()
    with TestClient(create_app(fresh(tmp_path / "other"))) as other:
        done = other.post("/api/v1/log.jsonl", content=data).json()
        assert done == {"written": data.count(b'"event":{'), "known": 0, "documents": 1}
        assert other.post("/api/v1/log.jsonl", content=data).json()["known"] == done["written"]
        assert other.get("/api/v1/log.jsonl").content == data
        cut = refused(other.post("/api/v1/log.jsonl", content=data[: data.rfind(b"{")]), 422)
        assert "cut short" in cut


def test_readings_come_in_from_a_table(cellar: TestClient) -> None:
    head = "at,subject,kind,quantity,value,unit\n"
    row = f"{NOW.isoformat()},keg:K1,measured,temperature,38,degF\n"
    assert cellar.post("/api/v1/readings.csv", content=head + row).json() == {
        "written": 1,
        "known": 0,
    }
    table = cellar.get("/api/v1/readings.csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8"
    # independent: 38 °F is (38 + 459.67) / 1.8 K
    assert ",keg:K1,measured,temperature,276.4833" in table.text
    wrong = cellar.post("/api/v1/readings.csv", content=head + row.replace("degF", "psi"))
    assert refused(wrong, 422).startswith("Line 2")


# --- Its description ---


def test_addresses_that_lead_nowhere_answer_as_data(cellar: TestClient) -> None:
    refused(cellar.get("/api/v1/nothing", headers={"accept": "text/html"}), 404)
    answer = cellar.delete("/api/v1/status", headers={"accept": "text/html"})
    refused(answer, 405)
    assert answer.headers["allow"] == "GET"


def test_everything_is_described(client: TestClient) -> None:
    told = client.get("/openapi.json").json()
    paths = {path for path in told["paths"] if path.startswith("/api/v1/")}
    assert paths == {
        f"/api/v1/{path}"
        for path in (
            "status",
            "alarms",
            "alarms/limits/{name}",
            "look-ahead",
            "gas-ahead",
            "leak/guide",
            "leak/hold",
            "leak/weigh",
            "leak/where",
            "learn",
            "upkeep",
            "upkeep/procedure",
            "share",
            "brewing",
            "brewing/adopt",
            "party",
            "party/adopt",
            "kegs/{keg}/ways",
            "kegs/{keg}/adopt",
            "kegs/{keg}/anew",
            "steps/{step}/done",
            "events",
            "events/{event_id}",
            "events/{event_id}/undo",
            "system",
            "system.toml",
            "log.jsonl",
            "readings.csv",
            "samples",
        )
    }
    kinds = {one.__name__ for one in get_args(Event)}
    assert kinds <= set(told["components"]["schemas"])


def test_everything_stands_in_the_handbook(client: TestClient) -> None:
    page = Path("docs/api.md").read_text(encoding="utf-8")
    for path, methods in client.get("/openapi.json").json()["paths"].items():
        if path.startswith("/api/v1"):
            said = path.removeprefix("/api/v1")
            for name, example in (("{keg}", "K1"), ("{step}", "3f6981e5"), ("{event_id}", "ID")):
                said = said.replace(name, example)
            for method in methods:
                assert f"`{method.upper()} {said}" in page


def test_every_answer_of_an_address_with_data_has_a_schema(client: TestClient) -> None:
    for path, methods in client.get("/openapi.json").json()["paths"].items():
        for method, told in methods.items():
            right = [answer for code, answer in told["responses"].items() if code < "300"]
            for answer in right:
                for content in answer["content"].values():
                    assert content["schema"], (path, method)


def test_the_status_warns_of_a_regulator_at_two_pressures(cellar: TestClient, book: Book) -> None:
    assert cellar.get("/api/v1/status").json()["warnings"] == []
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=206_843.0))
    (said,) = cellar.get("/api/v1/status").json()["warnings"]
    assert "gives one pressure, yet by the log" in said
