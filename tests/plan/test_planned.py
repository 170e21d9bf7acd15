"""Acts of schedules as planned events, and the method told from them again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.plan.samples import PSI, START, keg_case, wanted
from ullage.cellar.events import Event
from ullage.cellar.happening import new_id
from ullage.plan.acts import (
    Act,
    Move,
    PourOff,
    Prime,
    Purge,
    SetGas,
    SetSpunding,
    Shake,
    ShutGas,
    TopUp,
    Vent,
)
from ullage.plan.answers import Schedule, Step
from ullage.plan.carbonation import carbonation
from ullage.plan.planned import method_of, planned_events
from ullage.plan.schedule import Means

ALL: tuple[Act, ...] = (
    Purge(5, 30 * PSI),
    SetGas(12 * PSI),
    SetGas(12 * PSI, "stone"),
    ShutGas(),
    Vent(2 * PSI),
    TopUp(30 * PSI),
    Shake(600.0),
    Prime("sucrose", 0.1),
    SetSpunding(15 * PSI),
    Move("garage"),
    PourOff(0.0019),
)


def flat() -> tuple[Schedule, ...]:
    """Every way for a flat keg that gas can stay on."""
    means = Means(stone=True, spunding_valve=True)
    return carbonation(keg_case(), wanted(means=means)).schedules


def over() -> tuple[Schedule, ...]:
    """Every way for a keg that holds too much."""
    return carbonation(keg_case(start_vol=3.2), wanted()).schedules


def of(schedule: Schedule) -> tuple[Event, ...]:
    return planned_events(schedule, "K1", new_id(), "main")


def test_each_act_becomes_its_event() -> None:
    step = Step(START, "Do it all.", None, ALL)
    schedule = replace(flat()[0], steps=(step, Step(START, "Pour and enjoy.", None)))
    plan = new_id()
    events = planned_events(schedule, "K1", plan, "main")
    # pin: one event for each act, in their order, with the act's own numbers
    assert [event.kind for event in events] == [
        "purged",
        "gas_on",
        "gas_on",
        "gas_off",
        "vented",
        "topped_up",
        "shaken",
        "primed",
        "spunding_set",
        "moved",
        "poured",
    ]
    assert all(event.planned and event.plan == plan and event.at == START for event in events)
    assert [event.remark for event in events] == ["Do it all.", *[""] * 10]
    told = [event.model_dump(exclude_none=True) for event in events]
    assert told[0]["cycles"] == 5
    assert told[1]["cylinder"] == told[5]["cylinder"] == "main"
    assert told[2]["contact"] == "stone"
    assert told[4]["gauge_pressure_pa"] == 2 * PSI
    assert told[7]["sugar_kg"] == 0.1
    assert told[9]["place"] == "garage"
    assert told[10]["volume_m3"] == 0.0019
    assert len({event.id for event in events}) == len(events)


def test_the_method_is_told_from_the_events() -> None:
    ways = (*flat(), *over())
    assert {one.method for one in ways} >= {"hold", "burst", "shake", "stone", "pour and vent"}
    # analytic: what a way makes of its acts is enough to know it by
    assert [method_of(of(one)) for one in ways if of(one)] == [
        one.method for one in ways if of(one)
    ]


@pytest.mark.parametrize("gauge", [0.0, 60 * PSI])
def test_a_step_without_acts_makes_no_event(gauge: float) -> None:
    schedule = replace(flat()[0], steps=(Step(START, "Wait.", gauge),))
    assert of(schedule) == ()
