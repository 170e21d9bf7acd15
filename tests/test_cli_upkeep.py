"""`upkeep`, `procedure`, `calendar` and `safety` on a store that begins with the demo's system."""

from __future__ import annotations

import re
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
    every = told("upkeep", "--all")
    assert re.search(
        r"\n  \d+ \w+ \d{4}: Tap left \(never written down; counted from [^)]+\)", every
    )
    assert "\n    Clean the beer line\n    Take the faucet apart and brush it\n" in every


def test_upkeep_in_json_and_done() -> None:
    first = ullage("upkeep", "--json").json["tasks"][0]
    assert (first["task"], first["about"], first["state"]) == ("requalify", "main", "due")
    told("record", "upkeep-done", "requalify", "main")
    assert told("upkeep").startswith("Nothing is due. Next: ")
    assert_refused(ullage("record", "upkeep-done", "polish"), "no task of upkeep is called")


def test_a_keg_that_came_used_is_seen_to_before_its_first_filling(store: Path) -> None:
    out = told("record", "keg", "K8", "--kind", "ball-lock-5gal", "--place", "freezer", "--used")
    assert "Keg K8: acquired used (ball lock, 5 US gal), stands in freezer" in " ".join(out.split())
    told("record", "keg", "K9", "--kind", "ball-lock-5gal", "--place", "freezer")
    tasks = ullage("upkeep", "--json").json["tasks"]
    unknown = {
        one["task"] for one in tasks if one["about"] == "K8" and "not known" in one["because"]
    }
    assert {"seals", "strip keg"} <= unknown
    assert not [one for one in tasks if one["about"] == "K9" and "not known" in one["because"]]
    # the form of the event is the one of before where nothing is said of it
    assert ullage("export", str(store / "log.jsonl")).code == 0
    log = (store / "log.jsonl").read_text(encoding="utf-8")
    assert log.count('"used":true') == 1
    assert '"used":false' not in log


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


def test_steps_are_ticked_off_and_the_last_one_writes_it_down() -> None:
    out = told("procedure", "clean line", "left", "--did", "1", "--did", "2", "--did", "3")
    assert "step 4 of 6, next: Keep it moving for 15 minutes" in out.replace("\n  ", " ")
    assert "runs since" in out
    begun = ullage("procedure", "clean line", "left", "--json").json["begun"]
    assert (begun["done"], begun["next_step"], begun["holds_cleaner"]) == (3, 4, True)
    assert begun["steps"][3]["enough_at"] > begun["steps"][3]["since"]
    upkeep = told("upkeep", "--all")
    assert "Half done\n  Clean the beer line: tap left: begun just now" in upkeep
    assert "half done: Clean the beer line: tap left, step 4 of 6" in upkeep.replace("\n  ", " ")
    # once to go on with it and once in the list of what is half done, in no other group
    assert upkeep.count("Clean the beer line: tap left") == 2
    assert upkeep.count("    Clean the beer line\n") == 2  # of the other two taps
    assert "Clean the line of tap left" not in told("status")
    assert ullage("upkeep", "--json").json["begun"][0]["about"] == "left"
    assert "Clean the beer line: tap left: begun just now" in told("status")
    assert ullage("status", "--json").json["begun"][0]["task"] == "clean line"
    assert "step 3 of 6" in told("procedure", "clean line", "left", "--not-done", "3")
    last = ("--did", "3", "--did", "4", "--did", "5", "--did", "6")
    ended = told("procedure", "clean line", "left", *last)
    assert ended.startswith("All steps are done.\nTap left: line cleaned")
    assert ullage("procedure", "clean line", "left", "--json").json["begun"] is None
    assert "Half done" not in told("upkeep")


def test_a_procedure_is_begun_again_and_dropped() -> None:
    told("procedure", "clean line", "left", "--did", "1")
    again = told("procedure", "clean line", "left", "--again")
    assert "Begun just now, step 1 of 6" in again
    assert "Begun" not in told("procedure", "clean line", "left", "--drop")


def test_the_flow_through_this_line() -> None:
    pumped = ("--pump-head", "3 m", "--pump-flow", "15 L/min", "--solution-at", "40 degC")
    by_pump, by_gas = ullage("procedure", "clean line", "left", *pumped, "--json").json["flows"]
    assert by_pump["method"] == "circulate"
    assert by_pump["shut_off_m"] == pytest.approx(3.0)
    # by hand: see the tests of plan.clean_flow: 46 mL/s at 11 psi
    assert by_gas["flow_m3_s"] == pytest.approx(46e-6, rel=0.05)
    pushed = told("procedure", "clean line", "left", "--push", "10 psi").replace("\n  ", " ")
    assert "Gas at 10 psi (0.7 bar) moves" in pushed
    assert "Push it through from a clean keg" in pushed
    line = ("procedure", "clean line", "left")
    assert_refused(ullage(*line, "--push", "90 psi"), "lowest rating")
    assert_refused(ullage(*line, "--pump-head", "3 gal"), "not a length")
    assert_refused(ullage(*line, "--push", "9 psi", "--pump-head", "3 m"), "not both")
    assert_refused(ullage(*line, "--solution-at", "90 degC"), "as its label says")


def test_what_cannot_be_ticked_is_refused_and_nothing_is_begun() -> None:
    assert_refused(ullage("procedure", "clean line", "left", "--did", "9"), "its steps are 1 to 6")
    assert_refused(ullage("procedure", "clean keg", "K1", "--did", "1"), "holds beer")
    assert ullage("upkeep", "--json").json["begun"] == []


def test_what_cannot_be_answered_is_refused() -> None:
    assert_refused(ullage("procedure", "clean line"), "there are: left, middle, right")
    assert_refused(ullage("procedure", "clean line", "attic"), "no tap is called")
    assert_refused(ullage("procedure", "clean line", "left", "--strength", "50 %"), "label")


def test_the_calendar_as_a_file(store: Path) -> None:
    file = store / "ullage.ics"
    assert "entries to" in ullage("calendar", str(file)).out
    assert file.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_safety_tells_of_a_regulator_at_two_pressures() -> None:
    assert "gives one pressure" not in told("safety")
    assert ullage("safety", "--json").json["odds"] == []
    told("record", "gas-on", "30 psi", "--keg", "K2")
    words = " ".join(told("safety").split())
    assert "Note: Regulator gives one pressure, yet by the log" in words
    assert "keg K2 on 30 psi" in words
    (odd,) = ullage("safety", "--json").json["odds"]
    assert odd in words


def test_safety_of_the_room() -> None:
    out = told("safety")
    assert out.startswith("All of cylinder main, full, let into garage (1,600 cu ft), shut: 5.6 %")
    answer = ullage("safety", "--json").json
    assert answer["pressures"][0]["above"] is False
    assert answer["cylinders"][0]["full_fraction"] == pytest.approx(0.056, abs=0.001)
