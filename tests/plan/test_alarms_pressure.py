"""Pressure beyond what is set: by a sensor, by a gauge that was read, near a rating."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.plan.alarm_scenes import (
    NOW,
    PRESSURE,
    RATING_PA,
    SET_PA,
    before,
    keg,
    keys,
    only,
    said,
    scene,
    step_at,
)
from ullage.everyday_units import PSI
from ullage.plan.alarms import alarms
from ullage.plan.alarms_log import KegLog, Read
from ullage.plan.answers import Band
from ullage.plan.fermenting_out import TooMuchSugar
from ullage.plan.status_answer import NextStep
from ullage.plan.weakest import Weakest

HIGH, LOW = "pressure-high:keg:K1", "pressure-low:keg:K1"


@pytest.mark.parametrize(("psi", "found"), [(12.9, []), (13.1, [HIGH]), (8.9, [LOW]), (9.1, [])])
def test_two_psi_off_for_half_an_hour(psi: float, found: list[str]) -> None:
    # analytic: 11 psi is set; 2 psi are more than 15 % of it (1.65 psi)
    assert keys(scene(said(PRESSURE, step_at(1.0, SET_PA, psi * PSI)))) == found


@pytest.mark.parametrize(("psi", "found"), [(34.4, []), (34.6, [HIGH])])
def test_fifteen_percent_of_a_high_pressure(psi: float, found: list[str]) -> None:
    # analytic: 15 % of 30 psi are 4.5 psi
    carbonating = keg(supply_gauge_pa=30.0 * PSI)
    one = said(PRESSURE, step_at(1.0, 30.0 * PSI, psi * PSI))
    assert keys(scene(one, keg=carbonating)) == found


def test_twenty_minutes_are_no_alarm() -> None:
    assert keys(scene(said(PRESSURE, step_at(20 / 60, SET_PA, 20.0 * PSI)))) == []


def test_it_ends_within_half_of_that() -> None:
    def back_to(psi: float) -> list[str]:
        def course(ago: timedelta) -> float:
            if ago < timedelta(hours=-3):
                return SET_PA
            return (20.0 if ago < timedelta(minutes=-30) else psi) * PSI

        return keys(scene(said(PRESSURE, course)))

    # analytic: 11 psi and half of 2 psi
    assert back_to(12.1) == [HIGH]
    assert back_to(11.9) == []


def test_the_words_tell_the_numbers_and_what_to_do() -> None:
    found = only(scene(said(PRESSURE, step_at(1.0, SET_PA, 20.0 * PSI))))
    # analytic: 20 psi are 1.38 bar, 11 psi 0.76 bar, the difference 0.62 bar
    assert found.text == "Keg K1 stands at 1.38 bar, 0.62 bar above what is set (0.76 bar)."
    assert "vent it slowly" in found.do
    assert (found.level, found.since) == ("warning", before(hours=1))
    assert found.caution is not None


@pytest.mark.parametrize(("share", "level"), [(0.89, "warning"), (0.91, "danger")])
def test_near_the_lowest_rating_it_is_a_danger(share: float, level: str) -> None:
    found = only(scene(said(PRESSURE, step_at(1.0, SET_PA, share * RATING_PA))))
    assert (found.key, found.level) == (HIGH, level)


def test_a_danger_is_told_at_once_and_ends_below_85_percent() -> None:
    def now(share: float) -> list[str]:
        def course(ago: timedelta) -> float:
            if ago < timedelta(minutes=-25):
                return SET_PA
            return 0.95 * RATING_PA if ago < timedelta(minutes=-20) else share * RATING_PA

        return [one.level for one in alarms(scene(said(PRESSURE, course)))]

    assert now(0.87) == ["danger"]
    assert now(0.80) == []  # and not off for half an hour yet
    assert keys(scene(said(PRESSURE, lambda ago: (56.0 if not ago else 11.0) * PSI))) == [HIGH]


def test_a_new_setting_is_given_an_hour() -> None:
    told = KegLog("ball-lock-5gal", before(minutes=80), before(days=60))
    high = said(PRESSURE, lambda _: 20.0 * PSI)
    assert keys(scene(high, keg_log=told)) == []
    # analytic: an hour to settle and the half hour
    told = KegLog("ball-lock-5gal", before(minutes=90), before(days=60))
    assert keys(scene(high, keg_log=told)) == [HIGH]


def test_off_gas_nothing_is_beyond_anything() -> None:
    assert keys(scene(said(PRESSURE, lambda _: 25.0 * PSI), keg=keg(supply_gauge_pa=None))) == []


def test_a_spunding_valve_that_is_clogged() -> None:
    spunding = keg(supply_gauge_pa=None, spunding_gauge_pa=15.0 * PSI)
    found = only(scene(said(PRESSURE, step_at(2.0, 15.0 * PSI, 20.0 * PSI)), keg=spunding))
    assert "above its spunding valve (1.03 bar)" in found.text
    assert keys(scene(said(PRESSURE, lambda _: 5.0 * PSI), keg=spunding)) == []


def test_a_missed_step_of_the_plan_counts_as_what_is_wanted() -> None:
    left_on = keg(supply_gauge_pa=30.0 * PSI, gauge_pressure_pa=Band(30.0 * PSI, 0.0, 0.0))
    missed = NextStep("0" * 32, before(days=1), "K1", "Set 11 psi.", True, SET_PA)
    thirty = said(PRESSURE, lambda _: 30.0 * PSI)
    assert keys(scene(thirty, keg=left_on)) == []
    found = only(scene(thirty, keg=left_on, steps=(missed,)))
    assert "above what its plan wants by now (0.76 bar)" in found.text


@pytest.mark.parametrize(
    ("psi", "hours", "found"),
    [(14.0, 1.0, [HIGH]), (12.5, 1.0, []), (14.0, 11.9, [HIGH]), (14.0, 12.1, []), (8.0, 1, [LOW])],
)
def test_a_gauge_that_was_read(psi: float, hours: float, found: list[str]) -> None:
    read = Read(psi * PSI, before(hours=hours))
    told = KegLog("ball-lock-5gal", before(days=60), before(days=60), read, before(days=60))
    here = scene(keg_log=told)
    assert keys(here) == found
    assert [one.since for one in alarms(here)] == [read.at] * len(found)


def test_a_sensor_knows_better_than_a_gauge_that_was_read() -> None:
    told = KegLog("ball-lock-5gal", before(days=60), before(days=60), Read(3e5, before(hours=1)))
    assert keys(scene(said(PRESSURE, lambda _: SET_PA), keg_log=told)) == []


def test_near_its_rating_by_what_is_written() -> None:
    high = 0.95 * RATING_PA
    told = KegLog("ball-lock-5gal", before(days=2), before(days=60))
    found = only(scene(keg=keg(gauge_pressure_pa=Band(high, high, high)), keg_log=told))
    assert (found.level, found.since) == ("danger", before(days=2))
    assert "by what is written" in found.text
    assert found.since < NOW


def test_a_regulator_s_gauge_that_reads_off_is_counted() -> None:
    """Of its own gauge that shows 11 psi and gives 13, a sensor at 13.5 is right; one at 11 low."""
    gauges = {"main": 2.0 * PSI}
    for psi, usual, own in ((13.5, [HIGH], []), (10.9, [], [LOW]), (15.1, [HIGH], [HIGH])):
        reads = said(PRESSURE, step_at(1.0, 13.0 * PSI if own == [LOW] else SET_PA, psi * PSI))
        assert keys(scene(reads)) == usual
        assert keys(scene(reads, gauges=gauges)) == own
    high = only(scene(said(PRESSURE, step_at(1.0, SET_PA, 16.0 * PSI)), gauges=gauges))
    # analytic: set 11 psi is 0.76 bar, 13 psi 0.90; 16 psi 1.10; in a metric household
    assert (
        "1.1 bar, 0.21 bar above what is set (0.76 bar). The regulator's gauge reads" in high.text
    )
    assert "0.14 bar low: that is counted." in high.text
    assert "vent it slowly to 0.9 bar" in high.do
    read = KegLog("ball-lock-5gal", before(days=9), None, Read(13.5 * PSI, before(hours=1)))
    assert keys(scene(keg_log=read)) == [HIGH]
    assert keys(scene(keg_log=read, gauges=gauges)) == []


def test_what_to_do_names_the_numbers_of_the_system() -> None:
    low = only(scene(said(PRESSURE, step_at(1.0, SET_PA, 5.0 * PSI))))
    assert "See whether cylinder main (about 3 kg left by the log) is empty or shut" in low.do
    danger = only(scene(said(PRESSURE, step_at(0.1, SET_PA, 0.95 * RATING_PA))))
    assert danger.do.startswith("Vent it now, slowly, to 0.76 bar, doors open")
    bare = keg(supply_gauge_pa=None)
    unset = only(scene(said(PRESSURE, step_at(0.1, SET_PA, 0.95 * RATING_PA)), keg=bare))
    # analytic: 85 % of 60 psi is 51 psi, 3.52 bar
    assert unset.do.startswith("Vent it now, slowly, to below 3.52 bar, doors open")


@pytest.mark.parametrize(
    # analytic: 2 bar keep its level; of two pressures the lower, a rating, counts
    ("rating_pa", "supply_pa", "at"),
    [
        (RATING_PA, None, "put a spunding valve on it at 2 bar, and"),
        (1.5e5, None, "put a spunding valve on it at no more than 1.5 bar, and"),
        (RATING_PA, SET_PA, "put a spunding valve on it, and"),  # its gauge or blend counts in
    ],
)
def test_sugar_that_ferments_names_the_pressure_of_its_valve(
    rating_pa: float, supply_pa: float | None, at: str
) -> None:
    """The advice that names it is called off beside the alarm: see `alarms_cover`."""
    sugared = keg(
        sugar=TooMuchSugar(9.0, None, 293.15),
        ferments=True,
        keeps_gauge_pa=2e5,
        supply_gauge_pa=supply_pa,
        limit=Weakest(rating_pa, "the keg"),
    )
    assert at in only(scene(keg=sugared)).do
