"""`upkeep`, `procedure`, `calendar` and `safety` on a store that begins with the demo's system."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage
from ullage import typed
from ullage.draw.log_lines import WIDTH
from ullage.system.demo import demo_text


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log that begins now with the demo."""
    file = tmp_path / "system.toml"
    file.write_text(demo_text(typed.today()), encoding="utf-8")
    monkeypatch.setenv("ULLAGE_STORE", str(tmp_path / "log.db"))
    assert ullage("record", "begin", str(file)).code == 0
    return tmp_path


def told(*words: str) -> str:
    ran = ullage(*words)
    assert ran.code == 0, ran.err
    assert max(len(line) for line in ran.out.splitlines()) <= WIDTH
    return ran.out


def test_upkeep_says_what_is_due() -> None:
    out = told("upkeep")
    assert out.startswith("Do now: Have the cylinder tested: cylinder main, due 1 Apr 2024.")
    assert "--all shows them" in out
    assert "Replace the beer line: tap left" not in out
    assert "Replace the beer line: tap left" in told("upkeep", "--all").replace("\n    ", " ")


def test_upkeep_in_json_and_done() -> None:
    first = ullage("upkeep", "--json").json["tasks"][0]
    assert (first["task"], first["about"], first["state"]) == ("requalify", "main", "due")
    told("record", "upkeep-done", "requalify", "main")
    assert told("upkeep").startswith("Nothing is due. Next: ")
    assert_refused(ullage("record", "upkeep-done", "polish"), "no task of upkeep is called")


def test_how_often_is_the_households() -> None:
    assert told("interval", "clean line", "--days", "21") == "Clean the beer line: every 21 days.\n"
    tasks = ullage("upkeep", "--json").json["tasks"]
    assert {one["every"] for one in tasks if one["task"] == "clean line"} == {"every 21 days"}
    assert told("interval", "faucet", "--off").endswith("switched off.\n")
    assert "Switched off: faucet." in told("upkeep")
    assert told("interval", "faucet").endswith("every 14 days.\n")
    assert_refused(ullage("interval", "gas alarm", "--kegs", "2"), "kegs and taps only")
    assert_refused(ullage("interval", "gas alarm", "--days", "0"), "days")


def test_a_procedure_by_the_label() -> None:
    out = told("procedure", "clean line", "left", "--strength", "3 %")
    assert "that takes 60 g" in out.replace("\n  ", " ")
    assert "Caution: Gloves" in out
    assert ullage("procedure", "requalify", "--json").json["about"] == "main"


def test_what_cannot_be_answered_is_refused() -> None:
    assert_refused(ullage("procedure", "clean line"), "there are: left, middle, right")
    assert_refused(ullage("procedure", "clean line", "attic"), "no tap is called")
    assert_refused(ullage("procedure", "clean line", "left", "--strength", "50 %"), "label")


def test_the_calendar_as_a_file(store: Path) -> None:
    file = store / "ullage.ics"
    assert "entries to" in ullage("calendar", str(file)).out
    assert file.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_safety_of_the_room() -> None:
    out = told("safety")
    assert out.startswith("All of cylinder main, full, let into garage (1,600 cu ft), shut: 5.6 %")
    answer = ullage("safety", "--json").json
    assert answer["pressures"][0]["above"] is False
    assert answer["cylinders"][0]["full_fraction"] == pytest.approx(0.056, abs=0.001)
