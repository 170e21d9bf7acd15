"""A keg carbonated at a high pressure beside others that serve: what each goes through."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from tests.plan.sharers import PSI, bar_of, with_keg
from ullage.cellar.course import HOUR_S, follow
from ullage.cellar.track import Phase
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.cases import keg_case
from ullage.plan.share import share
from ullage.plan.share_answer import Lift, ShareQuestion
from ullage.system.model import System

START = datetime(2026, 6, 1, 18, tzinfo=UTC)


def fresh(regulators: int = 1) -> System:
    """Two beers that serve at 2.5, a third that is flat, all on one pressure."""
    system = bar_of((2.5, 2.5, 2.5), regulators, tolerance=0.2)
    for name in ("K1", "K2"):
        system = with_keg(system, name, carbonation=2.5)
    return with_keg(system, "K3", carbonation=0.9)


def lifts_of(system: System, **asked: object) -> tuple[Lift, ...]:
    return share(system, ShareQuestion(**asked), START).lifts  # type: ignore[arg-type]


def half_drunk(system: System) -> System:
    """The same with much gas above the beers that serve."""
    for name in ("K1", "K2"):
        system = with_keg(system, name, volume=0.009)
    return system


def test_what_needs_nothing_bought_comes_first_while_the_others_pour() -> None:
    alone, second = lifts_of(half_drunk(fresh()))
    assert (alone.way, second.way) == ("alone", "second regulator")
    assert alone.needs == ("a shut-off in each leg of the manifold",)
    assert second.needs == ("a second regulator, beside the first or behind it",)
    assert all(one.pours for one in alone.seen)


def test_full_kegs_with_their_legs_shut_soon_stop_pouring() -> None:
    second, alone = lifts_of(fresh())
    # on paper: a pint more above 0.4 L of gas at 26 psi absolute leaves 12 psi absolute, no gauge
    assert alone.way == "alone"
    assert not any(one.pours for one in alone.seen)
    assert all(one.pours for one in second.seen)


def test_a_regulator_that_is_free_is_taken_first() -> None:
    first, second = lifts_of(fresh(2), regulators=2)
    assert (first.way, second.way) == ("second regulator", "alone")
    assert first.needs == ()
    assert "R2" in first.steps[0].do


@pytest.mark.parametrize("at", [0, 1])
def test_the_others_are_never_over_carbonated(at: int) -> None:
    lift = lifts_of(fresh())[at]
    assert lift.keeps
    for one in lift.seen:
        assert one.highest_vol <= one.limit_vol + 1e-3
        assert one.limit_vol == pytest.approx(2.7)
        # and left open they would be: on paper 40 psi brings a volume and more in a day
        assert one.left_on_vol > 3.2


def test_shut_off_the_others_pour_on_what_is_in_them() -> None:
    alone, second = lifts_of(half_drunk(fresh()))
    for shut, fed in zip(alone.seen, second.seen, strict=True):
        assert shut.lowest_gauge_pressure_pa < fed.lowest_gauge_pressure_pa
        assert shut.lowest_gauge_pressure_pa > 0.0
        assert fed.highest_vol == pytest.approx(fed.untouched_vol, abs=1e-3)


def test_the_keg_itself_comes_near_its_level_and_not_above() -> None:
    (lift, _) = lifts_of(fresh())
    assert lift.high_gauge_pressure_pa == pytest.approx(40 * PSI)
    system = fresh()
    case = keg_case(system, system.kegs[2], system.beers[2], ambient_pressure(0.0))
    course = follow(case, (Phase(lift.high_s, lift.high_gauge_pressure_pa),))
    # independent: the closed form by itself, without purge and head
    assert lift.reached_vol == pytest.approx(float(course.level_vol[-1]), abs=0.05)
    assert 2.2 < lift.reached_vol <= lift.highest_vol <= lift.limit_vol
    # common practice, no source: 40 psi for about a day, give or take 40 % of the time
    assert 14 * HOUR_S <= lift.high_s <= 34 * HOUR_S


def test_the_acts_come_in_the_order_that_is_safe() -> None:
    (alone, _) = lifts_of(half_drunk(fresh()))
    words = [step.do for step in alone.steps]
    assert words[0].startswith("Shut the legs of K1 and K2")
    assert words[1].startswith("Beer disconnect off K3")
    assert "Turn the regulator down" in words[2]
    assert words[3].startswith("Only now open the legs")
    times = [step.at for step in alone.steps]
    assert times == sorted(times)
    assert times[-1] - times[0] == timedelta(seconds=alone.high_s)
    assert [step.gauge_pressure_pa is None for step in alone.steps] == [True, False, False, True]
    assert any("let the manifold down" in one.text for one in alone.cautions)


def test_no_keg_is_lifted_above_a_rating() -> None:
    weak = with_keg(fresh(), "K3", max_pressure=25 * PSI)
    (lift, _) = lifts_of(weak)
    assert lift.high_gauge_pressure_pa == pytest.approx(25 * PSI)


def test_what_holds_its_level_is_not_lifted_but_may_be_asked_about() -> None:
    system = fresh()
    assert {one.keg for one in lifts_of(system)} == {"K3"}
    assert lifts_of(with_keg(system, "K3", carbonation=2.5)) == ()
    flat = with_keg(system, "K1", carbonation=1.0)
    assert {one.keg for one in lifts_of(flat, carbonate="K1")} == {"K1"}


def test_where_nobody_told_a_level_none_is_taken_for_new() -> None:
    assert lifts_of(bar_of((2.5, 2.5))) == ()
    asked = lifts_of(bar_of((2.5, 2.5)), carbonate="K2")
    assert asked[0].seen[0].before_vol == pytest.approx(2.5)  # the other counts as at its level


def test_alone_on_its_regulator_it_is_only_raised() -> None:
    (lift,) = lifts_of(bar_of((2.5,)), carbonate="K1")
    assert lift.seen == ()
    assert lift.needs == ()
    assert len(lift.steps) == 2
