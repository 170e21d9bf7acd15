"""The bench of brewing ahead runs and asks what it says."""

from __future__ import annotations

from benchmarks import brewing


def test_six_taps_are_planned_for_a_year() -> None:
    system, _ = brewing.case()
    assert len(system.taps) == 6
    answer = brewing.planned(brewing.QUESTION)
    assert (answer.until - answer.at).days == 364
    # analytic: 39 pints a week are 18.5 L, 51 batches of 19 L a year, less the 77 L that are there
    assert 40 <= len(answer.brews) <= 52


def test_the_row_says_seconds() -> None:
    (row,) = brewing.brewing_rows(1)
    assert (row.unit, row.bar) == ("s", 2.0)
    assert row.measured > 0.0
