"""Samples of sensors: what a store promises of them, the same of SQLite and of PostgreSQL."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.cellar.conftest import NewUrl, OpenStore
from ullage.cellar import samples
from ullage.cellar.backup import backup
from ullage.cellar.restore import restore
from ullage.cellar.samples import Kept, Sample, Series
from ullage.cellar.samples_copy import sample_contents
from ullage.cellar.samples_marks import Mark, marks_of, remove_mark, set_back, set_mark
from ullage.cellar.store import Store
from ullage.cellar.transfer import export, import_

T0 = datetime(2026, 3, 1, tzinfo=UTC)
PROBE = Series("probe", "temperature")
SCALE = Series("Waage 1", "weight")


def at(seconds: float) -> datetime:
    return T0 + timedelta(seconds=seconds)


def cold(seconds: float, value: float = 277.0) -> Sample:
    return Sample("probe", "temperature", "place:fridge", at(seconds), value)


def heavy(seconds: float, value: float = 21.0) -> Sample:
    return Sample("Waage 1", "weight", "keg:K1", at(seconds), value)


def keep(store: Store, *told: Sample) -> Kept:
    with store.writing() as connection:
        return samples.keep(connection, store.cellar, told)


def every(store: Store, series: Series) -> Sequence[Sample]:
    with store.reading() as connection:
        return samples.after(connection, store.cellar, series, samples.LONG_AGO, 10**6)


def test_a_sample_reads_as_it_was_kept(store: Store) -> None:
    told = [cold(0.000001, 276.9999999999), cold(2), heavy(1, -0.25)]
    assert keep(store, *told) == Kept(tuple(told), 0, ())
    assert [*every(store, PROBE)] == told[:2]
    assert [*every(store, SCALE)] == told[2:]


def test_the_same_sample_twice_is_kept_once(store: Store) -> None:
    keep(store, cold(0), cold(1))
    elsewhere = Sample(
        "probe",
        "temperature",
        "place:fridge",
        at(1).astimezone(timezone(timedelta(hours=2))),
        277.0,
    )
    done = keep(store, elsewhere, cold(2), cold(2))
    assert (done.new, done.known, done.clashing) == ((cold(2),), 2, ())
    assert len(every(store, PROBE)) == 3


def test_of_two_values_for_a_moment_the_first_stands(store: Store) -> None:
    keep(store, cold(0, 277.0))
    done = keep(store, cold(0, 278.0), cold(1, 270.0), cold(1, 271.0))
    assert done == Kept((cold(1, 270.0),), 0, (cold(0, 278.0), cold(1, 271.0)))
    assert [one.value for one in every(store, PROBE)] == [277.0, 270.0]


def test_what_comes_late_is_put_in_its_place(store: Store) -> None:
    keep(store, cold(10))
    keep(store, cold(5), cold(15))
    assert [one.at for one in every(store, PROBE)] == [at(5), at(10), at(15)]


def test_the_newest_and_a_span(store: Store) -> None:
    with store.reading() as connection:
        assert samples.latest(connection, store.cellar, PROBE) is None
    keep(store, *(cold(index, 270.0 + index) for index in range(10)), heavy(99))
    with store.reading() as connection:
        assert samples.latest(connection, store.cellar, PROBE) == cold(9, 279.0)
        found = samples.between(connection, store.cellar, PROBE, at(2), at(4))
        assert [one.value for one in found] == [272.0, 273.0, 274.0]  # both ends included
        assert samples.series_of(connection, store.cellar) == (SCALE, PROBE)
        assert samples.count(connection, store.cellar) == 11


def test_portions_follow_each_other(store: Store) -> None:
    keep(store, *(cold(index) for index in range(10)))
    with store.reading() as connection:
        first = samples.after(connection, store.cellar, PROBE, samples.LONG_AGO, 4)
        edge = round(first[-1].at.timestamp() * 1e6)
        second = samples.after(connection, store.cellar, PROBE, edge, 4)
    assert [one.at for one in (*first, *second)] == [at(index) for index in range(8)]


def test_buckets_hold_the_extremes_of_each_stretch(store: Store) -> None:
    keep(store, cold(-1, 200.0), cold(0, 5.0), cold(299, 1.0), cold(300, 7.0), cold(1200, 9.0))
    with store.reading() as connection:
        found = samples.buckets(connection, store.cellar, PROBE, T0, timedelta(minutes=5))
    told = [(one.since, one.low, one.high, one.count) for one in found]
    assert told == [(at(0), 1.0, 5.0, 2), (at(300), 7.0, 7.0, 1), (at(1200), 9.0, 9.0, 1)]


def test_more_than_a_statement_takes(store: Store) -> None:
    many = [cold(index / 10) for index in range(9_001)]
    assert len(keep(store, *many).new) == 9_001
    assert keep(store, *many).known == 9_001


def test_cellars_of_one_database_never_meet(new_url: NewUrl) -> None:
    url = new_url()
    with Store.open(url) as ours, Store.open(url, cellar="club") as theirs:
        keep(ours, cold(0, 1.0))
        keep(theirs, cold(0, 2.0))
        assert [one.value for one in every(ours, PROBE)] == [1.0]
        assert [one.value for one in every(theirs, PROBE)] == [2.0]


def test_marks_are_kept_for_each_series_and_name(store: Store) -> None:
    with store.writing() as connection:
        set_mark(connection, store.cellar, PROBE, Mark("thin", 5, "a"))
        set_mark(connection, store.cellar, PROBE, Mark("facts", 7))
        set_mark(connection, store.cellar, SCALE, Mark("thin", 9))
        set_mark(connection, store.cellar, PROBE, Mark("thin", 6, "b"))
        set_back(connection, store.cellar, PROBE, 3, ("thin",))
        set_back(connection, store.cellar, PROBE, 4, ("thin",))  # never forward
        remove_mark(connection, store.cellar, SCALE, "thin")
    with store.reading() as connection:
        found = marks_of(connection, store.cellar, PROBE)
        assert found == {"thin": Mark("thin", 3, "b"), "facts": Mark("facts", 7)}
        assert marks_of(connection, store.cellar, SCALE) == {}


def test_a_backup_has_them_or_says_that_it_has_not(
    store: Store, open_store: OpenStore, tmp_path: Path
) -> None:
    keep(store, cold(0), heavy(1))
    done = backup(store, tmp_path / "copy")
    is_file = store.url.get_backend_name() == "sqlite"
    assert (done.samples, done.left_out) == ((2, 0) if is_file else (0, 2))
    restore(tmp_path / "copy", str(tmp_path / "again.db"))
    again = open_store(str(tmp_path / "again.db"))
    assert len(every(again, PROBE)) == (1 if is_file else 0)


def test_a_backup_of_a_file_is_restored_to_a_server_with_them(
    new_url: NewUrl, open_store: OpenStore, tmp_path: Path
) -> None:
    with Store.open(str(tmp_path / "from.db")) as source:
        source.put_document("system", 'name = "Bar"')
        keep(source, cold(0), heavy(1))
        backup(source, tmp_path / "copy")
    url = new_url()
    restore(tmp_path / "copy", url)
    assert [*every(open_store(url), PROBE)] == [cold(0)]


def test_an_export_is_the_log_alone(store: Store, new_url: NewUrl, open_store: OpenStore) -> None:
    keep(store, cold(0))
    file = io.BytesIO()
    export(store, file)
    file.seek(0)
    other = open_store(new_url())
    import_(other, file)
    assert not every(other, PROBE)


@pytest.mark.parametrize("cut", [0, 1, 100])
def test_a_copy_that_differs_in_one_sample_is_found_out(tmp_path: Path, cut: int) -> None:
    with Store.open(str(tmp_path / "a.db")) as one, Store.open(str(tmp_path / "b.db")) as two:
        keep(one, *(cold(index) for index in range(101)))
        keep(two, *(cold(index, 276.0 if index == cut else 277.0) for index in range(101)))
        with one.reading() as here, two.reading() as there:
            first, second = sample_contents(here), sample_contents(there)
    assert first.count == second.count == 101
    assert first.sha256 != second.sha256
