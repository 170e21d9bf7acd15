"""The commands that look ahead, on a store that begins with the demo's system."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from pathlib import Path

import pytest

from tests.console import Ran, assert_refused, ullage
from ullage import typed
from ullage.draw.log_lines import WIDTH
from ullage.system.demo import demo_text


@pytest.fixture
def store(tmp_path: Path) -> str:
    """A log that begins now with the demo."""
    file = tmp_path / "system.toml"
    file.write_text(demo_text(typed.today()), encoding="utf-8")
    address = str(tmp_path / "log.db")
    begun = ullage("record", "begin", str(file), "--store", address)
    assert begun.code == 0, begun.err
    return address


def told(ran: Ran) -> str:
    """What a run wrote, all of it within the terminal's width."""
    assert ran.code == 0, ran.err
    assert max(len(line) for line in ran.out.splitlines()) <= WIDTH
    return ran.out


def test_look_ahead_says_when_kegs_are_ready_and_kicked(store: str) -> None:
    out = told(ullage("look-ahead", "--store", store))
    assert "Keg K1: Backyard Pale, tap left" in out
    assert re.search(r"Ready: now; 2\.40 volumes \(2\.\d\d to 2\.\d\d\) now, wanted 2\.50\.", out)
    assert "Drunk at 7 pint/week" in out
    assert "Ready: not within 28 days as things stand" in out
    assert "Cylinder main (10 lb): 6.2 lb of CO2 left. Empty: " in out


def test_look_ahead_in_json_is_the_same_answer(store: str) -> None:
    answer = ullage("look-ahead", "--days", "14", "--store", store, "--json").json
    assert set(answer) == {
        "at",
        "until",
        "units",
        "kegs",
        "cylinders",
        "household",
        "steps",
        "remarks",
    }
    pale = answer["kegs"][0]
    assert pale["is_ready"] is True
    assert pale["kicked"]["early"] < pale["kicked"]["at"] < pale["kicked"]["late"]
    assert answer["kegs"][2]["ready"]["words"] == "not within 14 days as things stand"


def test_ways_lists_each_and_the_advised_in_full(store: str) -> None:
    out = told(ullage("ways", "K3", "--store", store))
    for method in ("hold", "burst", "shake"):
        assert f"\n  {method:<8}" in out
    assert "Needs a keg with a carbonation stone." in " ".join(out.split())
    assert "Advised: " in out
    assert out.count("To make it the plan: ullage adopt K3") == 1
    assert "CO2 displaces air" in out
    answer = ullage("ways", "K3", "--store", store, "--json").json
    assert answer["keg"] == "K3"


def test_a_plan_is_adopted_done_and_planned_anew(store: str) -> None:
    out = told(ullage("adopt", "K3", "--way", "burst", "--store", store))
    assert "is the plan." in out
    assert "now, " in out
    assert "[40 psi]" in out
    done = told(ullage("done", "--pressure", "38 psi", "--store", store))
    assert "Keg K3: gas on at 38 psi from main" in done
    assert "Next:" in done
    anew = told(ullage("anew", "K3", "--store", store))
    assert "1 step of the plan before taken back." in anew
    assert "without a new plan" in anew
    steps = ullage("look-ahead", "--store", store, "--json").json["steps"]
    assert len(steps) == 2
    assert len({step["plan"] for step in steps}) == 1
    named = ullage("done", steps[0]["step"][:8], "--store", store, "--json").json
    assert named["events"][0]["does"] == steps[0]["step"]
    assert len(named["steps"]) == 1


def test_adopt_in_json_names_plan_and_steps(store: str) -> None:
    ran = ullage("adopt", "K3", "--by", "2099-01-01", "--store", store, "--json")
    answer = json.loads(ran.out)
    assert answer["schedule"]["method"] == "hold"
    assert answer["wanted_by"].startswith("2099-01-01T12:00")
    assert answer["steps"][0]["plan"] == answer["plan"]


def test_the_next_step_of_one_of_several_kegs_is_named(store: str) -> None:
    for keg in ("K2", "K3"):
        told(ullage("adopt", keg, "--way", "hold", "--store", store))
    assert_refused(ullage("done", "--store", store), "K2 (", "K3 (", "--keg")
    assert_refused(ullage("done", "3f9a", "--keg", "K3", "--store", store), "not both")
    assert "Keg K3: " in told(ullage("done", "--keg", "K3", "--store", store))
    assert "Keg K2: " in told(ullage("done", "--store", store))


def test_ways_from_how_a_keg_stands_at_another_moment(store: str) -> None:
    today = ullage("ways", "K3", "--store", store, "--json").json
    tomorrow = (typed.today() + timedelta(days=2)).isoformat()
    later = ullage("ways", "K3", "--at", f"{tomorrow}T12:00", "--store", store, "--json").json
    # analytic: flat beer with the gas on has more in it two days on
    assert later["start_vol"] > today["start_vol"] + 0.1
    assert_refused(ullage("ways", "K3", "--at", "soon", "--store", store), "soon")


def test_mistakes_are_refused_in_one_line(store: str, tmp_path: Path) -> None:
    assert_refused(ullage("ways", "K7", "--store", store), "K7", "K1")
    assert_refused(ullage("adopt", "K3", "--way", "spin", "--store", store), "spin", "hold")
    assert_refused(ullage("done", "--store", store), "no planned step waits")
    assert_refused(ullage("anew", "K3", "--store", store), "no plan yet")
    assert_refused(ullage("ways", "K3", "--by", "soon", "--store", store), "soon", "2026-11-25")
    assert_refused(ullage("look-ahead", "--store", str(tmp_path / "none.db")), "begin")
    assert_refused(ullage("look-ahead", "--days", "0", "--store", store), "days")


def test_a_cure_of_many_vents_is_told_once_and_names_are_not_doubled(tmp_path: Path) -> None:
    file, address = tmp_path / "system.toml", str(tmp_path / "log.db")
    file.write_text(demo_text(typed.today()).replace('"K3"', '"keg 3"'), encoding="utf-8")
    assert ullage("record", "begin", str(file), "--store", address).code == 0
    gassy = ("record", "measured", "--volumes", "3.9", "--keg", "keg 3", "--store", address)
    assert ullage(*gassy).code == 0
    # by day: late in the evening the night parts the vents in two short rows
    noon = f"{typed.today() + timedelta(days=1)}T12:00"
    out = told(ullage("ways", "keg 3", "--store", address, "--at", noon))
    assert out.startswith("Keg 3: Harvest Wheat")
    assert "\n  vent and shake Vent and shake, " in out
    assert " times, until " in " ".join(out.split())
    assert 'ullage adopt "keg 3"' in out
    told(ullage("adopt", "keg 3", "--way", "vent-and-shake", "--store", address))
    for command in ("status", "look-ahead"):
        said = told(ullage(command, "--store", address))
        # the first, what is left of today, then one row a day: some thirty vents, none by night
        assert said.count("then shake") <= 5
        assert "keg keg" not in said.lower()
        assert ".." not in said
