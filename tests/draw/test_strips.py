"""What strips on one axis of days are drawn with."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from tests.cellar.logs import day
from ullage.draw.plot import Plot, Range
from ullage.draw.strips import YEAR_ROW, axes, beside, dated, midnights, straightened, year_row

PLOT = Plot(40.0, 10.0, 300.0, 100.0, Range("", 0.0, 10.0), Range("", 0.0, 5.0, 4))


def test_midnights_are_whole_days_apart_and_few() -> None:
    for days in (1, 6, 16, 42):
        found = midnights(day(0), day(days))
        assert 1 <= len(found) <= 7
        assert all((one.hour, one.minute) == (0, 0) for one in found)
        assert all(day(0) <= one <= day(days) for one in found)
        steps = {after - before for before, after in pairwise(found)}
        assert len(steps) <= 1
        assert all(step % timedelta(days=1) == timedelta(0) for step in steps)


def test_a_straight_line_keeps_its_ends_only() -> None:
    line = [(x / 10, x / 20) for x in range(101)]
    assert straightened(line, PLOT) == [line[0], line[-1]]


def test_a_corner_and_a_jump_are_kept() -> None:
    line = [(0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (2.0, 4.0), (3.0, 4.0), (4.0, 4.0), (5.0, 2.0)]
    kept = straightened(line, PLOT)
    assert {(2.0, 1.0), (2.0, 4.0), (4.0, 4.0), (5.0, 2.0)} <= set(kept)
    assert len(kept) < len(line)


def test_a_slow_bend_is_not_lost() -> None:
    """Each bend is too small to see, all together are not."""
    bend = [(x / 10, (x / 45) ** 2) for x in range(101)]
    kept = straightened(bend, PLOT)
    for x, y in bend:
        before = max((one for one in kept if one[0] <= x), key=lambda one: one[0])
        after = min((one for one in kept if one[0] >= x), key=lambda one: one[0])
        share = 0.0 if after == before else (x - before[0]) / (after[0] - before[0])
        drawn = before[1] + share * (after[1] - before[1])
        assert abs(PLOT.y(drawn) - PLOT.y(y)) < 0.25  # pixels, as promised


def test_a_word_stands_where_there_is_room() -> None:
    assert next(iter(beside(PLOT, 1.0, 2.0, "ready"))).get("text-anchor") == "start"
    assert next(iter(beside(PLOT, 9.9, 2.0, "ready"))).get("text-anchor") == "end"


def test_the_upright_axis_has_numbers() -> None:
    numbers = [one.text for one in axes(PLOT) if one.tag == "text"]
    assert numbers == ["0", "2", "4"]


def test_a_year_is_told_once_below_its_first_day_where_it_is_not_this_one() -> None:
    marks = [(40.0 + 50.0 * i, day(40 + 10 * i)) for i in range(6)]  # 11 December to 30 January
    said = [(one.text, one.get("x"), one.get("y")) for one in dated(marks, 120.0, day(30))]
    # analytic: 21, 31 December, then 10 January at the fourth place
    assert said[-1] == ("2027", "190.0", f"{120.0 + YEAR_ROW:.1f}")
    assert [text for text, _, _ in said].count("2027") == 1
    assert "10 Jan" in [text for text, _, _ in said]
    assert year_row(marks, day(30)) == YEAR_ROW
    assert year_row(marks[:3], day(30)) == 0.0
    # seen from January, the days of December are those of another year
    assert [one.text for one in dated(marks, 120.0, day(70))][-1] == "2026"
