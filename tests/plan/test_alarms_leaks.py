"""Leaks by the readings of a cylinder: worked out once for each, quiet below, kept while unsure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, Poured
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    HouseholdSet,
    PlaceSet,
    Undone,
)
from ullage.cellar.readings_mark import readings_mark
from ullage.cellar.store import Store
from ullage.plan.alarms_leaks import leaks
from ullage.plan.alarms_scene import Leak

BEGAN = datetime(2026, 3, 1, 12, tzinfo=UTC)
NOW = BEGAN + timedelta(days=60)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(str(tmp_path / "log.db")) as store:
        store.append(
            [
                HouseholdSet(at=BEGAN, units="metric"),
                PlaceSet(at=BEGAN, place="fridge", temperature_k=277.0),
                CylinderConnected(at=BEGAN, cylinder="main", size="10 lb", contents_kg=4.5),
                KegAcquired(at=BEGAN, keg="K1", keg_kind="ball-lock-5gal", place="fridge"),
                BatchDescribed(at=BEGAN, batch="Pale", target_vol=2.4),
                Filled(at=BEGAN, keg="K1", batch="Pale", volume_m3=0.018, temperature_k=277.0),
            ]
        )
        yield store


class Asked:
    """The log of a store, and how often somebody read it."""

    def __init__(self, store: Store) -> None:
        self.store, self.times = store, 0

    def __call__(self) -> Sequence[Event]:
        self.times += 1
        return [one.event for one in self.store.read()]


def weighed(days: float, kg: float) -> CylinderWeighed:
    return CylinderWeighed(at=BEGAN + timedelta(days=days), cylinder="main", contents_kg=kg)


def found(store: Store, at: datetime = NOW) -> tuple[Leak, ...]:
    return leaks(store, Asked(store), at, "metric")


@pytest.mark.parametrize(("kg", "holds"), [(4.45, False), (4.2, True)])
def test_a_leak_is_told_where_it_is_probable(store: Store, kg: float, holds: bool) -> None:
    store.append([weighed(30, kg)])
    # analytic: no keg is on gas; 0.05 kg is the error of one weighing, 0.3 kg four of two
    here = found(store)
    assert [one.cylinder for one in here] == (["main"] if holds else [])
    assert all(one.since == BEGAN + timedelta(days=30) for one in here)
    assert all("that no beer took" in one.sentence for one in here)


def test_it_keeps_its_beginning_while_readings_go_on(store: Store) -> None:
    for days in (30, 40, 50):
        store.append([weighed(days, 4.5 - 0.01 * days)])
        assert [one.since for one in found(store)] == [BEGAN + timedelta(days=30)]


@pytest.mark.parametrize(
    ("readings", "since"),
    [
        # pin: probabilities of 56 %; 95 and 75 %; 95 and 46 %; 95, 75 and 65 %
        ([(30, 4.32)], None),
        ([(30, 4.25), (31, 4.36)], 30),
        ([(30, 4.25), (40, 4.36)], None),
        ([(29, 4.32), (30, 4.25), (31, 4.36)], 30),
    ],
)
def test_between_sure_and_unsure_it_holds_only_where_it_was_sure(
    store: Store, readings: list[tuple[float, float]], since: float | None
) -> None:
    store.append([weighed(days, kg) for days, kg in readings])
    wanted = [] if since is None else [BEGAN + timedelta(days=since)]
    assert [one.since for one in found(store)] == wanted


def test_it_is_told_as_surely_as_the_household_wants(store: Store) -> None:
    store.append([weighed(30, 4.25)])
    # pin: a probability of 95 %, as in the rows above
    assert len(leaks(store, Asked(store), NOW, "metric", 0.9)) == 1
    assert leaks(store, Asked(store), NOW, "metric", 0.99) == ()
    assert len(found(store)) == 1  # what was kept for one is not taken for another


def test_after_a_sound_reading_it_is_over(store: Store) -> None:
    store.append([weighed(30, 4.2)])
    assert len(found(store)) == 1
    store.append([weighed(31, 4.5)])
    assert found(store) == ()


def test_the_log_is_read_once_for_each_reading(store: Store) -> None:
    store.append([weighed(30, 4.2)])
    asked = Asked(store)
    first = leaks(store, asked, NOW, "metric")
    poured = Poured(at=NOW, keg="K1", volume_m3=0.0005)
    store.append([poured])  # nothing that a reading is held against
    assert leaks(store, asked, NOW, "metric") == first
    assert asked.times == 1
    before = Poured(at=BEGAN + timedelta(days=3), keg="K1", volume_m3=0.0005)
    store.append([before])  # written late
    leaks(store, asked, NOW, "metric")
    assert asked.times == 2
    store.append([Undone(at=NOW, event=before.id, of="keg:K1")])
    leaks(store, asked, NOW, "metric")
    assert asked.times == 3
    assert leaks(store, asked, NOW, "us")[0].sentence != first[0].sentence


def test_readings_of_last_year_tell_nothing_of_now(store: Store) -> None:
    store.append([weighed(30, 4.2)])
    assert found(store, BEGAN + timedelta(days=149))
    assert found(store, BEGAN + timedelta(days=151)) == ()


def test_nothing_read_costs_nothing(store: Store) -> None:
    assert found(store) == ()
    assert readings_mark(store) > 0
