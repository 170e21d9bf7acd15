"""Kegs and cylinders that are nearly empty, sensors that say nothing."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.plan.alarm_scenes import (
    FRIDGE,
    KEPT_K,
    LONG_AGO,
    NOW,
    RATED_KG,
    before,
    cylinder,
    keg,
    keys,
    only,
    said,
    scene,
)
from ullage.plan.advice import LOW_CYLINDER, NEARLY_EMPTY
from ullage.plan.alarms import alarms
from ullage.plan.alarms_answer import KINDS, LEVELS
from ullage.plan.alarms_limits import thresholds
from ullage.plan.alarms_log import CylinderLog, KegLog
from ullage.plan.alarms_scene import Leak
from ullage.plan.answers import Band
from ullage.system import parts

USUAL_M3 = parts.keg_kind("ball-lock-5gal").usual_fill_m3


def holds(share: float, *, was_low: bool = False) -> list[str]:
    left = share * USUAL_M3
    told = KegLog("ball-lock-5gal", LONG_AGO, LONG_AGO, None, LONG_AGO, was_low)
    return keys(scene(keg=keg(beer_left_m3=Band(left, left, left)), keg_log=told))


def test_a_keg_nearly_empty_by_the_threshold_of_the_advice() -> None:
    assert holds(NEARLY_EMPTY + 0.001) == []
    assert holds(NEARLY_EMPTY - 0.001) == ["beer-low:keg:K1"]


def test_a_keg_that_was_weighed_low_is_so_until_it_holds_a_fifth() -> None:
    assert holds(0.19, was_low=True) == ["beer-low:keg:K1"]
    assert holds(0.21, was_low=True) == []


def test_a_keg_without_beer_is_no_alarm() -> None:
    assert keys(scene(keg=keg(batch=None, filled_at=None, beer_left_m3=Band(0, 0, 0)))) == []


def test_an_empty_keg_says_to_write_it_down() -> None:
    found = only(scene(keg=keg(beer_left_m3=Band(0.0, 0.0, 0.0))))
    assert found.text == "Keg K1 (Pale) is empty."
    assert "kicked" in found.do
    assert (found.level, found.since) == ("note", LONG_AGO)


@pytest.mark.parametrize(
    ("share", "was_low", "found"),
    [
        (LOW_CYLINDER + 0.001, False, []),
        (LOW_CYLINDER - 0.001, False, ["gas-low:cylinder:main"]),
        (0.19, True, ["gas-low:cylinder:main"]),
        (0.21, True, []),
    ],
)
def test_a_cylinder_nearly_empty(share: float, was_low: bool, found: list[str]) -> None:
    told = CylinderLog("10 lb", before(days=9), was_low)
    here = scene(cylinder=cylinder(share * RATED_KG), cylinder_log=told)
    assert keys(here) == found
    assert [one.since for one in alarms(here)] == [before(days=9)] * len(found)


def test_a_cylinder_that_gave_more_than_it_held_is_weighed() -> None:
    found = only(scene(cylinder=cylinder(-0.2)))
    assert "gave more than it held" in found.text
    assert found.do.startswith("Weigh it")


@pytest.mark.parametrize(
    ("every_s", "minutes", "silent"),
    [(60.0, 59.0, False), (60.0, 61.0, True), (1800.0, 299.0, False), (1800.0, 301.0, True)],
)
def test_a_silent_sensor(every_s: float, minutes: float, silent: bool) -> None:
    # analytic: ten pauses of a minute are less than the least hour; ten of half an hour are 300 min
    last = before(minutes=minutes)
    one = said(FRIDGE, lambda _: KEPT_K, at=last, every_s=every_s)
    found = alarms(scene(one))
    assert [(each.key, each.since) for each in found] == (
        [("silent:sensor:thermometer", last)] if silent else []
    )


def test_a_silent_sensor_is_named_with_what_it_was_there_for() -> None:
    found = only(scene(said(FRIDGE, lambda _: KEPT_K, at=before(days=2))))
    assert found.text == (
        "Sensor thermometer (temperature of place fridge) has said nothing since "
        "18 May 2026, 12:00."
    )
    assert found.level == "note"


def test_the_most_pressing_stands_first() -> None:
    low = keg(beer_left_m3=Band(0.0, 0.0, 0.0))
    warm = said(FRIDGE, lambda _: KEPT_K + 9.0)
    leak = Leak("main", before(days=1), "It leaks.")
    found = alarms(scene(warm, keg=low, cylinder=cylinder(0.1), leaks=(leak,)))
    assert [one.kind for one in found] == ["warm", "gas-vanishing", "gas-low", "beer-low"]


def test_every_kind_has_its_threshold_in_words() -> None:
    for units in ("us", "metric"):
        found = thresholds(units)
        assert sorted(one.kind for one in found) == sorted(KINDS)
        assert all(one.begins and one.ends and one.why for one in found)
    assert LEVELS == ("danger", "warning", "note")


def test_all_well_is_no_alarm() -> None:
    assert keys(scene(said(FRIDGE, lambda _: KEPT_K))) == []
    assert timedelta(0) < NOW - LONG_AGO
