"""Ways to carbonate: the trade's times, ratings, what the hand is told, ready times."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.samples import DAY, HOUR, PSI, START, US_GALLON, fahrenheit, keg_case, wanted
from ullage.cellar.course import first_reached, follow, rate_samples, serving_gauge
from ullage.cellar.draws import HIGH, USUAL, draws
from ullage.cellar.offsets import GAUGE_OFFSET, THERMOMETER_OFFSET
from ullage.cellar.track import KegCase, Phase
from ullage.physics.fitted import BEER_FACTOR
from ullage.plan.answers import Method, Schedule
from ullage.plan.methods import drifts_beyond, schedules
from ullage.plan.on_gas import NO_STONE
from ullage.plan.schedule import Means, Wanted

READY_SHARE = 0.85
"""The trade calls a beer carbonated well before it is at its level: here, at 85 % of it."""


def ways(case: KegCase, want: Wanted) -> dict[Method, Schedule]:
    set_pa = serving_gauge(case, want.target_vol)
    return {one.method: one for one in schedules(case, want, set_pa, draws())}


# common practice, no source, ± 40 %: 10 psi at 38 °F takes 7 to 14 days, 40 psi about a day,
# shaking under pressure about half an hour


def test_ten_psi_at_38_degrees_takes_seven_to_fourteen_days() -> None:
    course = follow(keg_case(), (Phase(28 * DAY, 10 * PSI),))
    end = float(course.stretches.equilibrium_vol[0])
    days = float(first_reached(course, READY_SHARE * end)[0]) / DAY
    # By hand: Δ1 = 0.15 · 2.38 = 0.36, 1.34e6 s · (1.41 − 0.86) = 0.74e6 s = 8.5 days
    assert 7.0 <= days <= 14.0
    assert days == pytest.approx(8.5, abs=0.3)


def test_forty_psi_carbonates_well_in_a_day_or_so() -> None:
    course = follow(keg_case(), (Phase(3 * DAY, 40 * PSI),))
    hours = float(first_reached(course, READY_SHARE * 2.5)[0]) / HOUR
    assert 24.0 * 0.6 <= hours <= 24.0 * 1.4
    day = follow(keg_case(), (Phase(DAY, 40 * PSI), Phase(DAY, 11.2 * PSI))).level_vol
    assert day[1] > 0.75 * 2.5
    assert day[2] > day[1]


def test_half_an_hour_of_shaking_carbonates_well() -> None:
    case = keg_case()
    shaken = follow(case, (Phase(1800.0, serving_gauge(case, 2.5), "shaken"),)).level_vol[-1]
    assert shaken > 0.9 * 2.5
    minutes = int(ways(case, wanted())["shake"].title.split()[2])
    # the plan shakes until half the tolerance is left, which is longer than "well carbonated"
    assert 18 <= minutes <= 60


def test_a_stone_does_it_in_a_few_hours() -> None:
    # common practice, no source; by hand: the 29 days that rest would take over 110 are 6.3 h
    stone = ways(keg_case(), wanted())["stone"]
    first, second, *_ = stone.steps
    assert 3.0 <= (second.at - first.at).total_seconds() / HOUR <= 8.0
    assert [getattr(act, "contact", None) for act in first.acts] == [None, "stone"]
    assert stone.needs == (NO_STONE,)
    assert ways(keg_case(), wanted(means=Means(stone=True)))["stone"].needs == ()


def test_every_step_for_the_hand_has_its_acts() -> None:
    for one in ways(keg_case(start_k=fahrenheit(66)), wanted()).values():
        told = [step for step in one.steps if not step.acts]
        assert [step.do.split()[0] for step in told] in (["Within"], ["Wet", "Within"])
        gauges = [getattr(act, "gauge_pressure_pa", None) for act in one.steps[0].acts]
        assert one.steps[0].gauge_pressure_pa in gauges


def test_gas_and_visits_are_counted() -> None:
    made = ways(keg_case(), wanted())
    # by hand: 18.93 L (2.5 - 0.82) 1.977 g/L = 62.9 g, the head's 0.38 L 5 purges of 2.06 atm
    # 1.98 g/L = 7.7 g, and 0.6 g to 11 psi
    assert made["hold"].gas_kg == pytest.approx(0.0712, abs=0.001)
    # the burst's head is thrown away: 0.38 L from 40 psi, 2.7 atm, 2.0 g
    assert made["burst"].gas_kg - made["hold"].gas_kg == pytest.approx(0.0021, abs=0.0003)
    assert [made[method].visits for method in ("hold", "burst", "prime")] == [1, 2, 3]
    assert made["shake"].visits == 2 + 3  # 47 minutes are four bouts, and it is stood upright


def test_a_keg_that_no_gas_can_stay_on_lacks_that_for_all_but_two_ways() -> None:
    made = ways(keg_case(), wanted(means=Means(on_gas=False)))
    assert {method for method, one in made.items() if not one.needs} == {"top up", "prime"}


def test_a_keg_slightly_under_is_not_primed() -> None:
    made = ways(keg_case(start_vol=2.3), wanted(means=Means(on_gas=False)))
    assert "prime" not in made
    assert 1 <= len([step for step in made["top up"].steps if step.acts]) <= 6
    ready = {method: one.ready_at for method, one in made.items()}
    assert all(at is not None for at in ready.values())


def test_all_ways_end_within_tolerance_and_the_gentlest_comes_first() -> None:
    case, want = keg_case(), wanted()
    made = schedules(case, want, serving_gauge(case, 2.5), draws())
    assert [one.method for one in made] == ["hold", "burst", "shake", "stone", "prime"]
    for one in made:
        assert one.ready_at is not None
        assert one.ready_early is not None
        assert one.ready_slow is not None
        assert START < one.ready_early <= one.ready_at <= one.ready_slow
        after = [point for point in one.course if point.at >= one.ready_at]
        assert all(abs(point.reached_vol - 2.5) <= 0.1 + 1e-3 for point in after)
        assert [step.at for step in one.steps] == sorted(step.at for step in one.steps)
        assert one.steps[-1].at == one.ready_at
        assert one.makes_date is None
    hold, burst, shake = (one.ready_at for one in made[:3])
    assert hold is not None
    assert burst is not None
    assert shake is not None
    assert hold > burst > shake


def test_ready_is_the_first_moment_within_tolerance() -> None:
    case, want = keg_case(), wanted()
    hold = ways(case, want)["hold"]
    course = follow(case, (Phase(28 * DAY, serving_gauge(case, 2.5)),))
    seconds = float(first_reached(course, 2.4)[0])
    assert hold.ready_at is not None
    late = (hold.ready_at - START).total_seconds() - seconds
    assert 0.0 <= late <= 60.0  # rounded up to the minute


@settings(max_examples=60, deadline=None)
@given(
    st.floats(15.0, 130.0),
    st.floats(1.0, 3.6),
    st.floats(0.0, 3.0),
    st.floats(34.0, 70.0),
    st.floats(0.05, 5.0),
)
def test_no_step_and_no_point_exceeds_the_lowest_rating(
    rating: float, target: float, start: float, warm: float, gallons: float
) -> None:
    case = keg_case(
        start_vol=start,
        start_k=fahrenheit(warm),
        beer_m3=gallons * US_GALLON,
        depth_m=gallons * US_GALLON / 0.0345,
    )
    want = wanted(target_vol=target, highest_gauge_pa=rating * PSI)
    for one in schedules(case, want, serving_gauge(case, target), draws()):
        set_to = [
            step.gauge_pressure_pa for step in one.steps if step.gauge_pressure_pa is not None
        ]
        assert all(0.0 <= gauge <= rating * PSI + 1e-6 for gauge in set_to)
        # beer that holds too much presses by itself before its first vent
        most = max(rating * PSI, one.course[0].gauge_pressure_pa)
        assert max(point.gauge_pressure_pa for point in one.course) <= most + 1e-6


@settings(max_examples=60, deadline=None)
@given(st.floats(1.8, 3.6), st.floats(0.3, 3.4), st.floats(0.02, 5.0), st.floats(34.0, 70.0))
def test_a_burst_leaves_even_a_quick_keg_within_tolerance(
    target: float, start: float, gallons: float, warm: float
) -> None:
    case = keg_case(
        start_vol=start,
        start_k=fahrenheit(warm),
        beer_m3=gallons * US_GALLON,
        depth_m=gallons * US_GALLON / 0.0345,
    )
    want = wanted(target_vol=target)
    burst = ways(case, want).get("burst")
    if burst is None:
        return
    first, second = burst.steps[:2]
    assert first.gauge_pressure_pa is not None
    seconds = (second.at - first.at).total_seconds()
    quick = float(np.quantile(rate_samples("still", draws()), HIGH))
    phases = (Phase(seconds, first.gauge_pressure_pa),)
    assert follow(case, phases, rate_factor=quick).level_vol[-1] <= target + want.tolerance_vol


def test_a_burst_too_short_to_time_is_not_offered() -> None:
    # half an inch of beer in the keg drinks 40 psi in minutes: half an hour would overshoot
    case = keg_case(beer_m3=0.0004, depth_m=0.012, start_vol=2.3)
    assert set(ways(case, wanted())) == {"hold", "shake", "stone"}


def test_a_burst_is_capped_by_a_weak_part_and_left_out_where_it_gains_nothing() -> None:
    case = keg_case()
    weak = ways(case, wanted(highest_gauge_pa=20 * PSI))["burst"]
    assert weak.steps[0].gauge_pressure_pa == pytest.approx(20 * PSI)
    assert "burst" not in ways(case, wanted(highest_gauge_pa=15 * PSI))


def test_shaking_happens_at_no_more_than_the_pressure_that_keeps_the_target() -> None:
    case = keg_case(start_k=fahrenheit(68))
    shake = ways(case, wanted())["shake"]
    chill, rock, rest, *_ = shake.steps
    assert chill.do.startswith("Purge")
    assert (rock.at - chill.at).total_seconds() % HOUR == 0.0
    assert rock.gauge_pressure_pa is not None
    assert rest.gauge_pressure_pa is not None
    # within 2 K of its place: by hand, 3 % a kelvin of 26 psi absolute, so 1.6 psi at most
    assert 0.0 <= rock.gauge_pressure_pa - rest.gauge_pressure_pa <= 2.0 * PSI
    assert max(point.reached_vol for point in shake.course) <= 2.5 + 1e-9


def test_a_slow_shake_is_followed_by_a_usual_rest() -> None:
    """The slow keg of a shake is slow where it is shaken, and no slower than one at rest after."""
    shake = ways(keg_case(), wanted())["shake"]
    assert shake.ready_slow is not None
    assert shake.ready_slow - START < timedelta(days=14)


def test_a_narrow_tolerance_has_no_late_end_until_the_gauge_is_known() -> None:
    """What half a psi and half a kelvin do to the level counts as much as the rate."""
    narrow, wide = wanted(tolerance_vol=0.1), wanted(tolerance_vol=0.25)
    # by hand: gauge 0.5 psi of 25.9 absolute is 1.9 %, thermometer 0.5 K at 3.3 % a kelvin 1.7 %,
    # the beer's solubility 3.1 %: together 4.1 % of 2.5 volumes, 0.10 vol. So 1 keg in 6 stays
    # 0.1 below for good, and 1 in 160 stays 0.25 below
    open_end, closed = ways(keg_case(), narrow)["hold"], ways(keg_case(), wide)["hold"]
    assert open_end.ready_late is None
    assert open_end.ready_early is not None
    assert closed.ready_late is not None
    assert closed.ready_slow is not None
    assert closed.ready_late > closed.ready_slow
    known = replace(
        keg_case(),
        spread=replace(
            USUAL,
            gauge_offset_pa=replace(GAUGE_OFFSET, sd=200.0),
            thermometer_offset_k=replace(THERMOMETER_OFFSET, sd=0.05),
            beer_factor=replace(BEER_FACTOR, sd=0.002),
        ),
    )
    samples = draws(spread=known.spread)
    learnt = schedules(known, narrow, serving_gauge(known, 2.5), samples)[0]
    assert learnt.ready_late is not None
    assert learnt.ready_at == open_end.ready_at


def test_a_way_that_cannot_be_ready_sooner_has_an_open_early_end() -> None:
    burst = ways(keg_case(), wanted(tolerance_vol=0.2))["burst"]
    assert burst.ready_early == burst.ready_at == burst.steps[1].at
    assert burst.ready_at is not None
    assert burst.ready_late is not None
    assert burst.ready_late > burst.ready_at


def test_the_steps_of_a_flat_beer_purge_and_those_of_a_ready_beer_do_not() -> None:
    flat = ways(keg_case(), wanted())["hold"]
    ready = ways(keg_case(start_vol=2.45), wanted())
    assert "Purge" in flat.steps[0].do
    assert set(ready) == {"hold"}
    assert "urge" not in ready["hold"].steps[0].do
    assert ready["hold"].ready_at == START
    assert ready["hold"].remark == "Within its tolerance already."


def test_each_way_for_a_cold_keg_starts_with_a_purge() -> None:
    for one in ways(keg_case(), wanted()).values():
        assert "urge" in one.steps[0].do


def test_beer_that_holds_too_much_is_not_given_more() -> None:
    over = ways(keg_case(start_vol=2.9), wanted())
    assert set(over) == {"vent and shake", "pour and vent", "vent at rest"}
    for one in over.values():
        first = one.steps[one.method == "pour and vent"]
        assert first.do.startswith("Take the gas off. Vent slowly")
        levels = [point.reached_vol for point in one.course]
        assert levels == sorted(levels, reverse=True)
    assert over["vent at rest"].ready_at is None
    assert "four weeks" in over["vent at rest"].remark


def test_a_slight_excess_is_timed_by_diffusion() -> None:
    """Shallow beer under a large headspace loses a little at rest, as by diffusion from a slab."""
    case = keg_case(start_vol=2.65, depth_m=0.05, beer_m3=0.0017, head_m3=0.017)
    rest = ways(case, wanted())["vent at rest"]
    assert rest.ready_at is not None
    seconds = (rest.ready_at - START).total_seconds()
    # independent: the plan for a keg open to the room, its head that holds next to nothing
    level = follow(case, (Phase(seconds, 0.0),)).level_vol[-1]
    assert level == pytest.approx(2.6, abs=0.012)
    assert rest.ready_late is None  # nobody knows how calmly it stands


def test_no_way_leads_to_a_level_below_that_of_no_pressure() -> None:
    cold = keg_case(place_k=fahrenheit(34), start_k=fahrenheit(34))
    want = wanted(target_vol=1.0)
    set_pa = serving_gauge(cold, 1.0)
    # by hand: at 34 °F an atmosphere keeps 1.6 volumes; for 1.0 the gauge is 14.7 (1/1.6 − 1)
    assert set_pa / PSI == pytest.approx(-5.3, abs=0.4)
    assert drifts_beyond(cold, want, set_pa)
    assert schedules(cold, want, set_pa, draws()) == ()


def test_a_level_just_below_that_of_no_pressure_is_kept_without_any() -> None:
    cellar = keg_case(place_k=fahrenheit(54), start_k=fahrenheit(54))
    want = wanted(target_vol=1.0)
    set_pa = serving_gauge(cellar, 1.0)
    assert -1.0 * PSI < set_pa < 0.0
    made = schedules(cellar, want, set_pa, draws())
    assert made[0].steps[0].gauge_pressure_pa == 0.0


def test_above_a_rating_there_is_no_way() -> None:
    case = keg_case(place_k=fahrenheit(77), start_k=fahrenheit(77))
    want = wanted(target_vol=4.0)
    assert schedules(case, want, serving_gauge(case, 4.0), draws()) == ()


def test_a_date_is_made_or_missed() -> None:
    case = keg_case()
    hold = {
        days: ways(case, wanted(by=START + timedelta(days=days)))["hold"] for days in (3, 22, 60)
    }
    assert [hold[days].makes_date for days in (3, 22, 60)] == [False, True, True]
    assert hold[3].remark == "Misses the date."
    assert hold[22].remark == "A slow keg would miss the date."
    assert hold[60].remark == ""


def test_the_course_has_each_day_each_change_and_a_band_around_it() -> None:
    case = keg_case(start_k=fahrenheit(66))
    for one in ways(case, wanted()).values():
        if one.method == "prime":
            continue  # told each day only, and warm
        days = [(point.at - START).total_seconds() / DAY for point in one.course]
        assert days == sorted(set(days))
        assert {float(day) for day in range(15)} <= set(days)
        for step in one.steps[1:-1]:
            assert step.at in {point.at for point in one.course}
        for point in one.course:
            assert point.reached_low_vol <= point.reached_vol <= point.reached_high_vol
    kelvins = [point.temperature_k for point in ways(case, wanted())["stone"].course]
    # analytic: Newton's law, one time constant after the start a share of 1/e is left
    assert kelvins[0] == pytest.approx(fahrenheit(66))
    assert kelvins == sorted(kelvins, reverse=True)
    assert kelvins[-1] == pytest.approx(fahrenheit(38), abs=0.01)


def test_the_same_question_has_the_same_answer() -> None:
    case = keg_case(start_k=fahrenheit(66))
    assert ways(case, wanted()) == ways(replace(case), wanted())
