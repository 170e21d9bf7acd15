"""A test under pressure has a verdict, and the alarm of a leak tells of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.cellar.logs import ROOM_K, day, filled_log
from tests.plan.alarm_scenes import LONG_AGO, NOW, only, scene
from ullage.cellar.admit import admit
from ullage.cellar.leak_verdict import fell_pa, held
from ullage.cellar.other_events import LeakTested
from ullage.plan.alarms_log import CylinderLog, alarms_log
from ullage.plan.alarms_scene import Leak


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


def test_cold_lowers_a_gauge_that_does_not_leak() -> None:
    # analytic: 3.01 bar absolute fall by 15 / 293 where it cools by 15 K: 0.154 bar
    cooled = shut_in(2e5 - 0.154e5, ROOM_K - 15.0)
    assert fell_pa(cooled) == pytest.approx(0.0, abs=200.0)
    assert held(cooled)
    assert not held(shut_in(2e5 - 0.154e5))


@pytest.mark.parametrize(
    ("end_pa", "words"), [(2e5, "held: if anything still leaks"), (1.5e5, "lost 0.5 bar: it leaks")]
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
