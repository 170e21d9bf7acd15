"""A procedure in a terminal: how far it is, in the words of a clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from ullage.cellar.store import Store
from ullage.draw import procedure_lines as lines
from ullage.draw.log_lines import WIDTH
from ullage.plan.procedures import procedure
from ullage.plan.upkeep_changes import rule_of
from ullage.plan.upkeep_progress import begin, tick
from ullage.plan.upkeep_under_way import UnderWay, under_way
from ullage.system.demo import demo_system

SYSTEM = demo_system(date(2026, 6, 1))
LINE = rule_of("clean line")
BEGIN = datetime(2026, 6, 1, 12, tzinfo=UTC)


def after(minutes: float) -> datetime:
    return BEGIN + timedelta(minutes=minutes)


def clock(minutes: float) -> str:
    return f"{after(minutes).astimezone():%H:%M}"


def stands(folder: Path, steps: tuple[int, ...], minutes: float) -> UnderWay:
    """Begun at `BEGIN`, the steps done two minutes later."""
    with Store.open(str(folder / "log.db")) as store:
        begun = begin(store, LINE, "left", BEGIN)
        begun = (tick(store, LINE, "left", steps, after(2)) if steps else begun) or begun
    return under_way(begun, LINE, SYSTEM, after(minutes))


def test_how_far_it_is_in_one_sentence(tmp_path: Path) -> None:
    assert lines.sentence(stands(tmp_path, (1,), 12), after(12)) == (
        "begun 12 min ago, step 2 of 6, next: Make 0.53 gal (2 L) of cleaner."
    )
    assert lines.headline(stands(tmp_path, (), 0)) == "Clean the beer line: tap left"
    done = lines.sentence(stands(tmp_path, (1, 2, 3, 4, 5, 6), 60), after(60))
    assert done == "begun 60 min ago, all 6 steps done; write it down."


def test_a_step_that_runs_tells_since_when_and_until_when(tmp_path: Path) -> None:
    begun = stands(tmp_path, (1, 2, 3), 5)
    # published: 15 min circulating (Brewers Association, Draught Beer Quality Manual): 2 + 15 = 17
    assert lines.told(begun.steps[3], after(5)) == (
        f"runs since {clock(2)}, long enough at {clock(17)}, in 12 min"
    )
    assert lines.told(begun.steps[3], after(30)) == (
        f"runs since {clock(2)}, long enough since {clock(17)}"
    )
    early = stands(tmp_path, (1, 2, 3, 4), 5).steps[3]
    assert lines.told(early, after(5)) == f"done {clock(2)}, sooner than {clock(17)}"
    assert lines.told(begun.steps[4], after(5)) == ""


def test_the_terminal_shows_steps_marks_and_the_danger_of_leaving_it(tmp_path: Path) -> None:
    begun = stands(tmp_path, (1, 2, 3), 60 * 30)
    found = procedure(LINE, "left", SYSTEM, "us")
    told = lines.procedure_lines(found, "us", begun, after(60 * 30))
    assert max(len(line) for line in told) <= WIDTH
    text = " ".join(" ".join(told).split())
    assert "Begun 30 h ago, step 4 of 6" in text
    assert "Danger: It was left for over a day with cleaner in the line (tap left)." in text
    assert text.count("[done ") == 3
    assert "Gas at 11 psi (0.8 bar) moves" in text
    assert "common practice, no source" in text


def test_whoever_ticked_sees_what_comes_next(tmp_path: Path) -> None:
    told = " ".join(" ".join(lines.next_lines(stands(tmp_path, (1, 2, 3, 4), 3), after(3))).split())
    assert "step 5 of 6, next: Rinse with at least 0.53 gal (2 L) of cold water" in told
    assert "Note: step 4 is done" in told
    assert "leave it longer" in told
    assert "Caution: Gloves and eye protection stay on" in told
