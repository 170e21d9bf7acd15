"""With milestones or without, the cellar stands the same: to the last bit, whatever was written."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing
from datetime import datetime
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text

from tests.cellar.logs import COLD_K, FILL_M3, PSI, ROOM_K, cellar_log, day, filled_log
from ullage.cellar import standing as asked
from ullage.cellar import state_text
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, GasOff, GasOn, KegWeighed, Moved, Poured, Vented
from ullage.cellar.milestones import INDEX
from ullage.cellar.other_events import CylinderWeighed, HouseholdSet, Undone
from ullage.cellar.replay import replay
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.standing import Standing, standing, standing_of
from ullage.cellar.state_text import fingerprint, to_text
from ullage.cellar.store import Store

CELLARS = count(1)


def same(one: Standing, other: Standing) -> bool:
    """Whether two are equal to the last bit, also in the order of their kegs."""
    beside = [(each.at, each.home, each.steps) for each in (one, other)]
    texts = [to_text(each.now, each.spread) for each in (one, other)]
    return beside[0] == beside[1] and texts[0] == texts[1]


def check(store: Store, at: datetime) -> None:
    log = [one.event for one in store.read()]
    assert same(standing(store, at), standing_of(log, at))


class Seen:
    """Stands in for `replay` and notes how many events each nominal replay was given."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.events = 0
        self._replay = replay
        monkeypatch.setattr(asked, "replay", self)

    def __call__(self, events, assumed, begun):  # type: ignore[no-untyped-def]
        self.events += len(events)
        return self._replay(events, assumed, begun)

    def replayed(self, store: Store, at: datetime) -> int:
        """How many events a question needs, the nominal and the sampled replay taken as one."""
        self.events = 0
        standing(store, at)
        return self.events // 2


def pours(first: float, each: float, many: int) -> list[Event]:
    """Small glasses at equal distances, in days."""
    return [Poured(at=day(first + each * n), keg="K1", volume_m3=1e-4) for n in range(many)]


def full_log() -> list[Event]:
    """Six weeks: a keg on gas with two glasses a day."""
    return [
        *filled_log(),
        GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main"),
        *pours(1.0, 0.5, 84),
    ]


def keg_events(keg: str, at: datetime) -> list[Event]:
    """What may happen to a keg at a moment."""
    return [
        Filled(at=at, keg=keg, batch="pale", volume_m3=FILL_M3, temperature_k=ROOM_K),
        GasOn(at=at, keg=keg, gauge_pressure_pa=14 * PSI),
        GasOff(at=at, keg=keg),
        Poured(at=at, keg=keg, volume_m3=4e-4),
        Vented(at=at, keg=keg),
        KegWeighed(at=at, keg=keg, gross_kg=15.0),
        Moved(at=at, keg=keg, place="room"),
        Moved(at=at, keg=keg, place="fridge"),
        CylinderWeighed(at=at, cylinder="main", contents_kg=3.0),
        GasOn(at=at, keg=keg, gauge_pressure_pa=30 * PSI, planned=True),
    ]


MOVES = st.lists(
    st.tuples(
        st.integers(0, 13),  # what: an event of a keg, a taking back, a step done, a household
        st.sampled_from([0.0, 0.0, 0.0, 0.0, 1.0, 4.0, 20.0]),  # days it is dated back
        st.sampled_from([0.0, 0.5, 3.0, 9.0]),  # days that go by afterwards
        st.integers(0, 30),  # which earlier event, counted back
        st.sampled_from([0.0, 0.0, 0.0, 6.0, 40.0]),  # days before now that are asked for
    ),
    min_size=1,
    max_size=25,
)


def made(what: int, at: datetime, which: int, log: Sequence[Event]) -> Event:
    earlier = log[-1 - which % len(log)]
    if what == 10 or (what == 11 and not earlier.planned):
        return Undone(at=at, event=earlier.id, of=earlier.stream)
    if what == 11:
        return GasOn(at=at, keg="K1", gauge_pressure_pa=20 * PSI, does=earlier.id)
    if what == 12:
        return HouseholdSet(at=at, altitude_m=500.0 * (which % 3))
    if what == 13:  # taken back before it is written down, as a merged log may have it
        return Undone(at=at, event=f"{which:032x}", of="keg:K1")
    return keg_events("K1", at)[what]


@given(moves=MOVES)
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_milestones_change_no_answer(
    store: Store, moves: list[tuple[int, float, float, int, float]]
) -> None:
    url = store.url.render_as_string(hide_password=False)
    log = filled_log()
    now = 1.0
    with (
        pytest.MonkeyPatch.context() as patch,
        Store.open(url, cellar=f"c{next(CELLARS)}") as fresh,
    ):
        patch.setattr(asked, "LONG", 1)
        patch.setattr(asked, "SAMPLES", 3)
        fresh.append(log)
        for what, back, on, which, before in moves:
            event = made(what, day(now - back), which, log)
            fresh.append([event])
            log.append(event)
            check(fresh, day(now - before))
            now += on
        check(fresh, day(now))


def test_a_second_question_replays_nothing_and_says_the_same(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = full_log()
    store.append(log)
    seen = Seen(monkeypatch)
    assert seen.replayed(store, day(45)) == len(log)
    assert seen.replayed(store, day(45)) == 0
    store.append(pours(44.0, 0.1, 3))
    assert seen.replayed(store, day(45)) == 3
    check(store, day(45))
    check(store, day(20))  # the past is still seen as it was


@pytest.mark.parametrize(("days", "most"), [(3.0, 20), (20.0, 65)])
def test_an_entry_dated_back_goes_to_an_older_milestone(
    store: Store, monkeypatch: pytest.MonkeyPatch, days: float, most: int
) -> None:
    """The last glass was at day 42.5; two a day: by hand, 15 and one in a week, 61 in a month."""
    store.append(full_log())
    standing(store, day(43))
    late = Poured(at=day(43 - days), keg="K1", volume_m3=4e-4)
    store.append([late])
    seen = Seen(monkeypatch)
    assert 2 < seen.replayed(store, day(43)) <= most
    check(store, day(43))
    store.append([Undone(at=day(43), event=late.id, of=late.stream)])
    check(store, day(43))


def test_taking_back_what_all_milestones_count_replays_all(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = full_log()
    store.append(log)
    standing(store, day(43))
    first = next(event for event in log if isinstance(event, Poured))
    store.append([Undone(at=day(43), event=first.id, of=first.stream)])
    seen = Seen(monkeypatch)
    assert seen.replayed(store, day(43)) == len(log) - 1
    check(store, day(43))
    assert seen.replayed(store, day(43)) == 0


def test_what_is_taken_back_counts_in_no_look_at_the_past(store: Store) -> None:
    """A glass too many, found out weeks later: the keg never lost it."""
    log = full_log()
    store.append(log)
    wrong = Poured(at=day(20), keg="K1", volume_m3=2e-3)
    before = float(standing(store, day(21)).now.kegs["K1"].beer_m3)
    store.append([wrong])
    with_it = float(standing(store, day(21)).now.kegs["K1"].beer_m3)
    assert with_it == pytest.approx(before - 2e-3, abs=1e-12)  # analytic
    store.append([Undone(at=day(43), event=wrong.id, of=wrong.stream)])
    assert float(standing(store, day(21)).now.kegs["K1"].beer_m3) == before
    check(store, day(21))


def test_another_altitude_replays_all(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    log = full_log()
    store.append(log)
    standing(store, day(43))
    store.append([HouseholdSet(at=day(43), altitude_m=1600.0)])
    seen = Seen(monkeypatch)
    assert seen.replayed(store, day(44)) == len(log) + 1
    check(store, day(44))


def test_a_step_waits_again_when_its_doing_is_taken_back(store: Store) -> None:
    plan = GasOn(at=day(44), keg="K1", gauge_pressure_pa=2e5, planned=True)
    done = GasOn(at=day(44), keg="K1", gauge_pressure_pa=2e5, does=plan.id)
    store.append([*full_log(), plan, done])
    assert standing(store, day(45)).steps == ()
    store.append([Undone(at=day(45), event=done.id, of=done.stream)])
    assert standing(store, day(45)).steps == (plan,)
    check(store, day(45))


@pytest.mark.parametrize("wrong", ["body = 'no state'", "form = 'another'"])
def test_a_milestone_that_cannot_be_read_is_done_without(
    store: Store, monkeypatch: pytest.MonkeyPatch, wrong: str
) -> None:
    log = full_log()
    store.append(log)
    standing(store, day(43))
    seen = Seen(monkeypatch)
    for which in ("stream = 'milestones'", "stream <> 'milestones'"):
        with store.writing() as connection:
            connection.execute(text(f"UPDATE snapshot SET {wrong} WHERE {which}"))
        assert seen.replayed(store, day(43)) == len(log)
        assert seen.replayed(store, day(43)) == 0
        check(store, day(43))


def test_another_program_does_without(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    log = full_log()
    store.append(log)
    standing(store, day(43))
    monkeypatch.setattr(state_text, "fingerprint", lambda: "a newer program")
    assert Seen(monkeypatch).replayed(store, day(43)) == len(log)


def test_a_reader_never_waits_for_a_writer(store: Store) -> None:
    """The store's patience is ten seconds: a reader that waited would take that long."""
    store.append(full_log())
    with Store.open(store.url.render_as_string(hide_password=False)) as other, other.writing():
        begin = time.monotonic()
        check(store, day(43))
        assert time.monotonic() - begin < 8.0
    assert store.load_snapshot(INDEX, f"{asked.SAMPLES}:{fingerprint()}") is None
    check(store, day(43))
    assert store.load_snapshot(INDEX, f"{asked.SAMPLES}:{fingerprint()}") is not None


def test_a_writer_is_as_patient_as_before_after_an_offer(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "cellar.db"), patience_s=4.0) as store:
        store.append(full_log())
        standing(store, day(43))
        with store.reading() as connection:
            found = connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    assert found == 4000


def test_a_store_that_may_only_be_read_stands_as_well(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    with Store.open(str(file)) as store:
        store.append(full_log())
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE").fetchone()
    with Store.open(f"sqlite:///file:{file}?mode=ro&uri=true") as store:
        check(store, day(43))
        assert not store.offer_snapshots(Snapshot("keg:K1", 1, "form", "{}"))


def test_an_empty_cellar_stands_empty(store: Store) -> None:
    check(store, day(0))
    assert standing(store, day(0)).now.kegs == {}
    store.append(cellar_log())
    assert standing(store, day(0)).now.kegs["K1"].temperature_k == pytest.approx(COLD_K)
