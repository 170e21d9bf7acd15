"""A brewing plan as planned steps: adopted, followed, adopted anew, and beside other plans."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest

from tests.plan.brew_logs import FILE, MONDAY, bar
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import Brewed
from ullage.cellar.recording import record
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.adopt import adopt, plan_anew
from ullage.plan.begin import begin
from ullage.plan.brewing import brewing
from ullage.plan.brewing_adopt import (
    adopt_brewing,
    plan_steps,
    waiting_steps,
    withdraw_brewing,
)
from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
from ullage.plan.calendar import calendar_of
from ullage.plan.fermenting import in_fermenters
from ullage.plan.look_ahead import look_ahead
from ullage.plan.status import status
from ullage.plan.step_done import do_step
from ullage.plan.steps import due_steps
from ullage.plan.to_come import waiting_plans
from ullage.plan.upkeep import upkeep

DAY = timedelta(days=1)
USUAL = BrewingQuestion(sureness=0.5)


@pytest.fixture
def store() -> Iterator[Store]:
    with Store.open("sqlite://") as opened:
        begin(opened, bar(), FILE, MONDAY, MONDAY)
        yield opened


def events(store: Store) -> list:  # type: ignore[type-arg]
    return [one.event for one in store.read()]


def test_a_plan_becomes_brews_and_fillings_that_wait(store: Store) -> None:
    done = adopt_brewing(store, MONDAY, bar(), USUAL)
    waits = plan_steps(events(store))
    brews = [one for one in waits if isinstance(one, Brewed)]
    fills = [one for one in waits if isinstance(one, Filled)]
    # analytic: a step for each brew of the answer, and for each keg that it fills
    assert [(one.at, one.batch) for one in brews] == [
        (one.brew_at, one.beer) for one in done.answer.brews
    ]
    assert len(fills) == sum(len(one.kegs) for one in done.answer.batches)
    assert {one.plan for one in waits} == {done.plan}  # brews and fillings: one plan, one id
    assert all(one.planned for one in waits)
    assert len(done.steps) == len(waits)
    assert "Fill it, clean and purged, with 18.9 L of" in fills[0].remark


def test_adopting_anew_takes_back_what_waits_of_the_one_before(store: Store) -> None:
    first = adopt_brewing(store, MONDAY, bar(), USUAL)
    second = adopt_brewing(store, MONDAY + DAY, bar(), BrewingQuestion(sureness=0.9))
    assert second.withdrawn == len(first.steps)
    assert {one.step for one in waiting_steps(events(store), MONDAY + DAY)} == {
        one.step for one in second.steps
    }
    assert withdraw_brewing(store, MONDAY + DAY) == len(second.steps)
    assert plan_steps(events(store)) == []
    assert withdraw_brewing(store, MONDAY + DAY) == 0


def by_hand() -> Filled:
    """A filling that somebody planned without any plan of brews."""
    return Filled(
        at=MONDAY + 20 * DAY, keg="K3", batch="Stout", volume_m3=0.018, temperature_k=293.15,
        fermenter="F1", planned=True, remark="The rest of the stout",
    )  # fmt: skip


def test_what_was_planned_by_hand_is_left_alone(store: Store) -> None:
    mine = by_hand()
    record(store, [mine], MONDAY)
    first = adopt_brewing(store, MONDAY, bar(), USUAL)
    assert first.withdrawn == 0
    adopt_brewing(store, MONDAY + DAY, bar(), USUAL)
    withdraw_brewing(store, MONDAY + DAY)
    assert [one.id for one in due_steps(events(store))] == [mine.id]


def test_fillings_of_a_plan_in_an_older_log_are_taken_back_though_they_bear_no_id(
    store: Store,
) -> None:
    words = "Fill it, clean and purged, with 18 L of Stout from F1, if its gravity stands still"
    record(store, [by_hand().model_copy(update={"remark": words})], MONDAY)
    assert adopt_brewing(store, MONDAY, bar(), USUAL).withdrawn == 1


def test_the_carbonation_of_a_keg_is_planned_anew_though_a_filling_of_it_waits(
    store: Store,
) -> None:
    adopt(store, "K1", "hold", None, MONDAY, bar())
    adopt_brewing(store, MONDAY, bar(), BrewingQuestion(sureness=0.5, horizon_s=26 * WEEK_S))
    with_filling = plan_steps(events(store))
    assert any(one.subject == "K1" for one in with_filling)
    assert plan_anew(store, "K1", MONDAY, bar()).withdrawn == 1
    assert plan_steps(events(store)) == with_filling
    withdraw_brewing(store, MONDAY)
    assert len(waiting_plans(events(store), "K1")) == 1


def test_a_keg_that_only_a_brewing_plan_fills_has_no_plan_to_make_anew(store: Store) -> None:
    adopt_brewing(store, MONDAY, bar(), USUAL)
    assert any(one.subject == "K3" for one in plan_steps(events(store)))
    with pytest.raises(EventError, match="has no plan yet"):
        plan_anew(store, "K3", MONDAY, bar())


def test_a_plan_of_the_same_moment_from_elsewhere_does_not_stay_beside_it(store: Store) -> None:
    adopt_brewing(store, MONDAY, bar(), USUAL)
    done = adopt_brewing(store, MONDAY, bar(), USUAL)
    assert len(plan_steps(events(store))) == len(done.steps)


def test_steps_are_done_and_the_plan_goes_on_from_there(store: Store) -> None:
    done = adopt_brewing(store, MONDAY, bar(), USUAL)
    first = next(step for step in done.steps if step.subject_kind == "fermenter")
    at = first.at + timedelta(hours=1)
    do_step(store, first.step, at, at)
    (there,) = in_fermenters(events(store), at)
    assert there.fermenter == "F1"
    anew = brewing(events(store), at, bar(), USUAL)
    assert anew.batches[0].begun
    assert anew.batches[0].brew_at == at
    fill = next(step for step in done.steps if step.renews)
    do_step(store, fill.step, fill.at, fill.at)
    assert in_fermenters(events(store), fill.at) == ()
    cellar = look_ahead(events(store), fill.at, system=bar())
    assert there.batch in {keg.batch for keg in cellar.kegs if keg.keg == fill.subject}


def test_a_way_to_carbonate_leaves_the_packaging_alone(store: Store) -> None:
    far = BrewingQuestion(sureness=0.5, horizon_s=26 * WEEK_S)
    adopt_brewing(store, MONDAY, bar(), far)
    before = {one.id for one in plan_steps(events(store))}
    assert any(one.subject == "K1" for one in plan_steps(events(store)))
    assert waiting_plans(events(store), "K1") == {}
    adopt(store, "K1", "hold", None, MONDAY, bar())
    assert {one.id for one in plan_steps(events(store))} == before
    assert len(waiting_plans(events(store), "K1")) == 1
    adopt_brewing(store, MONDAY, bar(), USUAL)
    assert len(waiting_plans(events(store), "K1")) == 1


def test_the_beer_that_is_there_is_foreseen_as_without_the_plan(store: Store) -> None:
    before = look_ahead(events(store), MONDAY, system=bar())
    adopt_brewing(store, MONDAY, bar(), USUAL)
    after = look_ahead(events(store), MONDAY, system=bar())
    # analytic: what a keg will be filled with says nothing of what is in it now
    assert after.kegs == before.kegs
    assert len(after.steps) > len(before.steps)


def test_steps_are_told_of_what_they_are_done_to(store: Store) -> None:
    adopt_brewing(store, MONDAY, bar(), USUAL)
    log = events(store)
    near = [one for one in status(log, MONDAY).steps if not one.is_far(MONDAY)]
    assert all(one.at <= MONDAY + 14 * DAY for one in near)
    late = status(log, MONDAY + 40 * DAY)
    missed = [one.text for one in late.advice if one.need == "step"]
    assert any(one.startswith("Missed, fermenter F1: Brew 19 L of") for one in missed)
    assert not any("for F1 was" in one for one in look_ahead(log, MONDAY).remarks)


def test_the_calendar_has_brew_days_and_packaging(store: Store) -> None:
    done = adopt_brewing(store, MONDAY, bar(), USUAL)
    log = events(store)
    made = calendar_of("Bar", look_ahead(log, MONDAY, system=bar()), upkeep(bar(), log, MONDAY))
    brews = [one for one in made.entries if one.title.startswith("Fermenter F1: Brew")]
    assert [one.start for one in brews] == [one.brew_at for one in done.answer.brews]
    assert {one.kind for one in brews} == {"brew"}
    assert any(one.title.startswith("Keg K3: Fill it") for one in made.entries)


def test_where_there_is_nothing_to_do_nothing_is_written(store: Store) -> None:
    count = len(events(store))
    with pytest.raises(EventError, match="nothing to brew"):
        adopt_brewing(store, MONDAY, bar(), BrewingQuestion(sureness=0.5, horizon_s=86_400.0))
    assert len(events(store)) == count
