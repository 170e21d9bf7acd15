"""`learn`: shown, kept and dropped, on a store with readings; nothing is written by looking."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage
from tests.plan.taught import fill
from ullage.cellar.store import Store
from ullage.draw.log_lines import WIDTH


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log with readings of every kind; the household's clock is long after them."""
    file = tmp_path / "log.db"
    monkeypatch.setenv("ULLAGE_STORE", str(file))
    monkeypatch.setattr("ullage.cli.learn.now", _now)
    with Store.open(str(file)) as opened:
        fill(opened)
    return file


def _now() -> object:
    from tests.plan.taught import NOW  # noqa: PLC0415

    return NOW.astimezone()


def told(*words: str) -> str:
    ran = ullage(*words)
    assert ran.code == 0, ran.err
    assert max(len(line) for line in ran.out.splitlines()) <= WIDTH
    return ran.out


def count(file: Path) -> int:
    with Store.open(str(file)) as opened:
        return opened.count()


def test_learn_shows_and_writes_nothing(store: Path) -> None:
    before = count(store)
    out = told("learn")
    assert "One reading looks wrong" in " ".join(out.split())
    assert '\n  its name: "gauge main"\n' in out
    assert "What the regulator on cylinder main gives over what it shows: " in out
    assert "as a bore of " in out
    assert "What would teach most next" in out
    assert "ullage learn --keep all" in out
    assert count(store) == before


def test_all_shows_every_reading_and_constant() -> None:
    short, long = told("learn"), told("learn", "--all")
    assert len(long.splitlines()) > len(short.splitlines())
    assert "How much gas your beers hold" not in short
    assert "How much gas your beers hold" in long


def test_json_is_si_and_whole() -> None:
    answer = ullage("learn", "--json").json
    gauge = next(one for one in answer["constants"] if one["name"] == "gauge main")
    assert gauge["unit"] == "Pa"
    assert gauge["after_low"] < gauge["after"] < gauge["after_high"]
    assert gauge["kept"] is None
    assert sum(one["share"] for one in answer["lessons"]) == pytest.approx(1.0)
    assert [one["looks_wrong"] for one in answer["lessons"]].count(True) == 1


def test_keeping_by_name_and_dropping(store: Path) -> None:
    before = ullage("status", "--json").out
    out = told("learn", "--keep", "gauge main", "--keep", "absorption")
    told_now = " ".join(out.split())
    assert "these of your own now: the speed at which beer takes up gas at rest and the" in told_now
    assert "the error of the regulator's gauge on cylinder main." in told_now
    assert ullage("status", "--json").out != before
    assert "kept: " in told("learn")
    left = told("learn", "--drop", "gauge main").replace("\n  ", " ")
    assert "the speed at which beer takes up gas at rest." in left
    assert told("learn", "--drop", "all").startswith("No constant of your own is kept")
    assert count(store) > 0


def test_keeping_everything_tells_in_json() -> None:
    kept = ullage("learn", "--keep", "all", "--json").json
    learnt = [one["kept"] for one in kept["constants"] if one["narrower"] >= 0.05]
    assert learnt
    assert None not in learnt


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--keep", "gauge mian"), 'did you mean "gauge main"'),
        (("--drop", "gauge main"), "no constant is kept"),
        (("--keep", "all", "--drop", "all"), "one of them"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(
    words: tuple[str, ...], said: str, store: Path
) -> None:
    before = count(store)
    assert_refused(ullage("learn", *words), said)
    assert count(store) == before


def test_an_empty_log_has_nothing_to_learn_from(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "empty.db"
    with Store.open(str(file)):
        pass
    monkeypatch.setenv("ULLAGE_STORE", str(file))
    assert told("learn") == "Nothing to learn from yet: no reading is written down.\n"
    assert_refused(ullage("learn", "--keep", "all"), "nothing to keep")
