"""A test under pressure has a verdict, and the alarm of a leak tells of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.cellar.logs import PSI, ROOM_K, day, filled_log
from tests.plan.alarm_scenes import LONG_AGO, NOW, only, scene
from ullage.cellar.admit import admit
from ullage.cellar.leak_verdict import fell_pa, outcome
from ullage.cellar.other_events import LeakTested
from ullage.plan.alarms_log import CylinderLog, alarms_log
from ullage.plan.alarms_scene import Leak
from ullage.plan.leaks import Hold, Reading, pressure_hold


def shut_in(end_pa: float, end_k: float = ROOM_K) -> LeakTested:
    """Two bar shut into the gas line for twelve hours."""
    return LeakTested(
        at=day(1),
        cylinder="main",
        part="gas line",
        start_gauge_pa=2e5,
        end_gauge_pa=end_pa,
        duration_s=43_200.0,
        start_k=ROOM_K,
        end_k=end_k,
    )


def test_what_it_found_is_said_when_it_is_written_down() -> None:
    (leaks,) = admit(shut_in(1.5e5), filled_log(), day(10))
    # analytic: from 2 to 1.5 bar at one warmth are 0.5 bar, 7.3 psi
    assert leaks.startswith("Gas line lost 0.5 bar (7.3 psi), its warmth counted: it leaks.")
    (tight,) = admit(shut_in(2e5), filled_log(), day(10))
    assert "held its pressure" in tight
    (fed,) = admit(shut_in(2.54e5), filled_log(), day(10))
    # analytic: from 2 to 2.54 bar at one warmth are 0.54 bar more
    assert fed.startswith("Gas line gained 0.54 bar (7.8 psi), its warmth counted: any leak could")
    assert "tight" not in fed


@pytest.mark.parametrize(
    ("start_psi", "end_psi", "end_k"),
    [
        (30.0, 29.2, ROOM_K),
        (30.0, 30.0, ROOM_K),
        (30.0, 29.6, ROOM_K),
        (30.0, 37.7, ROOM_K),
        (30.0, 31.0, ROOM_K),
        (30.0, 26.4, ROOM_K - 15.0),
        (30.0, 27.6, ROOM_K - 15.0),
        (30.0, 31.0, ROOM_K - 15.0),
        (15.0, 14.0, ROOM_K),
    ],
)
def test_the_log_and_the_page_of_leaks_find_the_same(
    start_psi: float, end_psi: float, end_k: float
) -> None:
    test = shut_in(end_psi * PSI, end_k).model_copy(update={"start_gauge_pa": start_psi * PSI})
    readings = (
        Reading(test.start_gauge_pa, test.start_k),
        Reading(test.end_gauge_pa, test.end_k),
    )
    # independent: the page draws the readings' errors many times and counts the gas by its density
    page = pressure_hold(Hold(*readings, test.duration_s, 1e-4)).verdict
    assert {"fell": "leak", "held": "none seen", "gained": "void"}[outcome(test)] == page


def test_the_error_of_two_needles_and_two_thermometers() -> None:
    # analytic: 2 kPa twice are 2.83 kPa; 0.5 K of 293 K twice, of 3 bar, 0.73 kPa: together 2.92
    # kPa, of which 1.645 are 4.8 kPa
    assert outcome(shut_in(2e5 - 4_700.0)) == "held"
    assert outcome(shut_in(2e5 - 4_900.0)) == "fell"
    assert outcome(shut_in(2e5 + 4_700.0)) == "held"
    assert outcome(shut_in(2e5 + 4_900.0)) == "gained"


def test_cold_lowers_a_gauge_that_does_not_leak() -> None:
    # analytic: 3.01 bar absolute fall by 15 / 293 where it cools by 15 K: 0.154 bar
    cooled = shut_in(2e5 - 0.154e5, ROOM_K - 15.0)
    assert fell_pa(cooled) == pytest.approx(0.0, abs=200.0)
    assert outcome(cooled) == "held"
    assert outcome(shut_in(2e5 - 0.154e5)) == "fell"


@pytest.mark.parametrize(
    ("end_pa", "words"),
    [
        (2e5, "held: if anything still leaks"),
        (1.5e5, "lost 0.5 bar: it leaks"),
        (2.5e5, "gained pressure, behind which any leak could hide: test again"),
    ],
)
def test_the_alarm_of_a_leak_tells_of_it_and_of_its_end(end_pa: float, words: str) -> None:
    test = shut_in(end_pa).model_copy(update={"at": NOW})
    told = alarms_log([test], NOW + timedelta(minutes=1)).cylinders["main"].tested
    assert told == test
    log = replace(CylinderLog("10 lb", LONG_AGO), tested=told)
    leak = Leak("main", NOW - timedelta(days=1), "Gas went.")
    alarm = only(scene(cylinder_log=log, leaks=(leak,)))
    assert words in alarm.do
    assert alarm.do.endswith("This ends with a weighing that finds no gas missing.")
    earlier = replace(leak, since=NOW + timedelta(minutes=2))
    assert "The test of" not in only(scene(cylinder_log=log, leaks=(earlier,))).do
