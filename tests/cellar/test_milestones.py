"""Which milestones are kept while days go by, and when one holds no more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from math import isclose

from tests.cellar.logs import day
from ullage.cellar.entries import Stored
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Poured
from ullage.cellar.milestones import (
    BEGINNING,
    INDEX,
    Milestone,
    Since,
    ahead_of,
    first_after,
    holds,
    index,
    kept,
)
from ullage.cellar.other_events import HouseholdSet, Undone
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.waiting import Waiting, carried_on


def kept_after(days: int) -> list[float]:
    """Ages in days of what is kept when every day left a milestone behind, the youngest first."""
    snapshots: dict[str, Snapshot] = {}
    for number in range(1, days + 1):
        new = Milestone(moment=day(number), position=number)
        for one in kept(index(snapshots.get(INDEX)), [(new, f"state {number}")], "form"):
            snapshots[one.stream] = one
        assert len(snapshots) <= 6  # the list and five texts
    found = index(snapshots.get(INDEX))
    assert all(snapshots[f"milestones:{one.slot}"].number == one.position for one in found)
    return sorted((day(days) - one.moment) / timedelta(days=1) for one in found)


def test_some_are_always_a_week_and_a_month_old() -> None:
    for days in range(70, 140):
        ages = kept_after(days)
        assert isclose(ages[0], 0.0)
        # by hand: what comes of age next is at most as old as the age itself, and waits its turn
        assert any(7.0 <= age <= 14.0 for age in ages)
        assert any(30.0 <= age <= 53.0 for age in ages)


def test_of_many_at_once_those_of_age_are_kept() -> None:
    new = [(Milestone(moment=day(n), position=9), f"state {n}") for n in (0, 23, 30)]
    snapshots = {one.stream: one for one in kept((), new, "form")}
    assert {one.moment for one in index(snapshots.get(INDEX))} == {day(0), day(23), day(30)}


def test_a_damaged_list_is_none() -> None:
    assert index(Snapshot(INDEX, 0, "form", "[{")) == ()
    assert index(None) == ()


T = day(10)
COUNTED = Poured(at=day(5), keg="K1", volume_m3=1e-4)
STEP = GasOn(at=day(6), keg="K1", gauge_pressure_pa=1e5, planned=True)
DONE = GasOn(at=day(6), keg="K1", gauge_pressure_pa=1e5, does=STEP.id)
AHEAD = Poured(at=day(11), keg="K1", volume_m3=1e-4)
KEPT = Milestone(moment=T, position=4, first=2)


def since(*new: Event, others: Sequence[Event] = ()) -> Since:
    """Rows 2 to 4, which the milestone knows, and others after them."""
    rows = [AHEAD, COUNTED, DONE, *new]
    stored = [Stored(2 + n, 1 + n, day(0), event) for n, event in enumerate(rows)]
    return Since(tuple(stored), {event.id: event for event in others}, len(rows) + 1)


def undone(event: Event, at: datetime | None = None) -> Undone:
    """Taken back, on the eleventh day unless told."""
    return Undone(at=at or day(11), event=event.id, of=event.stream)


def test_it_holds_while_only_later_things_are_added() -> None:
    glass = Poured(at=T, keg="K1", volume_m3=1e-4)  # at its very moment: after what it counts
    late = Poured(at=day(11), keg="K1", volume_m3=1e-4)
    plan = GasOn(at=day(9), keg="K1", gauge_pressure_pa=1e5, planned=True)
    assert holds(KEPT, since())
    assert holds(KEPT, since(glass, late, plan, undone(late), undone(AHEAD)))
    assert holds(KEPT, since(undone(STEP), others=[STEP]))


def test_it_falls_with_a_fact_from_before_its_moment() -> None:
    early = Poured(at=day(9), keg="K1", volume_m3=1e-4)
    assert not holds(KEPT, since(early))
    assert holds(BEGINNING, since(early))


def test_it_falls_when_what_it_counts_is_taken_back() -> None:
    older = Poured(at=day(1), keg="K1", volume_m3=1e-4)
    assert not holds(KEPT, since(undone(COUNTED)))
    assert not holds(KEPT, since(undone(older), others=[older]))
    assert not holds(KEPT, since(undone(COUNTED, day(9))))
    # a mistake was one from its beginning, however late it was found
    assert not holds(KEPT, since(undone(COUNTED, day(13))))


def test_it_holds_with_what_it_knew_to_be_taken_back() -> None:
    assert holds(replace(KEPT, position=5), since(undone(COUNTED)))


def test_it_falls_when_a_step_waits_again() -> None:
    ahead = GasOn(at=day(11), keg="K1", gauge_pressure_pa=1e5, does=STEP.id)
    rows = since(undone(ahead), others=[ahead])
    assert not holds(KEPT, rows)
    new = GasOn(at=day(11), keg="K1", gauge_pressure_pa=1e5, does=STEP.id)
    assert holds(KEPT, since(new, undone(new)))  # the step is kept from before


def test_what_is_taken_back_before_it_is_written_is_kept_in_mind() -> None:
    unknown = Poured(at=day(3), keg="K1", volume_m3=1e-4)
    rows = since(undone(unknown, day(4)), undone(AHEAD, day(4)), undone(COUNTED, day(4)))
    assert ahead_of(T, BEGINNING, rows) == tuple(sorted((unknown.id, AHEAD.id)))
    carried = replace(KEPT, ahead=(unknown.id,))
    assert ahead_of(T, carried, since()) == (unknown.id,)


def test_the_log_is_read_from_the_first_that_is_not_counted() -> None:
    assert first_after(T, since()) == 2  # the glass of the eleventh day
    assert first_after(day(11), since()) == since().top + 1
    assert first_after(day(11), since(undone(COUNTED, day(12)))) == 5


def test_a_step_done_or_taken_back_waits_no_more() -> None:
    before = carried_on(Waiting(), [STEP, HouseholdSet(at=day(0), altitude_m=90.0)], ())
    assert (before.steps, before.home.altitude_m) == ((STEP,), 90.0)
    assert carried_on(before, [DONE], ()).steps == ()
    assert carried_on(before, [undone(STEP)], ()).steps == ()
    assert carried_on(before, [DONE, undone(DONE)], ()).steps == (STEP,)
    assert carried_on(before, [undone(before.settings[0])], ()).home.altitude_m == 0.0
    early = carried_on(Waiting(), [DONE], ())  # as a merged log may have it
    assert early.done == (STEP.id,)
    assert carried_on(early, [STEP], ()).steps == ()
    gone = carried_on(Waiting(), [undone(STEP)], ())
    assert carried_on(gone, [STEP], ()).steps == ()
    assert carried_on(Waiting(), [DONE, undone(STEP)], {STEP.id}) == Waiting()
