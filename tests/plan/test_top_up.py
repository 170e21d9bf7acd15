"""Topping up by hand: how many charges, how far apart, and that they reach the level."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.samples import DAY, FULL_DEPTH, HOUR, PSI, START, US_GALLON, keg_case, wanted
from ullage.cellar.track import KegCase
from ullage.plan.acts import TopUp
from ullage.plan.answers import Schedule
from ullage.plan.carbonation import carbonation
from ullage.plan.schedule import Means, Wanted

BY_HAND = Means(on_gas=False)


def topped(case: KegCase, want: Wanted) -> Schedule:
    return next(one for one in carbonation(case, want).schedules if one.method == "top up")


def charges(schedule: Schedule) -> list[float]:
    acts = [act for step in schedule.steps for act in step.acts]
    return [act.gauge_pressure_pa for act in acts if isinstance(act, TopUp)]


def half_full() -> KegCase:
    return keg_case(
        beer_m3=2.5 * US_GALLON, depth_m=FULL_DEPTH / 2, head_m3=2.6 * US_GALLON, start_vol=0.82
    )


def test_a_full_keg_takes_some_thirty_charges() -> None:
    way = topped(keg_case(), wanted(means=BY_HAND))
    # by hand: 0.379 L of head from about 1.2 to 3.72 atm, 276 K: 0.97 L of gas, so 0.051 volumes
    # in 18.93 L; 1.68 volumes are 33 charges. Tolerance: the mean pressure before a charge
    assert len(charges(way)) == pytest.approx(33, abs=3)
    assert max(charges(way)) == pytest.approx(40 * PSI)
    assert "about 0.05 volumes" in way.remark
    assert way.title == f"Top up by hand {len(charges(way))} times, every 12 h"


def test_pouring_some_off_first_saves_most_of_the_charges() -> None:
    remark = topped(keg_case(), wanted(means=BY_HAND)).remark
    # by hand: 2.27 L of head give 5.8 L a charge, 0.34 volumes in 17 L: 1.68 are five or more
    assert "With 4 pints (1.9 L) poured off first, 7 times would do" in remark


def test_a_half_full_keg_takes_one_or_two() -> None:
    way = topped(half_full(), wanted(means=BY_HAND))
    # by hand: 9.46 L take 15.9 L of gas for 1.68 volumes, and 9.84 L of head hold 17 L at 12 psi:
    # from 40 psi, 36 L, the first charge gives 19 L or so
    assert len(charges(way)) in (1, 2)
    assert charges(way)[-1] <= 40 * PSI


@settings(max_examples=12, deadline=None)
@given(st.floats(0.5, 4.8), st.floats(0.8, 2.2), st.floats(22.0, 60.0))
def test_charges_end_at_the_level_and_never_above_a_rating(
    gallons: float, start: float, rating: float
) -> None:
    case = keg_case(
        beer_m3=gallons * US_GALLON,
        depth_m=FULL_DEPTH * gallons / 5.0,
        head_m3=(5.1 - gallons) * US_GALLON,
        start_vol=start,
    )
    want = wanted(means=BY_HAND, highest_gauge_pa=rating * PSI)
    way = topped(case, want)
    assert max(charges(way)) <= rating * PSI
    assert way.course[-1].reached_vol == pytest.approx(2.5, abs=0.1)
    assert max(point.reached_vol for point in way.course) <= 2.6
    assert [step.at for step in way.steps] == sorted(step.at for step in way.steps)


def test_the_head_falls_between_charges() -> None:
    way = topped(keg_case(), wanted(means=BY_HAND))
    gauges = {(point.at - START).total_seconds(): point.gauge_pressure_pa for point in way.course}
    # just charged at noon and midnight, all but spent half-way
    assert gauges[0.0] == pytest.approx(40 * PSI, abs=0.1 * PSI)
    assert gauges[6 * HOUR] < 5 * PSI
    assert gauges[12 * HOUR] == pytest.approx(40 * PSI, abs=0.1 * PSI)


def test_a_nearer_date_is_made_by_charging_more_often() -> None:
    far, near = (
        topped(keg_case(), wanted(means=BY_HAND, by=START + timedelta(days=days)))
        for days in (20, 7)
    )
    assert "every 12 h" in far.title
    assert "every 4 h" in near.title
    assert far.makes_date
    assert near.makes_date


def test_no_charge_for_a_pressure_too_weak_to_get_there() -> None:
    weak = wanted(means=BY_HAND, highest_gauge_pa=11.3 * PSI)
    methods = [one.method for one in carbonation(keg_case(), weak).schedules]
    assert "top up" not in methods
    hold = carbonation(keg_case(), weak).schedules[0]
    assert hold.ready_at is not None
    assert (hold.ready_at - START).total_seconds() > 10 * DAY
