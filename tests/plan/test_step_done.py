"""A planned step done: as facts, in time or otherwise; which of several is the next."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cellar.logs import PSI
from tests.plan.adopted import NOW, begun, burst, later, log_of
from ullage.cellar.keg_events import GasOn, Purged, Vented
from ullage.cellar.recording import record
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.step_done import Changed, do_step, next_step


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with begun(tmp_path) as one:
        yield one


def test_a_step_is_done_as_facts_at_the_true_time_and_otherwise_than_planned(store: Store) -> None:
    step = burst(store).steps[0]
    done = do_step(
        store, step.step[:8], later(0.1), later(0.1), Changed(gauge_pressure_pa=38 * PSI)
    )
    planned = {event.id: event for event in log_of(store) if event.planned}
    assert [type(event) for event in done.events] == [Purged, GasOn]
    for event in done.events:
        assert not event.planned
        assert event.at == later(0.1)
        assert event.does in planned
    purged, on = done.events
    assert isinstance(on, GasOn)
    assert on.gauge_pressure_pa == pytest.approx(38 * PSI)
    before = planned[purged.does or ""]
    assert isinstance(purged, Purged)
    assert isinstance(before, Purged)
    assert purged.gauge_pressure_pa == before.gauge_pressure_pa
    assert done.warnings == ()
    with pytest.raises(EventError, match="no step that waits begins with"):
        do_step(store, step.step, later(0.2), later(0.2))


def test_of_several_kegs_whose_steps_are_due_one_must_be_named(store: Store) -> None:
    wheat = burst(store)
    vent = Vented(at=NOW, keg="K1", planned=True)
    record(store, [vent], NOW)
    with pytest.raises(
        EventError, match=r"several are due: K.*say which: ullage done --keg"
    ) as told:
        next_step(log_of(store), NOW)
    assert wheat.steps[0].step[:8] in str(told.value)
    assert vent.id[:8] in str(told.value)
    assert next_step(log_of(store), NOW, "K1").step == vent.id
    assert next_step(log_of(store), NOW, "K3").step == wheat.steps[0].step
    with pytest.raises(EventError, match="no planned step waits for keg K2"):
        next_step(log_of(store), NOW, "K2")
    do_step(store, vent.id, NOW, NOW)
    assert next_step(log_of(store), NOW).step == wheat.steps[0].step


def test_the_next_step_is_the_earliest_that_waits(store: Store) -> None:
    with pytest.raises(EventError, match="no planned step waits"):
        next_step(log_of(store), NOW)
    adopted = burst(store)
    assert next_step(log_of(store), NOW) == adopted.steps[0]


def test_what_a_step_has_not_cannot_have_been_done_otherwise(store: Store) -> None:
    steps = burst(store).steps
    before = len(log_of(store))
    with pytest.raises(EventError, match="nothing is rocked in that step"):
        do_step(store, steps[0].step, later(0.1), later(0.1), Changed(duration_s=600.0))
    cure = [*log_of(store), Vented(at=later(1), keg="K1", planned=True, plan="c" * 32)]
    record(store, cure[-1:], later(0.1))
    with pytest.raises(EventError, match="that step sets no pressure"):
        do_step(store, cure[-1].id, later(0.1), later(0.1), Changed(gauge_pressure_pa=38 * PSI))
    assert len(log_of(store)) == before + 1
