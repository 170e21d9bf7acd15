"""What a list of brews comes to, against a case worked out by hand and the laws of any cellar."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.brew_cases import (
    KEG_M3,
    LITRE,
    always_pours_or_is_dry,
    household,
    one_tap,
    scarce,
    tap,
    wrongs,
)
from ullage.plan.brewing_case import (
    WORK_D,
    BeerKind,
    Brew,
    BrewingCase,
    FermenterCase,
    KegStock,
    Stretch,
    TapDemand,
)
from ullage.plan.brewing_run import follow, pick
from ullage.plan.brewing_search import search


def test_one_tap_two_kegs_worked_out_on_paper() -> None:
    """Keg A has 16 L at 0.5 L a day, so it is empty on day 32, and clean on day 33.

    A brew of day 6 is done on day 20 and packaged into B at ten that morning, ready after 7 days,
    on day 27.417; it goes on when A is empty, day 32, and lasts 19 L / 0.5 = 38 days, to day 70.
    A brew of day 48 is packaged into A on day 62, ready on 69.417, in time for day 70.
    """
    found = follow(one_tap(), (Brew(6, 0, 0), Brew(48, 0, 0)))
    assert found is not None
    a, b, again = found.fillings
    # analytic: the days of the docstring
    assert (a.keg, a.tapped_d) == (0, 0.0)
    assert a.kicked_d == pytest.approx(32.0)
    assert (b.keg, b.filled_d) == (1, 20.0)
    assert b.tapped_d == pytest.approx(32.0)
    assert b.ready_d == pytest.approx(20 + 10 / 24 + 7)
    assert b.kicked_d == pytest.approx(70.0)
    assert (again.keg, again.filled_d) == (0, 62.0)
    assert again.tapped_d == pytest.approx(70.0)
    assert again.kicked_d == pytest.approx(70 + 38)
    assert found.dry == ()
    # analytic: 32 - 27.417 and 70 - 69.417 days of waiting in a keg
    assert found.waiting_d == pytest.approx(2 * (5 - 0.41667) - 4.0, abs=1e-3)


def test_a_tap_is_dry_from_its_kick_until_the_next_keg_is_ready() -> None:
    found = follow(one_tap(beer_l=12.0), (Brew(5, 0, 0),))
    assert found is not None
    # analytic: 12 L last to day 24; a brew of day 5 is ready on 5 + 14 + 10/24 + 7 = 26.417
    (dry, last) = found.dry
    assert dry.begin_d == pytest.approx(24.0)
    assert dry.end_d == pytest.approx(26.41667, abs=1e-4)
    # analytic: 19 L more at half a litre a day: 38 days
    assert last.begin_d == pytest.approx(64.41667, abs=1e-4)
    assert last.end_d == 84.0
    assert found.key.dry_d == pytest.approx(2.41667 + 19.58333, abs=2e-3)


def test_a_fermenter_is_cleaned_before_it_takes_the_next() -> None:
    case = one_tap(kegs=(KegStock("A", KEG_M3), KegStock("B", KEG_M3)))
    # analytic: packaged on day 19, so it is free from day 20 on
    assert follow(case, (Brew(5, 0, 0), Brew(19, 0, 0))) is None
    assert follow(case, (Brew(5, 0, 0), Brew(20, 0, 0))) is not None


def test_a_batch_waits_in_its_fermenter_until_a_keg_is_clean() -> None:
    case = one_tap(kegs=(KegStock("A", KEG_M3, 0, 16 * LITRE, 0.0, 0),))
    found = follow(case, (Brew(5, 0, 0),))
    assert found is not None
    # analytic: the only keg is empty on day 32 and has been cleaned by day 33
    assert found.batches[0].done_d == 19
    assert found.batches[0].packaged_d == 33.0


def test_a_large_batch_fills_two_kegs_or_the_one_that_saves_the_tap() -> None:
    big = (FermenterCase("F1", 2 * KEG_M3),)
    idle = one_tap(
        fermenters=big,
        kegs=(
            KegStock("A", KEG_M3, 0, 16 * LITRE, 0.0, 0),
            KegStock("B", KEG_M3),
            KegStock("C", KEG_M3),
        ),
    )
    both = follow(idle, (Brew(5, 0, 0),))
    assert both is not None
    assert [one.keg for one in both.fillings if one.batch == 0] == [1, 2]
    assert both.batches[0].left_over_m3 == pytest.approx(0.0, abs=1e-12)
    pressed = follow(one_tap(beer_l=8.0, fermenters=big), (Brew(5, 0, 0),))
    assert pressed is not None
    # analytic: A is kicked on day 16, before day 19: A (clean on 17) and B both take it
    assert [one.keg for one in pressed.fillings if one.batch == 0] == [0, 1]
    near = follow(one_tap(beer_l=10.0, fermenters=big), (Brew(5, 0, 0),))
    assert near is not None
    # analytic: A lasts to day 20, so on day 19 only B is empty and the tap will be dry before beer
    # can be carbonated: B is filled, the other half is left over
    assert [one.keg for one in near.fillings if one.batch == 0] == [1]
    assert near.batches[0].left_over_m3 == pytest.approx(KEG_M3)


def test_the_batch_that_is_needed_most_is_packaged_first() -> None:
    case = one_tap(
        taps=(tap("left", 0, 0.5), tap("right", 1, 0.5)),
        beers=(BeerKind("Pale", 14, 7.0), BeerKind("Stout", 13, 7.0)),
        fermenters=(FermenterCase("F1", KEG_M3), FermenterCase("F2", KEG_M3)),
        kegs=(
            KegStock("A", KEG_M3, 0, 10 * LITRE, 0.0, 0),
            KegStock("B", KEG_M3, 1, 18 * LITRE, 0.0, 1),
        ),
        most_a_day=2,
    )
    found = follow(case, (Brew(5, 0, 0), Brew(5, 1, 1)))
    assert found is not None
    # analytic: Stout is done on day 18, Pale on day 19; A is clean on day 21; Pale's tap is dry
    assert next(one for one in found.fillings if one.keg == 0 and one.batch >= 0).beer == 0


def test_kegs_are_chosen_so_that_nothing_is_left() -> None:
    assert pick([(9.0, 0), (19.0, 1)], 19.0) == [(1, 19.0)]
    assert pick([(9.0, 0), (19.0, 1)], 9.0) == [(0, 9.0)]
    assert pick([(9.0, 0), (19.0, 1)], 25.0) == [(1, 19.0), (0, 6.0)]
    # our choice: a rest that fills less than a quarter of the next keg is left over
    assert pick([(9.0, 0), (19.0, 1)], 21.0) == [(1, 19.0)]
    assert pick([], 5.0) == []


def test_a_demand_ends_what_it_begins_over_changing_rates() -> None:
    demand = TapDemand(
        "left", 0, (Stretch(0.0, 10.0, 1.0), Stretch(10.0, 12.0, 4.0), Stretch(12.0, math.inf, 0.5))
    )
    # analytic: 5 by day 5; 10 by day 10 and 4 more in one day; 18 by day 12 and 1 more in two
    assert demand.gone(0.0, 5.0) == pytest.approx(5.0)
    assert demand.gone(0.0, 14.0) == pytest.approx(11.0)
    assert demand.gone(0.0, 19.0) == pytest.approx(14.0)
    assert demand.gone(11.0, 4.5) == pytest.approx(13.0)
    assert TapDemand("left", 0, (Stretch(0.0, math.inf, 0.0),)).gone(0.0, 1.0) == math.inf


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 10**9), st.sampled_from([scarce, household]), st.integers(3, 9))
def test_no_schedule_uses_a_keg_or_a_fermenter_twice_at_once(
    seed: int, make: Callable[[Random, int], BrewingCase], slots: int
) -> None:
    case = make(Random(seed), slots)
    found = search(case)
    assert wrongs(case, found) == []
    assert always_pours_or_is_dry(case, found)


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 10**9), st.data())
def test_whatever_is_brewed_the_cellar_keeps_its_laws(seed: int, data: st.DataObject) -> None:
    case = scarce(Random(seed), 8)
    count = data.draw(st.integers(0, 4))
    days = data.draw(
        st.lists(st.sampled_from(case.slots), min_size=count, max_size=count, unique=True)
    )
    brews = tuple(
        Brew(
            day,
            data.draw(st.integers(0, len(case.fermenters) - 1)),
            data.draw(st.integers(0, len(case.beers) - 1)),
        )
        for day in days
    )
    found = follow(case, brews)
    if found is not None:
        assert wrongs(case, found) == []
        assert always_pours_or_is_dry(case, found)


def test_ten_in_the_morning() -> None:
    assert pytest.approx(10.0 / 24.0) == WORK_D
