"""A fridge that warms up or freezes; doors that are opened; what was set by a person."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.plan.alarm_scenes import (
    FRIDGE,
    KEG_PROBE,
    KEPT_K,
    before,
    keg,
    keys,
    only,
    said,
    scene,
    sensor,
    step_at,
)
from ullage.plan.alarms_log import KegLog, Kept

WARM, COLD = "warm:place:fridge", "freezing:place:fridge"


@pytest.mark.parametrize(("above", "found"), [(2.9, []), (3.1, [WARM])])
def test_three_kelvin_for_an_hour(above: float, found: list[str]) -> None:
    assert keys(scene(said(FRIDGE, step_at(2.0, KEPT_K, KEPT_K + above)))) == found


def test_fifty_minutes_are_no_alarm() -> None:
    assert keys(scene(said(FRIDGE, step_at(50 / 60, KEPT_K, KEPT_K + 10.0)))) == []


def test_it_ends_within_half_of_that() -> None:
    def back_to(above: float) -> list[str]:
        def course(ago: timedelta) -> float:
            if ago < timedelta(hours=-4):
                return KEPT_K
            return KEPT_K + (8.0 if ago < timedelta(minutes=-30) else above)

        return keys(scene(said(FRIDGE, course)))

    assert back_to(1.6) == [WARM]
    assert back_to(1.4) == []


def test_a_warm_fridge_says_how_warm_it_is_and_what_to_do() -> None:
    found = only(scene(said(FRIDGE, step_at(2.0, KEPT_K, 285.15))))
    assert found.text == "Place fridge is at 12 °C; it is kept at 4 °C."
    assert "power" in found.do
    assert found.caution is not None
    assert "pushes harder" in found.caution.text
    assert (found.level, found.since) == ("warning", before(hours=2))


@pytest.mark.parametrize(("celsius", "found"), [(-0.9, []), (-1.1, [COLD])])
def test_below_minus_one_for_an_hour(celsius: float, found: list[str]) -> None:
    assert keys(scene(said(FRIDGE, step_at(2.0, KEPT_K, 273.15 + celsius)))) == found


def test_freezing_ends_above_nought() -> None:
    def back_to(celsius: float) -> list[str]:
        def course(ago: timedelta) -> float:
            if ago < timedelta(hours=-4):
                return KEPT_K
            return 273.15 + (-3.0 if ago < timedelta(minutes=-30) else celsius)

        return keys(scene(said(FRIDGE, course)))

    assert back_to(-0.5) == [COLD]
    assert back_to(0.5) == []


def test_a_place_that_is_kept_below_freezing_is_no_fridge() -> None:
    frozen = said(FRIDGE, lambda _: 255.0)
    assert keys(scene(frozen, kept=Kept(255.0, before(days=60)))) == []


def test_a_place_nobody_said_anything_of_is_not_judged() -> None:
    elsewhere = sensor("place:attic", "temperature", "degC")
    assert keys(scene(said(elsewhere, lambda _: 310.0))) == []


def test_a_new_setting_is_given_half_a_day() -> None:
    warm = said(FRIDGE, lambda _: KEPT_K + 10.0, hours=30.0)
    assert keys(scene(warm, kept=Kept(KEPT_K, before(hours=12)))) == []
    found = only(scene(warm, kept=Kept(KEPT_K, before(hours=13))))
    # analytic: 12 h after it was set
    assert found.since == before(hours=1)


def test_a_keg_is_given_two_days_to_chill() -> None:
    warm = said(KEG_PROBE, lambda _: KEPT_K + 10.0, hours=60.0)

    def filled(hours: float) -> list[str]:
        told = KegLog("ball-lock-5gal", before(days=60), before(hours=hours), None, before(days=60))
        return keys(scene(warm, keg_log=told))

    assert filled(48.5) == []
    assert filled(49.0) == ["warm:keg:K1"]


def test_an_empty_keg_may_be_as_warm_as_it_likes() -> None:
    warm = said(KEG_PROBE, lambda _: KEPT_K + 10.0)
    assert keys(scene(warm, keg=keg(batch=None, filled_at=None))) == []


def test_a_sensor_that_fell_silent_while_it_was_warm_still_says_so() -> None:
    warm = said(FRIDGE, lambda _: KEPT_K + 10.0, at=before(hours=5))
    here = scene(warm)
    assert keys(here) == [WARM, "silent:sensor:thermometer"]
