"""The bench code runs and says what it should; no times are held to anything here."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from benchmarks import commands, fortnight, log, pages, run, served
from benchmarks.report import Row, table
from benchmarks.timing import Task, Timed, interleaved
from benchmarks.year import year

from ullage.cellar.course import DAY_S, follow
from ullage.cellar.replay import replay


def test_tasks_take_turns() -> None:
    order: list[str] = []
    timed = interleaved(
        (Task("a", lambda: order.append("a")), Task("b", lambda: order.append("b"), 2)), 2
    )
    assert order == ["a", "b", "a", "b", "b", "a", "b", "b"]
    assert [one.name for one in timed] == ["a", "b"]
    assert [len(one.seconds) for one in timed] == [2, 2]


def test_the_middle_is_the_median() -> None:
    assert Timed("a", (5.0, 1.0, 2.0)).middle == 2.0


@pytest.mark.parametrize(
    ("measured", "sense", "bar", "met"),
    [
        (1.9, "at most", 2.0, True),
        (2.1, "at most", 2.0, False),
        (210.0, "at least", 200.0, True),
        (13.0, "at least", 200.0, False),
        (13.0, "at least", None, None),
    ],
)
def test_a_bar_is_met_or_missed(measured: float, sense: str, bar: float | None, met: bool) -> None:
    row = Row("work", measured, sense, bar)  # type: ignore[arg-type]
    assert row.met is met
    assert {True: "yes", False: "NO", None: "for information"}[met] in table([row])[1]


def test_the_solver_and_the_closed_form_agree() -> None:
    # independent: LSODA on the same equations
    assert fortnight.greatest_difference(fortnight.BURST) <= 0.005
    marks = np.array([0.0, DAY_S, 14 * DAY_S])
    levels = fortnight.integrate(fortnight.BURST, marks)
    assert levels.shape == (3,)
    assert levels[0] == fortnight.CASE.start_vol
    assert fortnight.integrate(fortnight.BURST) == pytest.approx(levels[-1:], abs=1e-6)


def test_both_sides_follow_twenty_eight_changes() -> None:
    end = float(follow(fortnight.CASE, fortnight.BUSY).level_vol[-1])
    assert fortnight.integrate(fortnight.BUSY)[0] == pytest.approx(end, abs=0.005)


def test_an_invented_year_is_a_log_that_could_be() -> None:
    log = year(40)
    assert len({one.id for one in log}) == len(log)
    assert 250 < len(log) < 500  # by hand: about ten events a day
    assert not [text for text in replay(log).warnings if "thought to hold" not in text]


def test_the_command_is_the_one_beside_this_python() -> None:
    commands.run(commands.ullage("--version"))


def test_everything_runs_once_and_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log, "DAYS", 6)
    monkeypatch.setattr(log, "IMPORTED", 80)
    monkeypatch.setattr(served, "DAYS", 20)
    monkeypatch.setattr(pages, "LEAST", 3)
    monkeypatch.setattr(pages, "CHANGES", 1)
    monkeypatch.setattr(run, "lighthouse_rows", lambda: [])
    target = tmp_path / "bench.json"
    code = run.main(["--repeats", "1", "--json", str(target)])
    rows = json.loads(target.read_text())["rows"]
    assert code == (1 if any(row["met"] is False for row in rows) else 0)
    assert len(rows) >= 5
    printed = capsys.readouterr().out
    assert all(row["what"] in printed for row in rows)
