"""Procedures half done: kept, gone on with by several at once, finished once, left lying."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ullage.cellar.other_events import LineCleaned
from ullage.cellar.store import Store
from ullage.errors import OutOfRange, StoreError
from ullage.plan import upkeep_progress as progress
from ullage.plan.clean_drive import Drive, Pump
from ullage.plan.upkeep_changes import rule_of
from ullage.plan.upkeep_history import tells
from ullage.plan.upkeep_progress import DOCUMENT, Setup, begun_of, finish, tick
from ullage.plan.upkeep_under_way import UnderWay, all_under_way
from ullage.system.demo import demo_system
from ullage.system.upkeep_rules import rules

SYSTEM = demo_system(date(2026, 6, 1))
LINE = rule_of("clean line")
BEGIN = datetime(2026, 6, 1, 12, tzinfo=UTC)


def after(minutes: float) -> datetime:
    return BEGIN + timedelta(minutes=minutes)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(str(tmp_path / "log.db")) as store:
        yield store


def stands(store: Store, at: datetime) -> UnderWay:
    (found,) = all_under_way(begun_of(store), SYSTEM, at)
    return found


def test_ticks_outlast_the_store_that_wrote_them(store: Store, tmp_path: Path) -> None:
    tick(store, LINE, "left", (1,), BEGIN)
    tick(store, LINE, "left", (2,), after(3))
    store.close()
    with Store.open(str(tmp_path / "log.db")) as again:
        found = stands(again, after(12))
    assert (found.done, found.next_step, len(found.steps)) == (2, 3, 6)
    assert found.begun_at == BEGIN
    assert found.next_do.startswith("Pump it through")


def test_a_tick_that_is_there_keeps_its_moment_and_can_be_taken_off(store: Store) -> None:
    tick(store, LINE, "left", (1, 1), BEGIN)
    again = tick(store, LINE, "left", (1,), after(5))
    assert again is not None
    assert again.ticked(1) == BEGIN
    progress.untick(store, LINE, "left", 1)
    assert stands(store, after(6)).next_step == 1
    assert progress.untick(store, LINE, "right", 1) is None


def test_the_contact_time_runs_from_the_step_before(store: Store) -> None:
    tick(store, LINE, "left", (1, 2, 3), after(4))
    step = stands(store, after(10)).steps[3]
    # published: 15 min circulating (Brewers Association, Draught Beer Quality Manual): 4 + 15 = 19
    assert (step.since, step.enough_at, step.short) == (after(4), after(19), False)
    tick(store, LINE, "left", (4,), after(12))
    assert stands(store, after(13)).steps[3].short
    pushed = Setup(drive=Drive(means="keg"))
    tick(store, LINE, "right", (1, 2, 3), after(4), pushed)
    (right,) = (
        one for one in all_under_way(begun_of(store), SYSTEM, after(5)) if one.about != "left"
    )
    # published: 20 min standing, which suits what a keg pushes: 4 + 20 = 24
    assert right.steps[3].enough_at == after(24)


def test_what_it_was_begun_with_is_kept(store: Store) -> None:
    setup = Setup(strength=0.03, drive=Drive(Pump(2.0, 1e-4), None, 303.15, "pump"))
    tick(store, LINE, "left", (1,), BEGIN, setup)
    tick(store, LINE, "left", (2,), after(1))
    found = begun_of(store).find("clean line", "left")
    assert found is not None
    assert found.setup == setup
    # analytic: 3 % is 30 g in a litre, in 2 L 60 g
    assert "that takes 60 g" in stands(store, after(2)).steps[1].do


def test_the_last_step_writes_it_down_once_and_forgets_it(store: Store) -> None:
    for number in range(1, 6):
        tick(store, LINE, "left", (number,), after(number))
        assert finish(store, LINE, "left", after(number)) is None
    tick(store, LINE, "left", (6,), after(40))
    told = finish(store, LINE, "left", after(41))
    assert told is not None
    (event,) = told.events
    assert isinstance(event, LineCleaned)
    assert (event.tap, event.at) == ("left", after(40))
    assert begun_of(store).begun == ()
    assert finish(store, LINE, "left", after(42)) is None
    assert store.count() == 1


def test_one_who_comes_back_after_a_crash_writes_no_second_event(store: Store) -> None:
    tick(store, LINE, "left", tuple(range(1, 7)), BEGIN)
    kept = store.get_document(DOCUMENT)
    assert kept is not None
    finish(store, LINE, "left", after(1))
    store.put_document(DOCUMENT, kept.text)  # as if it had stopped before it forgot
    again = finish(store, LINE, "left", after(9))
    assert again is not None
    assert len(again.known) == 1
    assert store.count() == 1
    assert begun_of(store).begun == ()


def test_two_browsers_at_once_lose_no_tick(tmp_path: Path) -> None:
    where = str(tmp_path / "log.db")
    Store.open(where).close()
    parts = ("left", "middle", "right")

    def one_browser(number: int) -> None:
        with Store.open(where) as own:
            for part in parts:
                tick(own, LINE, part, (number,), after(number))

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(one_browser, range(1, 7)))
    with Store.open(where) as store:
        for part in parts:
            found = begun_of(store).find("clean line", part)
            assert found is not None
            assert [one.step for one in found.ticks] == [1, 2, 3, 4, 5, 6]


def test_two_who_finish_at_once_write_one_event(tmp_path: Path) -> None:
    where = str(tmp_path / "log.db")
    with Store.open(where) as store:
        tick(store, LINE, "left", (1, 2, 3, 4, 5), BEGIN)

        (shown,) = begun_of(store).begun

    def last(number: int) -> None:
        with Store.open(where) as own:
            tick(own, LINE, "left", (6,), after(number), seen=shown.id)
            finish(own, LINE, "left", after(60))

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(last, (1, 2)))
    with Store.open(where) as store:
        assert sum(isinstance(one.event, LineCleaned) for one in store.read()) == 1
        assert begun_of(store).begun == ()
        assert tick(store, LINE, "left", (6,), after(61), seen=shown.id) is None
        assert begun_of(store).begun == ()


def test_one_left_for_a_day_with_cleaner_in_it_says_so(store: Store) -> None:
    tick(store, LINE, "left", (1, 2), BEGIN)
    assert stands(store, after(5)).caution == ""
    assert "what was clean then may not be now" in stands(store, after(24 * 60 + 1)).caution
    tick(store, LINE, "left", (3,), after(5))
    fresh = stands(store, after(10))
    assert (fresh.lies, fresh.holds_cleaner) == (False, True)
    assert fresh.caution == "Cleaner is in the line: nobody drinks from it until it is rinsed."
    old = stands(store, after(24 * 60 + 6))
    assert (old.lies, old.holds_cleaner) == (True, True)
    for words in ("must not stay", "tap left", "Gloves", "rinse it now", "begin again"):
        assert words in old.caution
    tick(store, LINE, "left", (4, 5), after(24 * 60 + 30))
    rinsed = stands(store, after(24 * 60 + 31))
    assert (rinsed.lies, rinsed.holds_cleaner, rinsed.caution) == (False, False, "")


def test_it_is_begun_again_and_dropped(store: Store) -> None:
    first = tick(store, LINE, "left", (1, 2), BEGIN)
    again = progress.begin(store, LINE, "left", after(60))
    assert first is not None
    assert again.id != first.id
    assert stands(store, after(61)).done == 0
    progress.drop(store, "clean line", "left")
    progress.drop(store, "clean line", "left")
    assert begun_of(store).begun == ()


def test_steps_that_are_no_longer_the_same_are_not_gone_on_with(store: Store) -> None:
    tick(store, LINE, "left", (1,), BEGIN)
    fewer = LINE.model_copy(update={"steps": LINE.steps[:-1]})
    with pytest.raises(OutOfRange, match="begin again"):
        tick(store, fewer, "left", (2,), after(1))
    kept = store.get_document(DOCUMENT)
    assert kept is not None
    store.put_document(DOCUMENT, kept.text.replace(progress.form_of(LINE), "other"))
    found = stands(store, after(2))
    assert "begin again" in found.broken
    assert found.steps == ()


def test_a_part_that_is_gone_and_a_step_there_is_not(store: Store) -> None:
    tick(store, LINE, "left", (1,), BEGIN)
    bare = SYSTEM.model_copy(update={"taps": SYSTEM.taps[1:]})
    (found,) = all_under_way(begun_of(store), bare, after(1))
    assert "drop it" in found.broken
    for step in (0, 7):
        with pytest.raises(OutOfRange, match="its steps are 1 to 6"):
            tick(store, LINE, "left", (step,), BEGIN)


def test_what_is_kept_and_cannot_be_read_is_told(store: Store) -> None:
    store.put_document(DOCUMENT, '{"version": 1, "begun": [{"task": 3}]}')
    with pytest.raises(StoreError, match=r"begun\.0\.task"):
        begun_of(store)


def test_every_task_can_be_ticked_to_its_end(store: Store) -> None:
    parts = {"tap": "left", "cylinder": "main", "regulator": "regulator", "place": "freezer"}
    known = [rule for rule in rules() if rule.of != "keg"]  # the log knows no keg here
    for rule in known:
        about = parts.get(rule.of, "cellar")
        tick(store, rule, about, tuple(range(1, len(rule.steps) + 1)), BEGIN)
        told = finish(store, rule, about, after(1))
        assert told is not None
        assert tells(told.events[0], rule)
    assert begun_of(store).begun == ()
    assert store.count() == len(known)
