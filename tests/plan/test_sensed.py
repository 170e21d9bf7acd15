"""Readings taken in: kept, refused with a reason, and turned into facts once and never twice."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ullage.cellar import samples
from ullage.cellar.events import Event
from ullage.cellar.keg_events import KegWeighed, Measured, Poured, Tapped
from ullage.cellar.other_events import CylinderSwapped, CylinderWeighed, PlaceSet, Undone
from ullage.cellar.recording import record
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.begin import SYSTEM_DOCUMENT, begin
from ullage.plan.sensed import Reading, TakenIn, end_pours, take_in
from ullage.plan.sensed_table import read_table, write_table
from ullage.plan.sensors_now import newest, sensors_now
from ullage.system.demo import demo_text
from ullage.system.file import parse_system

T0 = datetime(2026, 3, 1, 8, tzinfo=UTC)
NOW = T0 + timedelta(days=2)
THIRD = T0 + timedelta(days=3)
FILE = (
    demo_text(date(2026, 3, 1))
    + """
[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
writes = true

[[sensor]]
name = "bottle scale"
of = "cylinder:main"
measures = "weight"
unit = "lb"
writes = true

[[sensor]]
name = "probe"
of = "place:freezer"
measures = "temperature"
unit = "degC"
writes = true

[[sensor]]
name = "gauge"
of = "keg:K3"
measures = "pressure"
unit = "psi"
writes = true

[[sensor]]
name = "meter"
of = "tap:middle"
measures = "flow"
unit = "mL"
scale = 2.25
writes = true

[[sensor]]
name = "garage"
of = "place:garage"
measures = "temperature"
unit = "degC"
"""
)


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a store that begins with the demo, to be copied for each test."""
    file = tmp_path_factory.mktemp("sensed") / "begun.db"
    with Store.open(str(file)) as store:
        begin(store, parse_system(FILE), FILE, T0, NOW)
    return file


@pytest.fixture
def store(begun: Path, tmp_path: Path) -> Iterator[Store]:
    copy = tmp_path / "log.db"
    copy.write_bytes(begun.read_bytes())
    with Store.open(str(copy)) as opened:
        yield opened


def readings(source: str, values: Sequence[float], every_s: float = 10.0) -> list[Reading]:
    start = T0 + timedelta(hours=1)
    return [
        Reading(source, start + timedelta(seconds=every_s * index), value, index)
        for index, value in enumerate(values)
    ]


def poured(litres: float = 0.45) -> list[Reading]:
    """A keg at rest, a glass, at rest again."""
    return readings("K1 scale", [21.0] * 30 + [21.0 - litres * 1.0121] * 30)


def facts(store: Store, kind: type[Event]) -> list[Event]:
    return [one.event for one in store.read() if type(one.event) is kind and one.event.source]


def test_a_glass_by_weight(store: Store) -> None:
    done = take_in(store, poured(), NOW)
    (fact,) = done.followed.facts
    assert isinstance(fact, Poured)
    assert (fact.keg, fact.source) == ("K1", "K1 scale")
    # independent: a standard beer weighs 1.0121 kg/L at 4 °C by `physics.beer`, in a band of 0.5 %
    assert fact.volume_m3 == pytest.approx(0.45e-3, rel=0.005)


def test_again_writes_nothing_twice(store: Store) -> None:
    first = take_in(store, poured(), NOW)
    assert take_in(store, poured(), NOW) == TakenIn(known=first.new)
    assert len(facts(store, Poured)) == 1


def test_in_any_portions_it_is_the_same(store: Store) -> None:
    told = poured()
    for begin_at in range(0, len(told), 7):
        take_in(store, told[begin_at : begin_at + 7], NOW)
    assert len(facts(store, Poured)) == 1


def test_who_was_stopped_finds_the_same_facts_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The facts are written, the note of how far it went is not: as if killed in between."""
    with monkeypatch.context() as patch:
        patch.setattr("ullage.plan.sensed_follow._write_down", _killed)
        with pytest.raises(KeyboardInterrupt):
            take_in(store, poured(), NOW)
    assert len(facts(store, Poured)) == 1
    later = [Reading("K1 scale", NOW - timedelta(hours=1), 20.5)]
    take_in(store, [*poured(), *later], NOW)
    assert len(facts(store, Poured)) == 1


def _killed(*_: object) -> None:
    raise KeyboardInterrupt


def test_a_fact_that_was_taken_back_stays_so(store: Store) -> None:
    (fact,) = take_in(store, poured(), NOW).followed.facts
    record(store, [Undone(at=NOW, event=fact.id, of=fact.stream)], NOW)
    with store.writing() as connection:  # as if all were followed anew
        connection.exec_driver_sql("DELETE FROM sample_mark")
        connection.exec_driver_sql("DELETE FROM sample")
    again = take_in(store, poured(), NOW)
    assert again.new == 60
    assert again.followed.facts == ()
    assert sensors_now(store, (one.event for one in store.read()))[0].facts == ()


def test_a_weight_at_rest_is_written_once_a_day(store: Store) -> None:
    take_in(store, readings("K1 scale", [21.0] * 300), NOW)
    (fact,) = facts(store, KegWeighed)
    assert isinstance(fact, KegWeighed)
    assert fact.gross_kg == pytest.approx(21.0)


def test_a_cylinder_is_weighed_less_its_tare(store: Store) -> None:
    tare = parse_system(FILE).cylinder("main").tare
    assert tare is not None
    take_in(store, readings("bottle scale", [tare + 2.5] * 300), NOW)
    (fact,) = facts(store, CylinderWeighed)
    assert isinstance(fact, CylinderWeighed)
    assert fact.contents_kg == pytest.approx(2.5)  # analytic


def swapped(store: Store, hours: float, tare_kg: float | None) -> Event:
    event = CylinderSwapped(at=T0 + timedelta(hours=hours), cylinder="main", tare_kg=tare_kg)
    record(store, [event], NOW)
    return event


def test_a_cylinder_that_was_swapped_is_weighed_less_the_tare_that_came_with_it(
    store: Store,
) -> None:
    told = parse_system(FILE).cylinder("main").tare
    assert told is not None
    swapped(store, 12, told - 2.0)
    before = readings("bottle scale", [told + 2.5] * 300)
    after = [replace(one, at=one.at + timedelta(days=1)) for one in before]
    # what was weighed before the swap counts with the tare of then, though it comes with the rest
    take_in(store, [*before, *after], NOW)
    held = [one.contents_kg for one in facts(store, CylinderWeighed)]  # type: ignore[union-attr]
    assert held == pytest.approx([2.5, 4.5])  # analytic


def test_of_a_swapped_cylinder_whose_tare_nobody_told_no_weight_is_written(store: Store) -> None:
    swap = swapped(store, 0.5, None)
    day = readings("bottle scale", [9.0] * 300)
    done = take_in(store, day, NOW)
    assert facts(store, CylinderWeighed) == []
    (doubt,) = done.followed.doubts
    assert "what cylinder main weighs empty is not known since it was swapped" in doubt.why
    # told once by hand, it counts from then on
    by_hand = CylinderWeighed(
        at=T0 + timedelta(hours=20), cylinder="main", contents_kg=2.0, tare_kg=6.5
    )
    record(store, [by_hand], NOW)
    next_day = [replace(one, at=one.at + timedelta(days=1)) for one in day]
    take_in(store, next_day, NOW)
    found = [one for one in facts(store, CylinderWeighed) if one.source]
    assert [one.contents_kg for one in found] == pytest.approx([2.5])  # type: ignore[union-attr]
    # and a swap that is taken back was none: its own tare goes again
    record(store, [Undone(at=NOW, event=one.id, of=one.stream) for one in (swap, by_hand)], NOW)
    tare = parse_system(FILE).cylinder("main").tare
    assert tare is not None
    third = readings("bottle scale", [tare + 1.0] * 300)
    take_in(store, [replace(one, at=one.at + timedelta(days=2)) for one in third], THIRD)
    assert facts(store, CylinderWeighed)[-1].contents_kg == pytest.approx(1.0)  # type: ignore[union-attr]


def test_a_fridge_grown_warmer_and_a_pressure(store: Store) -> None:
    was = next(
        one.event.temperature_k
        for one in store.read("place:freezer")
        if isinstance(one.event, PlaceSet)
    )
    warmer = readings("probe", [was] * 60 + [was + 3.0] * 60, every_s=300.0)
    pressed = readings("gauge", [82_000.0] * 60, every_s=300.0)
    take_in(store, [*warmer, *pressed], NOW)
    (placed,) = facts(store, PlaceSet)
    (measured,) = facts(store, Measured)
    assert isinstance(placed, PlaceSet)
    assert isinstance(measured, Measured)
    assert placed.temperature_k == pytest.approx(was + 3.0)
    assert measured.gauge_pressure_pa == pytest.approx(82_000.0)
    assert measured.temperature_k is None


def test_flow_is_poured_from_the_keg_that_is_on_the_tap(store: Store) -> None:
    record(store, [Tapped(at=T0 + timedelta(hours=2), keg="K3", tap="middle")], NOW)
    before = [
        Reading("meter", T0 + timedelta(hours=1, seconds=s), 1e-3 + v * 1e-3)
        for s, v in ((0, 0.0), (5, 0.2), (10, 0.4))
    ]
    after = [
        Reading("meter", T0 + timedelta(hours=3, seconds=s), 1e-3 + v * 1e-3)
        for s, v in ((0, 0.5), (5, 0.7))
    ]
    take_in(store, [*before, *after], T0 + timedelta(hours=3, seconds=10))
    assert [(one.subject, one.source) for one in facts(store, Poured)] == [("K2", "meter")]
    done = end_pours(store, T0 + timedelta(hours=3, minutes=5))
    assert [one.subject for one in done.facts] == ["K3"]
    assert end_pours(store, T0 + timedelta(hours=4)).facts == ()


def test_who_may_not_write_is_kept_all_the_same(store: Store) -> None:
    done = take_in(store, readings("garage", [280.0] * 60 + [290.0] * 60, every_s=600.0), NOW)
    assert (done.new, done.followed.facts) == (120, ())


def test_what_the_log_will_not_take_is_told(store: Store) -> None:
    # 21 kg less 0.45 is a pour, but before the log has this keg
    early = [Reading(one.source, one.at - timedelta(days=30), one.value) for one in poured()]
    done = take_in(store, early, NOW)
    assert done.new == 60
    (doubt,) = done.followed.doubts
    assert "K1" in doubt.why
    assert facts(store, Poured) == []


def test_what_comes_late_is_kept_and_told_no_more(store: Store) -> None:
    told = poured()
    take_in(store, [told[-1]], NOW)
    done = take_in(store, told, NOW)
    assert (done.new, done.known, done.followed.late) == (59, 1, 59)
    assert done.followed.facts == ()


def test_a_sensor_given_to_another_keg_begins_anew(store: Store) -> None:
    told = poured()
    take_in(store, told[:30], NOW)
    store.put_document(SYSTEM_DOCUMENT, FILE.replace('of = "keg:K1"', 'of = "keg:K3"'))
    assert take_in(store, told[30:], NOW).followed.facts == ()


def test_a_sensor_that_was_silenced_does_not_tell_of_that_time(store: Store) -> None:
    told = poured()
    take_in(store, told[:20], NOW)
    store.put_document(SYSTEM_DOCUMENT, FILE.replace("writes = true", "writes = false"))
    take_in(store, told[20:50], NOW)
    store.put_document(SYSTEM_DOCUMENT, FILE)
    assert take_in(store, told[50:], NOW).followed.facts == ()


@pytest.mark.parametrize(
    ("reading", "why"),
    [
        (Reading("prob", T0, 277.0), 'no sensor is called "prob"; did you mean "probe"?'),
        (Reading("probe", NOW + timedelta(hours=1), 277.0), "lies ahead: is the sensor's clock"),
        (Reading("probe", T0.replace(year=1999), 277.0), "is before the year 2000"),
        (Reading("probe", T0, 4.0), "is no temperature that is measured here"),
        (Reading("probe", T0, float("nan")), "is no temperature that is measured here"),
    ],
)
def test_what_is_refused_is_told_and_the_rest_is_kept(
    store: Store, reading: Reading, why: str
) -> None:
    done = take_in(store, [reading, Reading("garage", T0, 288.0)], NOW)
    assert done.new == 1
    (refused,) = done.refused
    assert why in refused.why


def test_another_value_for_the_same_moment_is_refused(store: Store) -> None:
    told = [Reading("garage", T0, 288.0, 1), Reading("garage", T0, 289.0, 2)]
    done = take_in(store, told, NOW)
    assert [(one.place, one.why) for one in done.refused] == [
        (2, "another value is kept for that moment already, and stands")
    ]


def test_without_sensors_nothing_is_taken(store: Store) -> None:
    store.put_document(SYSTEM_DOCUMENT, demo_text(date(2026, 3, 1)))
    (refused,) = take_in(store, [Reading("probe", T0, 277.0)], NOW).refused
    assert "no sensors yet" in refused.why


def test_old_samples_are_thinned_on_the_way(store: Store) -> None:
    later = NOW + timedelta(days=30)
    done = take_in(store, readings("garage", [280.0 + i % 7 for i in range(2_000)]), later)
    assert done.new == 2_000
    with store.reading() as connection:
        left = samples.count(connection, store.cellar)
    # six hours of ten seconds: four for each hour at most, and the hours at both ends
    assert 6 * 3 <= left <= 7 * 4


def test_the_newest_is_told_with_its_age(store: Store) -> None:
    take_in(store, poured(), NOW)
    found = sensors_now(store, [one.event for one in store.read()])
    told = newest(found[0], NOW)
    assert (told.source, told.of, told.unit, told.facts) == ("K1 scale", "keg:K1", "kg", 1)
    assert told.age_s == pytest.approx((NOW - poured()[-1].at).total_seconds())
    assert newest(found[1], NOW).value is None


def test_a_table_goes_to_another_store_and_back(store: Store, tmp_path: Path, begun: Path) -> None:
    take_in(store, [*poured(), *readings("probe", [277.0, 277.5])], NOW)
    out = io.StringIO(newline="")
    assert write_table(store, out) == 62
    copy = tmp_path / "other.db"
    copy.write_bytes(begun.read_bytes())
    with Store.open(str(copy)) as other:
        done = read_table(other, io.StringIO(out.getvalue(), newline=""), NOW)
        assert (done.new, done.known, done.followed.facts) == (62, 0, ())
        again = io.StringIO(newline="")
        write_table(other, again)
        assert again.getvalue() == out.getvalue()
        more = [
            Reading("K1 scale", NOW - timedelta(hours=1, seconds=-s), 20.0) for s in (0, 30, 60)
        ]
        assert take_in(other, more, NOW).followed.facts == ()  # its past is the other log's


def test_a_table_may_tell_facts_as_if_it_came_now(store: Store) -> None:
    rows = [f"{one.at.isoformat()},{one.source},,{one.value}," for one in poured()]
    table = "\n".join(["at,source,subject,value,unit", *rows])
    done = read_table(store, io.StringIO(table, newline=""), NOW, facts=True)
    assert len(done.followed.facts) == 1


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("x,probe,,4,degC", 'line 2: at "x": write a moment'),
        ("2026-03-01T08:00:00,probe,,4,degC", "line 2: at"),
        ("2026-03-01T08:00:00Z,prob,,4,degC", 'line 2: no sensor is called "prob"'),
        ("2026-03-01T08:00:00Z,probe,,4,kg", 'line 2: "4 kg" is a mass'),
        ("2026-03-01T08:00:00Z,probe,keg,4,degC", 'line 2: subject "keg": write place:NAME'),
        ("2026-03-01T08:00:00Z,probe,4", "line 2: 3 cells, not 5"),
    ],
)
def test_a_wrong_row_is_named_and_nothing_is_kept(store: Store, row: str, told: str) -> None:
    good = "2026-03-01T08:00:00Z,probe,,4,degC"
    table = f"at,source,subject,value,unit\n{row}\n{good}\n"
    with pytest.raises(EventError, match=told):
        read_table(store, io.StringIO(table, newline=""), NOW)
    with store.reading() as connection:
        assert samples.count(connection, store.cellar) == 0
