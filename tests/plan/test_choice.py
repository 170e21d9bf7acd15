"""Which way is advised, and what is said where none makes the date."""

from __future__ import annotations

import doctest
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.samples import START, fahrenheit, keg_case, wanted
from ullage.plan import spoken
from ullage.plan.answers import CoursePoint, Method, Schedule, Step
from ullage.plan.carbonation import carbonation
from ullage.plan.choice import advised, level_at, none_makes_it
from ullage.plan.repeats import told_of_each, told_once
from ullage.plan.schedule import Means
from ullage.plan.status_answer import NextStep

DAY = timedelta(days=1)


def way(
    method: Method,
    ready: float,
    late: float,
    *,
    visits: int = 1,
    gas: float = 0.06,
    by: float = 9.0,
) -> Schedule:
    """A way that rises from 1 to 2.5 volumes until it is ready, `ready` days from the start."""
    course = tuple(
        CoursePoint(START + days * DAY, level, level, level, 0.0, 277.0)
        for days, level in ((0.0, 1.0), (ready, 2.5), (ready + 20.0, 2.5))
    )
    return Schedule(
        method=method,
        title=method,
        steps=(),
        course=course,
        ready_at=START + ready * DAY,
        ready_early=START + ready * DAY,
        ready_late=None,
        makes_date=ready <= by,
        cautions=(),
        remark="",
        gas_kg=gas,
        visits=visits,
        needs=(),
        ready_slow=START + late * DAY,
    )


BY = wanted(by=START + 9 * DAY)


def test_sure_comes_before_likely_and_likely_before_late() -> None:
    sure, likely, late = way("shake", 1, 8, visits=5), way("burst", 5, 12), way("hold", 14, 20)
    assert advised((late, likely, sure), BY) == "shake"
    assert advised((late, likely), BY) == "burst"
    assert advised((late, way("prime", 12, 15)), BY) == "prime"
    assert advised((replace(late, ready_at=None),), BY) is None
    assert advised((), BY) is None


def test_nothing_to_get_then_visits_then_gas() -> None:
    plain, stone = way("shake", 1, 2, visits=5), replace(way("stone", 1, 2), needs=("a stone",))
    assert advised((stone, plain), BY) == "shake"
    assert advised((plain, way("burst", 1, 2, visits=4)), BY) == "burst"
    assert advised((way("burst", 1, 2, gas=0.08), way("prime", 1, 2, gas=0.01)), BY) == "prime"
    assert advised((stone, way("shake", 12, 14)), BY) == ("stone")


@given(st.permutations([way("shake", 1, 8, visits=5), way("burst", 5, 12), way("hold", 14, 20)]))
def test_the_order_of_the_ways_does_not_matter(ways: list[Schedule]) -> None:
    assert advised(ways, BY) == "shake"


def test_where_none_makes_the_date_what_is_possible_is_said() -> None:
    ways = (way("hold", 14, 20), way("burst", 12, 15), replace(way("stone", 10, 11), needs=("x",)))
    said = none_makes_it(ways, BY)
    assert said is not None
    # by hand: after 9 of 12 days of its straight rise, 1 + 1.5 · 9/12 = 2.125 volumes
    assert "nearest is 2.12 volumes (burst)" in said or "nearest is 2.13 volumes (burst)" in said
    assert f"The soonest it can be ready is {START + 12 * DAY:%a %d %b}" in said
    assert none_makes_it((*ways, way("shake", 1, 2)), BY) is None
    assert none_makes_it(ways, wanted()) is None
    assert none_makes_it(ways, wanted(by=START - DAY)) is None


def test_the_answer_says_it_too() -> None:
    answer = carbonation(keg_case(), wanted(by=START + timedelta(hours=2)))
    assert any(remark.startswith("No way here makes the date.") for remark in answer.remarks)
    assert answer.advised == "shake"  # the soonest that needs nothing
    stone = Means(stone=True)
    in_time = carbonation(keg_case(), wanted(by=START + timedelta(hours=20), means=stone))
    assert not any("No way here" in remark for remark in in_time.remarks)
    assert in_time.advised == "stone"  # two visits instead of five


@settings(max_examples=25, deadline=None)
@given(st.floats(0.5, 2.2), st.floats(2.0, 3.2), st.floats(36.0, 64.0), st.booleans())
def test_without_a_date_nothing_later_than_holding_with_more_visits_is_advised(
    start: float, target: float, degrees: float, has_stone: bool
) -> None:
    case = keg_case(start_vol=start, place_k=fahrenheit(degrees))
    answer = carbonation(case, wanted(target_vol=target, means=Means(stone=has_stone)))
    ways = {one.method: one for one in answer.schedules}
    if answer.advised is None or "hold" not in ways or ways["hold"].ready_at is None:
        return
    hold, best = ways["hold"], ways[answer.advised]
    assert best.ready_at is not None
    assert hold.ready_at is not None
    assert best.ready_at <= hold.ready_at or best.visits <= hold.visits


def test_the_level_between_two_points() -> None:
    one = way("hold", 10, 20)
    # analytic
    assert level_at(one, START + 5 * DAY) == pytest.approx(1.75)
    assert level_at(one, START + 90 * DAY) == 2.5


def test_a_row_of_like_steps_is_told_once() -> None:
    row = [Step(START + n * DAY / 2, "Charge.", 1e5) for n in range(5)]
    end = Step(START + 5 * DAY / 2, "Charge.", 5e4)
    told = told_once([*row, end])
    assert len(told) == 2
    assert told[0].do == f"Charge. Again every 12 h, 5 times, until {row[-1].at:%a %d %b %H:%M}."
    assert told[1] == end
    assert told_once(row[:2]) == tuple(row[:2])
    uneven = [row[0], row[1], replace(row[2], at=START + 9 * DAY)]
    assert told_once(uneven) == tuple(uneven)
    assert told_once([]) == ()


def test_examples_of_the_spoken_quantities() -> None:
    assert doctest.testmod(spoken).failed == 0


def test_steps_of_several_kegs_are_each_told_once() -> None:
    rows = [
        NextStep(f"{keg}{n}", START + n * DAY / 24, keg, "Vent it", missed=False)
        for n in range(4)
        for keg in ("A", "B")
    ]
    told = told_of_each(rows, lambda one: one.keg)
    assert [(one.keg, one.event) for one in told] == [("A", "A0"), ("B", "B0")]
    assert told[0].do.startswith("Vent it. Again every 1 h, 4 times, until ")
