"""What is recorded is held against the whole log, though only its end is replayed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.cellar.logs import FILL_M3, PSI, ROOM_K, cellar_log, day, filled_log
from ullage.cellar import admit as admitting
from ullage.cellar import standing as asked
from ullage.cellar.admit import admit
from ullage.cellar.entries import Added
from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.keg_events import Filled, GasOn, KegCleaned, KegWeighed, Kicked, Poured, Vented
from ullage.cellar.other_events import BatchDescribed, HouseholdSet, Undone
from ullage.cellar.recording import record
from ullage.cellar.replay import replay
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.errors import Conflict, EventError

NOW = day(50)


def six_weeks() -> list[Event]:
    """A keg on gas, and small glasses until next to nothing is left of it."""
    pours = [Poured(at=day(1 + n / 2), keg="K1", volume_m3=2.2e-4) for n in range(84)]
    return [
        HouseholdSet(at=day(-3), altitude_m=800.0),
        *filled_log(),
        GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main"),
        *pours,
    ]


LATE: list[Event] = [
    Poured(at=day(49), keg="K1", volume_m3=3e-3),  # more than replay thinks is left
    Poured(at=day(44), keg="K1", volume_m3=2e-4),
    Poured(at=day(42.5), keg="K1", volume_m3=2.2e-4),  # the last glass, written down again
    Poured(at=day(20), keg="K1", volume_m3=4e-4),
    Poured(at=day(-1), keg="K1", volume_m3=4e-4),  # before there was beer
    Poured(at=day(49), keg="K2", volume_m3=4e-4),  # no such keg
    Vented(at=day(60), keg="K1"),  # ahead
    KegWeighed(at=day(49), keg="K1", gross_kg=90.0),
    KegCleaned(at=day(49), keg="K1"),
    Kicked(at=day(49), keg="K1"),
    Filled(at=day(49), keg="K1", batch="dark", volume_m3=FILL_M3, temperature_k=ROOM_K),
    GasOn(at=day(49), keg="K1", gauge_pressure_pa=1e6, cylinder="main"),
    GasOn(at=day(55), keg="K1", gauge_pressure_pa=12 * PSI, planned=True),
    HouseholdSet(at=day(49), altitude_m=0.0),
    BatchDescribed(at=day(49), batch="dark", target_vol=2.2),
]


def by_hand(log: Sequence[Event], event: Event) -> tuple[str, ...] | str:
    """What the whole log says of one event."""
    try:
        return admit(event, log, NOW, assumed(household([*log, event])))
    except EventError as error:
        return str(error)


def by_record(store: Store, event: Event) -> tuple[str, ...] | str:
    try:
        return record(store, [event], NOW).warnings
    except EventError as error:
        return str(error)


@pytest.mark.parametrize("event", LATE, ids=lambda one: f"{one.kind} {one.at:%d %b}")
def test_one_event_is_held_against_all(store: Store, event: Event) -> None:
    log = six_weeks()
    store.append(log)
    standing(store, day(48))  # leaves milestones behind
    assert by_record(store, event) == by_hand(log, event)


def test_some_of_those_are_refused_and_some_are_odd() -> None:
    said = [by_hand(six_weeks(), event) for event in LATE]
    assert sum(isinstance(one, str) for one in said) == 4
    assert sum(isinstance(one, tuple) and bool(one) for one in said) >= 3


def test_what_was_taken_back_is_not_held_against_it(store: Store) -> None:
    log = six_weeks()
    kicked = Kicked(at=day(45), keg="K1")
    store.append([*log, kicked])
    standing(store, day(48))
    undone = Undone(at=day(48), event=kicked.id, of=kicked.stream)
    assert record(store, [undone], NOW).warnings == ()
    weighed = KegWeighed(at=day(46), keg="K1", gross_kg=5.0)
    assert by_record(store, weighed) == by_hand([*log, kicked, undone], weighed)
    with pytest.raises(EventError, match="taken back already"):
        record(store, [undone.model_copy(update={"id": "0" * 32})], NOW)


def test_only_the_end_of_the_log_is_replayed(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.append(six_weeks())
    standing(store, day(48))
    given: list[int] = []

    def noted(events: Sequence[Event], *others: Any, **more: Any) -> Any:
        given.append(len(events))
        return replay(events, *others, **more)

    monkeypatch.setattr(admitting, "replay", noted)
    record(store, [Poured(at=day(49), keg="K1", volume_m3=2e-4)], NOW)
    assert given == [0]
    record(store, [Poured(at=day(41), keg="K1", volume_m3=2e-4)], NOW)  # dated back by a week
    assert given[1] <= 25


def test_a_planned_step_is_held_against_those_before_it(store: Store) -> None:
    store.append([*six_weeks(), KegCleaned(at=day(52), keg="K1", planned=True)])
    standing(store, day(48))
    record(store, [Poured(at=day(51), keg="K1", volume_m3=2e-4, planned=True)], NOW)
    with pytest.raises(EventError, match="holds no beer"):
        record(store, [Poured(at=day(53), keg="K1", volume_m3=2e-4, planned=True)], NOW)


def test_events_of_one_recording_follow_each_other(store: Store) -> None:
    store.append(six_weeks())
    standing(store, day(48))
    told: list[Event] = [
        KegCleaned(at=day(49), keg="K1"),
        Filled(at=day(49.1), keg="K1", batch="pale", volume_m3=FILL_M3, temperature_k=ROOM_K),
        Poured(at=day(49.2), keg="K1", volume_m3=1e-3),
    ]
    assert [*record(store, told, NOW).events] == told
    again = record(store, told, NOW)
    assert (again.events, len(again.known)) == ((), 3)


def test_what_another_wrote_meanwhile_is_looked_at_first(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.append(six_weeks())
    append = store.append
    between: list[Event] = [KegCleaned(at=day(47), keg="K1")]

    def late(events: Sequence[Event], expected: Any = None) -> Added:
        if between:
            append([between.pop()])
        return append(events, expected)

    monkeypatch.setattr(store, "append", late)
    with pytest.raises(EventError, match="holds no beer"):  # it was cleaned in between
        record(store, [Poured(at=day(48), keg="K1", volume_m3=2e-4)], NOW)


def test_whoever_is_always_late_is_told(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.append(cellar_log())

    def late(events: Sequence[Event], expected: Any = None) -> Added:
        raise Conflict("someone else was quicker")

    monkeypatch.setattr(store, "append", late)
    with pytest.raises(Conflict, match="quicker"):
        record(store, [KegCleaned(at=day(0), keg="K1")], NOW)


def test_a_short_log_has_no_milestone_and_needs_none(store: Store) -> None:
    store.append(filled_log())
    assert len(filled_log()) < asked.LONG
    assert record(store, [Poured(at=day(1), keg="K1", volume_m3=2e-4)], NOW).warnings == ()
