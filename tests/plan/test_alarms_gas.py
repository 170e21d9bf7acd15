"""Gas that rushes out of a cylinder, by its scale and by its gauge; gas that vanishes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.plan.alarm_scenes import (
    CYLINDER_GAUGE,
    NOW,
    SCALE,
    Course,
    before,
    cylinder,
    keys,
    only,
    said,
    scene,
)
from ullage.plan.alarms_scene import Leak

RUSH = "gas-rushing:cylinder:main"
HOUR = timedelta(hours=1)


def losing(start: float, per_hour: float, hours: float) -> Course:
    """So much from the start, then so much less each hour for the last hours."""
    return lambda ago: start - per_hour * max(hours + ago / HOUR, 0.0)


@pytest.mark.parametrize(("kg_h", "found"), [(0.09, []), (0.11, [RUSH])])
def test_a_tenth_of_a_kilogram_each_hour(kg_h: float, found: list[str]) -> None:
    assert keys(scene(said(SCALE, losing(11.0, kg_h, 4.0), hours=12.0))) == found


def test_two_hours_are_no_rush() -> None:
    assert keys(scene(said(SCALE, losing(11.0, 0.2, 2.0)))) == []


def test_it_is_a_danger_that_says_to_air_first() -> None:
    found = only(scene(said(SCALE, losing(11.0, 0.3, 5.0))))
    assert (found.level, found.since) == ("danger", before(hours=5))
    assert found.do.startswith("Open doors and windows before you go near")
    assert "losing gas for hours, 300 g in the last full one" in found.text


def test_it_ends_when_an_hour_takes_less_than_half() -> None:
    def slows_to(kg_h: float) -> list[str]:
        def course(ago: timedelta) -> float:
            lost = 0.2 * min(max(8.0 + ago / HOUR, 0.0), 5.0)
            return 11.0 - lost - kg_h * max(3.0 + ago / HOUR, 0.0)

        return keys(scene(said(SCALE, course)))

    assert slows_to(0.06) == [RUSH]
    assert slows_to(0.04) == []


def test_a_cylinder_that_is_lifted_off_its_scale_is_no_rush() -> None:
    assert keys(scene(said(SCALE, lambda ago: 11.0 if ago < -2 * HOUR else 0.0))) == []
    assert keys(scene(said(SCALE, losing(40.0, 6.0, 4.0)))) == []


def test_kegs_being_carbonated_are_no_rush() -> None:
    # analytic: 19 L from 0.9 to 2.2 vol in a day, three kegs: 3 * 19 * 1.3 * 1.98 g / 24 h = 6 g/h
    assert keys(scene(said(SCALE, losing(11.0, 0.006, 12.0)))) == []


@pytest.mark.parametrize(("bar_h", "found"), [(1.2, []), (3.0, [RUSH])])
def test_a_gauge_tells_once_the_liquid_is_gone(bar_h: float, found: list[str]) -> None:
    # analytic: 1.2 of 20 bar is 6 % an hour; 3 of 20 is 15 %, and more of what is left after
    assert keys(scene(said(CYLINDER_GAUGE, losing(20e5, bar_h * 1e5, 4.0)))) == found


def test_a_cylinder_that_cools_with_its_liquid_in_it_is_no_rush() -> None:
    # published: 57.3 bar at 20 degC and 34.9 bar at 0 degC (CoolProp), over three hours
    assert keys(scene(said(CYLINDER_GAUGE, losing(56.3e5, 7.5e5, 3.0)))) == []


def test_the_gauge_of_a_blend_tells_at_any_pressure() -> None:
    blended = replace(cylinder(0.6), co2_share=0.25, rated_kg=1.4)
    course = losing(130e5, 20e5, 4.0)
    # analytic: 20 of 110 bar in the last hours, and all of it is gas; of CO2 that would be liquid
    assert keys(scene(said(CYLINDER_GAUGE, course), cylinder=blended)) == [RUSH]
    assert keys(scene(said(CYLINDER_GAUGE, course))) == []


def test_gas_that_vanishes_by_the_readings() -> None:
    leak = Leak("main", before(days=3), "From cylinder main went 0.4 kg that no beer took.")
    found = only(scene(leaks=(leak,)))
    assert (found.key, found.since) == ("gas-vanishing:cylinder:main", before(days=3))
    assert found.text == leak.sentence
    assert found.caution is not None
    assert found.caution.level == "danger"
    assert found.since < NOW
