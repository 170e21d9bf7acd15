"""What an alarm says already, and what must wait while a keg stands above a rating."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from ullage.plan.alarms_answer import Alarm
from ullage.plan.alarms_cover import beside, said_by
from ullage.plan.begin import first_events
from ullage.plan.status import status
from ullage.system.demo import demo_system

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)
DANGER = Alarm(
    "pressure-high:keg:K2", "pressure-high", "keg", "K2", "danger", NOW, "It is high.", "Vent it."
)


def test_a_keg_above_a_rating_hears_only_the_alarm() -> None:
    answer = status([*first_events(demo_system(), NOW)], NOW)
    # pin: the demo's stout stands at 11 psi and is told to be set lower
    assert ("lower", "K2") in {(one.need, one.name) for one in answer.advice}
    told = beside(answer, [DANGER])
    assert "K2" not in {one.name for one in told.advice}
    assert told.alarms == 1
    assert {("vent", "K2"), ("lower", "K2"), ("raise", "K2")} <= said_by([DANGER])


def test_a_warning_of_pressure_calls_nothing_off() -> None:
    answer = status([*first_events(demo_system(), NOW)], NOW)
    warning = replace(DANGER, level="warning")
    assert beside(answer, [warning]).advice == answer.advice
    assert said_by([warning]) == {("vent", "K2")}
