"""`ullage brewing` and `ullage party`: what they say, write down, and refuse."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.console import assert_refused, ullage
from tests.plan.brew_logs import FILE
from ullage.cellar.store import Store

SOON = "2099-01-01T16:00"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "bar.toml"
    path.write_text(FILE, encoding="utf-8")
    return path


@pytest.fixture
def store(tmp_path: Path, file: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "log.db"
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    assert ullage("record", "begin", str(file)).code == 0
    return path


def count(path: Path) -> int:
    with Store.open(str(path)) as there:
        return len(there.read())


def on_gas(answer: Any) -> timedelta:
    """The time from the first filling until its beer is ready."""
    keg = next(keg for batch in answer["batches"] for keg in batch["kegs"])
    ready, packaged = (datetime.fromisoformat(keg[one]) for one in ("ready_at", "packaged_at"))
    return ready - packaged


def in_days(days: int) -> str:
    return (datetime.now(UTC) + timedelta(days=days)).isoformat(timespec="minutes")


def test_a_file_alone_is_answered(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ULLAGE_STORE", str(tmp_path / "none.db"))
    ran = ullage("brewing", str(file), "--sure", "50", "--weeks", "10")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Brew 19 L of ")
    assert "No tap runs dry, counted on the usual drinking." in ran.out
    assert not (tmp_path / "none.db").exists()
    told = ullage("party", "8", "--at", in_days(3), "--file", str(file), "--json").json
    assert told["guests"] == 8
    assert told["beer_m3"] == pytest.approx(8 * 6 * 355e-6 * 1.05)


def test_the_options_change_the_question(store: Path) -> None:
    told = ullage("brewing", "--days", "any", "--next", "right=Pale", "--json").json
    assert {batch["beer"] for batch in told["batches"]} == {"Pale"}
    before = count(store)
    quick = ullage("brewing", "--quick", "--a-day", "2", "--json").json
    assert on_gas(quick) < on_gas(ullage("brewing", "--json").json)
    assert count(store) == before  # asking writes nothing


def test_a_plan_is_adopted_and_its_step_done(store: Path) -> None:
    before = count(store)
    ran = ullage("brewing", "--adopt", "--sure", "50")
    assert (ran.code, ran.err) == (0, "")
    assert "planned:" in ran.out
    assert count(store) > before
    again = ullage("brewing", "--adopt", "--json").json
    assert again["withdrawn"] > 0
    step = next(one for one in again["steps"] if one["subject_kind"] == "fermenter")
    ahead = ullage("look-ahead").out
    assert f"{step['step'][:8]}" in ahead
    assert "fermenter F1: Brew 19 L of" in ahead
    done = ullage("done", step["step"][:8])
    assert done.code == 0
    assert "brewed 19 L of" in done.out


def test_a_brew_and_a_party_are_written_down(store: Path) -> None:
    assert "brewed 19 L of Pale" in ullage("record", "brewed", "Pale").out
    begun = ullage("brewing", "--json").json["batches"][0]
    assert (begun["beer"], begun["begun"]) == ("Pale", True)
    ran = ullage("party", "12", "--at", in_days(9), "--for", "4 h", "--name", "Feast", "--adopt")
    assert ran.code == 0
    assert "Planned: Feast: gathering of 12 until" in ran.out
    assert [one["about"] for one in ullage("brewing", "--json").json["gatherings"]] == ["Feast"]
    away = ullage(
        "record", "gathering", "Away", "--planned", "--at", in_days(20), "--for", "2 weeks",
        "--factor", "0",
    )  # fmt: skip
    assert "0 times the usual drinking" in away.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("brewing", "--days", "weekend"), 'write "sat, sun"'),
        (("brewing", "--next", "Stout"), "left=Stout"),
        (("brewing", "--drunk", "left"), "left=7 pints/week"),
        (("brewing", "--drunk", "left=often"), "flow"),
        (("brewing", "--drunk", "lfet=3 L/week"), "left"),
        (("brewing", "--next", "lfet=Stout"), "left"),
        (("brewing", "--weeks", "0"), "weeks"),
        (("brewing", "nowhere.toml"), "nowhere.toml"),
        (("party", "0", "--at", SOON), "guests"),
        (("party", "5", "--at", "soon"), "is not a time"),
        (("party", "5", "--at", "18:00", "--for", "9 days"), "15 min to 3 days"),
        (("party", "5", "--at", "18:00", "--drink", "1 gal"), "is no drink"),
        (("record", "brewed", "Pale", "--volume", "lots"), "volume"),
        (("record", "gathering", "X", "--factor", "2", "--beer", "3 L"), "one of them"),
        (("record", "gathering", "X"), "one of them"),
    ],
)
def test_a_mistake_is_one_line_and_writes_nothing(
    store: Path, words: tuple[str, ...], said: str
) -> None:
    before = count(store)
    assert_refused(ullage(*words), said)
    assert count(store) == before


def test_a_rate_that_nobody_knows_is_asked_for_and_said(tmp_path: Path) -> None:
    untold = tmp_path / "untold.toml"
    text = FILE.replace('drinking = "1.4 L/week"\n', "").replace('drinking = "2.8 L/week"\n', "")
    untold.write_text(text, encoding="utf-8")
    said = " ".join(ullage("brewing", str(untold)).out.split())
    assert said.startswith("When to brew cannot be told: how quickly the beer on tap left")
    assert '--drunk "left=7 pints/week"' in said
    both = ("--drunk", "left=2.8 L/week", "--drunk", "right=1.4 L/week", "--sure", "50")
    assert ullage("brewing", str(untold), *both).out.startswith("Brew 19 L of ")
    assert ullage("brewing", str(untold), *both, "--json").json["untold"] == []


def test_a_party_counts_what_is_not_on_tap_or_leaves_it_out(store: Path) -> None:
    ullage("record", "filled", "Spare", "--keg", "K3", "--volume", "18 L", "--volumes", "2.4")
    asked = ("party", "20", "--at", in_days(3))
    assert "no tap pours yet" in ullage(*asked).out
    assert ullage(*asked, "--json").json["more"][0]["keg"] == "K3"
    assert ullage(*asked, "--tapped-only", "--json").json["more"] == []


def test_a_file_is_not_adopted_into_a_log(store: Path, file: Path) -> None:
    assert_refused(ullage("brewing", str(file), "--adopt"), "leave the file out")
    assert_refused(
        ullage("party", "5", "--at", in_days(2), "--file", str(file), "--adopt"),
        "leave the file out",
    )
    assert_refused(ullage("record", "brewed", "Pale", "--fermenter", "F9"), "give --volume")
