"""How beers drift at a shared pressure: replay against the closed form of a single keg."""

from __future__ import annotations

import pytest

from tests.plan.sharers import PSI, bar_of, with_tap
from ullage.cellar.course import DAY_S, first_reached, follow
from ullage.cellar.track import Phase
from ullage.draw.share_later_words import drift_words
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.cases import keg_case
from ullage.plan.share_answer import ShareQuestion
from ullage.plan.share_drift import drifts
from ullage.plan.share_points import sharing
from ullage.system.model import System

PINT_A_WEEK = 473.176473e-6 / (7 * DAY_S)


def untapped(level: float, tolerance: float = 0.1) -> System:
    return bar_of((level,), tolerance=tolerance).model_copy(update={"taps": ()})


def test_a_beer_under_too_much_leaves_as_the_closed_form_says() -> None:
    system = untapped(2.1)
    (found,) = drifts(system, sharing(system, ShareQuestion(), 1).points, {"K1": 12 * PSI})
    case = keg_case(
        system,
        system.kegs[0].model_copy(update={"carbonation": 2.1}),
        system.beers[0],
        ambient_pressure(0.0),
    )
    course = follow(case, (Phase(28 * DAY_S, 12 * PSI),), [day * DAY_S for day in range(1, 28)])
    # independent: the closed form followed by itself; the drift looks once a day, between which
    # it takes a straight line
    leaves = float(first_reached(course, 2.2 + 0.005)[0])
    assert found.leaves_s == pytest.approx(leaves, abs=0.25 * DAY_S)
    assert found.moved_vol == pytest.approx(0.1)
    assert found.last_vol == pytest.approx(float(course.level_vol[-1]), abs=0.01)
    # published: Miller 1994, Table I, 38 °F and 12 psi: 2.57
    assert found.comes_to_vol == pytest.approx(2.57, abs=0.06)
    assert found.drunk_m3_s == 0.0


def held(system: System, level: float) -> System:
    """The same with what its keg holds now."""
    keg = system.kegs[0].model_copy(update={"carbonation": level})
    return system.model_copy(update={"kegs": (keg,)})


def test_a_beer_far_over_its_level_begins_where_it_is_and_is_not_within() -> None:
    system = held(untapped(2.1), 5.13)
    (found,) = drifts(system, sharing(system, ShareQuestion(), 1).points, {"K1": 7 * PSI})
    assert found.start_vol == 5.13
    assert found.outside
    assert found.leaves_s is None
    # on paper: a check valve keeps its gas in and nobody pours: it stays far above 2.1
    assert found.enters_s is None
    assert found.last_vol > 4.5
    said = drift_words(found, "us")
    assert said.startswith(f"{found.beer} holds 5.13 vol now, too much for 2.1 vol: it does not")


def test_a_flat_beer_comes_within_its_tolerance() -> None:
    system = held(untapped(2.5), 0.8)
    points = sharing(system, ShareQuestion(), 1).points
    (found,) = drifts(system, points, {"K1": points[0].gauge_pa + 2 * PSI})
    assert found.enters_s is not None
    # common practice, no source: a keg at serving pressure takes a week or two
    assert 4 * DAY_S < found.enters_s < 20 * DAY_S
    assert "too little for 2.5 vol: it comes within its tolerance in" in drift_words(found, "us")


def test_at_its_own_pressure_it_stays() -> None:
    system = untapped(2.48)
    points = sharing(system, ShareQuestion(), 1).points
    (found,) = drifts(system, points, {"K1": points[0].gauge_pa})
    assert found.leaves_s is None
    assert found.moved_vol == pytest.approx(0.0, abs=0.01)
    assert found.last_s == 28 * DAY_S
    assert not found.emptied


def test_under_too_little_it_loses_only_as_it_is_poured() -> None:
    system = bar_of((2.8,))
    still = untapped(2.8)
    slow = with_tap(system, "tap K1", drinking=PINT_A_WEEK)
    quick = with_tap(system, "tap K1", drinking=20 * PINT_A_WEEK)
    last = []
    for one in (still, slow, quick):
        (found,) = drifts(one, sharing(one, ShareQuestion(), 1).points, {"K1": 8 * PSI})
        last.append(found.last_vol)
    # law: its gas stays behind the check valve, so the more is poured the more it loses
    assert last[0] > last[1] > last[2]
    # on paper: an untouched keg gives its head hardly anything: 0.1 gal of head over 5 gal of beer
    assert last[0] == pytest.approx(2.8, abs=0.03)


def test_a_keg_that_is_drunk_up_ends_there() -> None:
    system = with_tap(bar_of((2.48,)), "tap K1", drinking=40 * PINT_A_WEEK)
    (found,) = drifts(system, sharing(system, ShareQuestion(), 1).points, {"K1": 11 * PSI})
    assert found.emptied
    # on paper: 5 US gal are 40 pints, a week
    assert found.last_s == pytest.approx(7 * DAY_S, abs=1.01 * DAY_S)
    assert not found.assumed


def test_a_pint_a_day_is_assumed_where_nobody_told() -> None:
    system = bar_of((2.48,))
    (found,) = drifts(system, sharing(system, ShareQuestion(), 1).points, {"K1": 11 * PSI})
    assert found.assumed
    assert found.drunk_m3_s == pytest.approx(7 * PINT_A_WEEK)
