"""Tasks of one part and one day stand together; the calendar keeps an entry for each."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from ullage.cellar.other_events import LineCleaned
from ullage.plan.calendar import calendar_of, uid
from ullage.plan.look_ahead import look_ahead
from ullage.plan.upkeep import CELLAR, Task, Upkeep, upkeep
from ullage.plan.upkeep_together import Together, together
from ullage.system.demo import demo_system

BEGIN = datetime(2026, 1, 1, 12, tzinfo=UTC)
SYSTEM = demo_system(BEGIN.date())
USED = SYSTEM.model_copy(
    update={"taps": tuple(tap.model_copy(update={"used": True}) for tap in SYSTEM.taps)}
)


def of_tap(due: Upkeep, state: str, tap: str = "left") -> list[Together]:
    tasks = [task for task in due.tasks if task.state == state]
    return [one for one in together(tasks) if (one.first.of, one.first.about) == ("tap", tap)]


def test_what_is_due_of_a_used_tap_is_one_row_with_its_tasks() -> None:
    (row,) = of_tap(upkeep(USED, (), BEGIN), "due")
    assert row.about == "Tap left"
    assert row.because == "not known when: do it before the next glass"
    assert len(row.tasks) == 5
    # in the order of the catalogue: the line is cleaned before acid goes through it
    assert [task.task for task in row.tasks][:2] == ["clean line", "acid line"]


def test_other_days_other_parts_and_other_states_stand_apart() -> None:
    done = LineCleaned(at=BEGIN + timedelta(days=3), tap="left", cleaner="line cleaner")
    due = upkeep(SYSTEM, (done,), BEGIN + timedelta(days=4))
    for one in together(due.tasks):
        places = {(task.of, task.about, task.state) for task in one.tasks}
        days = {None if task.due_at is None else task.due_at.date() for task in one.tasks}
        assert len(places) == len(days) == 1
    # analytic: cleaned a day ago, due in 13; the faucet counts from the first word, due in 13 too,
    # and the acid of the quarter on a day of its own
    (soonest, *later) = [one for one in together(due.tasks) if one.first.about == "left"]
    assert {task.task for task in soonest.tasks}.isdisjoint(
        task.task for one in later for task in one.tasks
    )
    assert len(later) >= 1


def test_nothing_is_lost_and_what_is_about_no_part_stands_alone() -> None:
    due = upkeep(USED, (), BEGIN)
    rows = together(due.tasks)
    told: list[Task] = [task for one in rows for task in one.tasks]
    assert sorted(map(repr, told)) == sorted(map(repr, due.tasks))
    assert all(len(one.tasks) == 1 for one in rows if one.first.about == CELLAR)


def test_reasons_that_differ_are_told_of_each() -> None:
    tasks = of_tap(upkeep(USED, (), BEGIN), "due")[0].tasks
    mixed = Together((tasks[0], *upkeep(SYSTEM, (), BEGIN).tasks[:1]))
    assert mixed.because == ""


def test_the_calendar_keeps_an_entry_and_its_name_for_each_task() -> None:
    due = upkeep(USED, (), BEGIN)
    uids = [one.uid for one in calendar_of("Bar", look_ahead([], BEGIN), due).entries]
    dated = [task for task in due.tasks if task.due_at is not None or task.state == "due"]
    assert sorted(uids) == sorted(uid("upkeep", one.task, one.of, one.about) for one in dated)
    # pin: a calendar that follows the feed knows the line of tap left by this name
    assert uid("upkeep", "clean line", "tap", "left") in uids
