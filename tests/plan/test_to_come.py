"""Planned steps that wait: one for all that the hand does at one moment."""

from __future__ import annotations

from tests.cellar.logs import PSI, day, filled_log
from ullage.cellar.events import Event
from ullage.cellar.happening import new_id
from ullage.cellar.keg_events import GasOff, GasOn, Poured, Purged, Vented
from ullage.cellar.other_events import Undone
from ullage.plan.to_come import as_planned, facts, missed, setting_of, waiting


def steps() -> list[Event]:
    """Gas off, vent and serving pressure on the second day; a vent on the fourth."""
    plan = new_id()
    return [
        GasOff(at=day(2), keg="K1", planned=True, plan=plan, remark="End the burst."),
        Vented(at=day(2), keg="K1", planned=True, plan=plan),
        GasOn(at=day(2), keg="K1", gauge_pressure_pa=12 * PSI, planned=True, plan=plan),
        Vented(at=day(4), keg="K1", planned=True, plan=plan),
    ]


def test_events_of_one_moment_are_one_step_with_its_words_and_pressure() -> None:
    planned = steps()
    first, second = waiting([*filled_log(), *planned], day(1))
    assert (first.step, first.subject, first.at) == (planned[0].id, "K1", day(2))
    assert first.do == "End the burst."
    assert first.gauge_pressure_pa == 12 * PSI
    assert second.do == "Vent through the relief valve until it is quiet"
    assert second.gauge_pressure_pa is None


def test_events_of_different_plans_are_different_steps() -> None:
    log = [*steps(), *steps(), Vented(at=day(4), keg="K1", planned=True)]
    assert len(waiting(log, day(1))) == 5


def test_the_numbers_of_a_purge_are_told_with_the_words_of_its_step() -> None:
    plan = new_id()
    purge = Purged(
        at=day(2), keg="K1", cycles=5, gauge_pressure_pa=30 * PSI, planned=True, plan=plan,
        remark="Purge, set the burst.",
    )  # fmt: skip
    on = GasOn(at=day(2), keg="K1", gauge_pressure_pa=40 * PSI, planned=True, plan=plan)
    step = waiting([purge, on], day(1))[0]
    assert step.do == "Purge, set the burst. To purge: 5 times at 30 psi."
    assert setting_of(step.do, step.gauge_pressure_pa, "us") == "40 psi"
    # one that has no words of its own says it once
    bare = waiting([purge.model_copy(update={"remark": ""}), on], day(1))[0]
    assert bare.do == "Purge 5 times at 30 psi; Set 40 psi and connect the gas"
    assert setting_of(bare.do, bare.gauge_pressure_pa, "us") == ""
    # analytic: 3 psi are not said by "13 psi"
    assert setting_of("Set 13 psi", 3 * PSI, "us") == "3 psi"


def test_what_a_vent_is_to_leave_is_told_with_its_words() -> None:
    vent = Vented(
        at=day(2), keg="K1", gauge_pressure_pa=2 * PSI, planned=True, plan=new_id(),
        remark="Vent to this pressure only.",
    )  # fmt: skip
    step = waiting([vent], day(1))[0]
    assert step.do == "Vent to this pressure only. Leave in it: 2 psi."


def test_a_step_is_ahead_then_due_then_missed() -> None:
    log = steps()[:3]
    told = [waiting(log, day(at))[0].when for at in (1.9, 1.999, 2.0, 2.24, 2.26)]
    assert told == ["ahead", "due", "due", "due", "missed"]
    assert [len(missed(log, day(at))) for at in (2.24, 2.26)] == [0, 1]


def test_a_forecast_counts_what_lies_ahead_and_what_is_due_as_done_now() -> None:
    log = steps()
    assert as_planned(log, day(1)) == log
    assert [event.at for event in as_planned(log, day(2.1))] == [*[day(2.1)] * 3, day(4)]
    assert [event.at for event in as_planned(log, day(3))] == [day(4)]


def test_done_and_taken_back_steps_wait_no_more() -> None:
    log = steps()
    done = Vented(at=day(4), keg="K1", does=log[3].id)
    gone = [Undone(at=day(1), event=one.id, of=one.stream) for one in log[:3]]
    assert waiting([*log, done, *gone], day(1)) == []
    assert as_planned([*log, done, *gone], day(1)) == []


def test_facts_are_what_happened_until_then() -> None:
    poured = [Poured(at=day(n), keg="K1", volume_m3=0.4e-3) for n in (1, 3)]
    assert facts([*steps(), *poured], day(2)) == poured[:1]
