"""Which keg, cylinder, place, tap or event is meant where none is named."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from tests.events_of_each_kind import AT
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, KegCleaned, Kicked, Moved, Tapped
from ullage.cellar.other_events import CylinderConnected, PlaceSet, Undone
from ullage.errors import EventError
from ullage.plan import meant


def later(hours: float) -> datetime:
    return AT + timedelta(hours=hours)


def acquired(name: str, hours: float = 0.0) -> KegAcquired:
    return KegAcquired(at=later(hours), keg=name, keg_kind="ball-lock-5gal", place="fridge")


def filled(name: str, hours: float) -> Filled:
    return Filled(
        at=later(hours), keg=name, batch="Pale", volume_m3=0.0189, temperature_k=277.0
    )  # fmt: skip


def test_the_only_keg_whatever_is_in_it() -> None:
    assert meant.keg([acquired("K1")], later(1), holds_beer=True) == "K1"
    with pytest.raises(EventError, match="there is no keg in the log at that time"):
        meant.keg([acquired("K1")], later(-1))


def test_the_only_one_with_beer_or_without() -> None:
    log: list[Event] = [acquired("K1"), acquired("K2"), filled("K1", 1)]
    assert meant.keg(log, later(2), holds_beer=True) == "K1"
    assert meant.keg(log, later(2), holds_beer=False) == "K2"
    with pytest.raises(EventError, match=r"which keg\? Give --keg; there are: K1 \(Pale\), K2"):
        meant.keg(log, later(2))
    with pytest.raises(EventError, match="which keg"):
        meant.keg(log, later(0.5), holds_beer=True)


@pytest.mark.parametrize("ended", [KegCleaned, Kicked])
def test_a_keg_is_empty_once_cleaned_or_kicked(ended: type[KegCleaned] | type[Kicked]) -> None:
    log: list[Event] = [acquired("K1"), filled("K1", 1), ended(at=later(2), keg="K1")]
    assert meant.kegs(log, later(1.5)) == {"K1": "Pale"}
    assert meant.kegs(log, later(3)) == {"K1": None}


def test_what_is_planned_or_taken_back_does_not_count() -> None:
    keg, wrong = acquired("K1"), acquired("K2")
    log: list[Event] = [keg, wrong, Undone(at=later(1), event=wrong.id, of=wrong.stream)]
    plan = filled("K1", 2).model_copy(update={"planned": True})
    assert meant.kegs([*log, plan], later(3)) == {"K1": None}


def test_cylinder_place_and_tap() -> None:
    log: list[Event] = [
        PlaceSet(at=AT, place="fridge", temperature_k=276.0),
        PlaceSet(at=later(1), place="fridge", temperature_k=278.0),
        CylinderConnected(at=AT, cylinder="main", size="10 lb"),
        Tapped(at=AT, keg="K1", tap="left"),
        Tapped(at=later(1), keg="K2", tap="left"),
    ]
    assert meant.cylinder(log, later(2)) == "main"
    assert meant.place(log, later(2)) == "fridge"
    assert meant.places(log, later(0.5)) == {"fridge": 276.0}
    assert meant.tap(log, later(2)) == "left"
    more = [*log, CylinderConnected(at=AT, cylinder="spare", size="5 lb")]
    with pytest.raises(EventError, match=r"main \(10 lb\), spare \(5 lb\)"):
        meant.cylinder(more, later(2))


def test_what_a_filling_needs_to_know() -> None:
    log: list[Event] = [
        PlaceSet(at=AT, place="fridge", temperature_k=276.0),
        PlaceSet(at=AT, place="room", temperature_k=293.0),
        acquired("K1"),
        Moved(at=later(1), keg="K1", place="room"),
        Moved(at=later(2), keg="K1", place="attic"),
    ]
    assert meant.keg_facts(log, later(0.5), "K1").place_k == 276.0
    assert meant.keg_facts(log, later(1.5), "K1").place_k == 293.0
    with pytest.raises(EventError, match="give --temperature"):
        meant.keg_facts(log, later(3), "K1")
    with pytest.raises(EventError, match="keg K1 came into the cellar on"):
        meant.keg_facts(log, later(-3), "K1")
    with pytest.raises(EventError, match=r"no keg is called K2 \(there are: K1\)"):
        meant.keg_facts(log, later(3), "K2")


def test_the_event_that_is_taken_back() -> None:
    first, second = acquired("K1"), filled("K1", 1)
    log: list[Event] = [first, second]
    assert meant.event(log, None) == second
    assert meant.event(log, first.id[:8].upper()) == first
    gone = [*log, Undone(at=later(2), event=second.id, of=second.stream)]
    assert meant.event(gone, None) == first
    for short in ("", "zz"):
        with pytest.raises(EventError, match="no event begins"):
            meant.event(log, short)
    twin = first.model_copy(update={"id": first.id[:8] + "0" * 24})
    with pytest.raises(EventError, match="several events begin"):
        meant.event([*log, twin], first.id[:8])
    with pytest.raises(EventError, match="nothing that could be taken back"):
        meant.event([], None)
