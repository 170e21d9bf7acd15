"""A store of every earlier form becomes one of today's, with all that it held."""

from __future__ import annotations

import logging
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from tests.cellar import old_stores
from tests.cellar.conftest import NewUrl
from tests.cellar.logs import NOON
from tests.cellar.old_stores import AT, CELLARS, EARLIER, held
from tests.console import process, ullage
from ullage.cellar import accounts, samples, tokens
from ullage.cellar.backup import backup
from ullage.cellar.events import from_json
from ullage.cellar.migrations import steps
from ullage.cellar.other_events import Noted
from ullage.cellar.restore import restore
from ullage.cellar.samples import Sample, Series
from ullage.cellar.standing import standing, standing_of
from ullage.cellar.state_text import to_text
from ullage.cellar.store import Store
from ullage.cellar.tables import METADATA, REVISION, REVISION_TABLE
from ullage.errors import StoreError


def test_the_forms_are_numbered_in_order_and_all_tried() -> None:
    assert steps.forms() == (*EARLIER, REVISION)
    assert list(steps.forms()) == sorted(steps.forms())
    assert [steps.is_newer(one) for one in (*steps.forms(), "0005")] == [False] * 4 + [True]


def test_the_page_on_upgrading_tells_each_form() -> None:
    page = Path(__file__).resolve().parents[2] / "docs" / "upgrading.md"
    listed = [
        line[3:7]
        for line in page.read_text(encoding="utf-8").splitlines()
        if line.startswith("| `0")
    ]
    assert listed == list(steps.forms())


@pytest.mark.parametrize("form", [*EARLIER, REVISION])
def test_every_row_is_kept_and_the_tables_are_todays(new_url: NewUrl, form: str) -> None:
    url = new_url()
    old_stores.make(url, form)
    before = held(url)
    # analytic: what stands in the file of rows, 69 of the first form, 84 of all
    expected = [one for one in old_stores.rows() if one.form <= form]
    assert sum(map(len, before.values())) == len(expected) + 1
    assert (len(expected), len(before)) == {
        "0001": (65, 3), "0002": (66, 4), "0003": (80, 7), REVISION: (84, 10),
    }[form]  # fmt: skip
    with Store.open(url) as store, store.reading() as connection:
        made = MigrationContext.configure(connection, opts={"version_table": REVISION_TABLE})
        assert compare_metadata(made, METADATA) == []
    after = held(url)
    assert after.pop("ullage_schema") == [(REVISION,)]
    assert before.pop("ullage_schema") == [(form,)]
    if form != REVISION:  # snapshots may be thrown away, and are: another program made them
        before.pop("snapshot", None)
        assert after.pop("snapshot") == []
    assert {table: after[table] for table in before} == before
    assert not any(after[table] for table in after.keys() - before.keys())


@pytest.mark.parametrize("form", EARLIER)
def test_the_log_means_what_it_meant(new_url: NewUrl, form: str) -> None:
    url = new_url()
    old_stores.make(url, form)
    for cellar in CELLARS:
        told = [from_json(body) for body in old_stores.bodies(cellar)]
        with Store.open(url, cellar=cellar) as store:
            assert [one.event for one in store.read()] == told
            found = standing(store, AT)
        fresh = standing_of(told, AT)
        assert to_text(found.now, found.spread) == to_text(fresh.now, fresh.spread)
        assert found.steps == fresh.steps


def test_the_answers_are_those_of_the_program_that_wrote_it(tmp_path: Path) -> None:
    file = str(tmp_path / "cellar.db")
    old_stores.make(file, "0002")
    with Store.open(file) as store:
        now, steps_to_come = (found := standing(store, AT)).now, found.steps
    # pin: what the program that wrote these rows said of them at this moment
    assert now.kegs["K1"].level_vol == pytest.approx(2.54149, abs=0.005)
    assert now.kegs["K1"].beer_m3 == pytest.approx(5.05158e-3, abs=1e-6)
    assert now.kegs["Käse"].level_vol == pytest.approx(2.22129, abs=0.005)
    assert now.cylinders["main"].drawn_kg == pytest.approx(0.082438, abs=5e-4)
    assert [one.kind for one in steps_to_come] == ["gas_off", "vented"]


@pytest.mark.parametrize("form", EARLIER)
def test_it_goes_on_being_written(new_url: NewUrl, form: str) -> None:
    url = new_url()
    old_stores.make(url, form)
    said = Noted(at=NOON, about="K1", text="after the upgrade")
    told = Sample("new probe", "temperature", "place:fridge", NOON, 277.0)
    with Store.open(url) as store:
        assert store.append([said]).written == (said.id,)
        assert store.put_document("system", "another") == 3
        assert tokens.known(store, tokens.make(store, "a new one")) is not None
        with store.writing() as connection:
            assert samples.keep(connection, store.cellar, [told]).new == (told,)
        assert [one.event for one in store.read("cellar:K1")][-1] == said


def test_who_was_let_in_still_is(new_url: NewUrl) -> None:
    url = new_url()
    old_stores.make(url, "0003")
    with Store.open(url) as store, store.reading() as connection:
        assert tokens.known(store, old_stores.SECRET) == tokens.every(store)[0]
        series = Series("scale Käse", "weight")
        newest = samples.latest(connection, store.cellar, series)
    # analytic: 25.5 kg + ⅓ g, 0.1 kg less each hour for five hours, to the last bit
    assert newest is not None
    assert newest.value == 25.5 - 0.1 * 5 + 1 / 3e3


def test_who_had_an_account_still_has(new_url: NewUrl) -> None:
    url = new_url()
    old_stores.make(url, "0004")
    with Store.open(url) as store:
        found = accounts.checked(store, "Käthe", old_stores.PASSWORD)
        assert found is not None
        assert found.role == "keeper"
        assert accounts.checked(store, "Käthe", "another password") is None


def copies(folder: Path) -> list[Path]:
    return sorted(folder.glob("*-form-*"))


@pytest.mark.parametrize("form", EARLIER)
def test_a_file_is_kept_as_it_was(
    tmp_path: Path, form: str, caplog: pytest.LogCaptureFixture
) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), form)
    before = held(str(file))
    with caplog.at_level(logging.WARNING, "ullage"):
        Store.open(str(file)).close()
        Store.open(str(file)).close()
    (copy,) = copies(tmp_path)
    assert copy.name.startswith(f"cellar-form-{form}-")
    assert copy.stat().st_mode & 0o777 == 0o600
    assert sorted(tmp_path.iterdir()) == [copy, file]
    assert caplog.messages == [f"{file} has form {REVISION} now; as it was it is kept in {copy}"]
    assert held(str(copy)) == before


def test_a_new_store_or_one_of_today_is_not_copied(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    for _ in range(2):
        Store.open(str(file)).close()
    assert copies(tmp_path) == []


def test_the_copy_is_a_way_back(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), "0002")
    Store.open(str(file)).close()
    (copy,) = copies(tmp_path)
    done = restore(copy, str(file), replace=True)
    # analytic: the events of both cellars in the file of rows, and their three texts
    assert (done.events, done.documents) == (62, 3)
    assert done.aside is not None
    assert held(str(copy))["ullage_schema"] == [("0002",)]


def test_a_backup_of_an_older_form_is_restored_and_leaves_no_copies(
    new_url: NewUrl, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    old = tmp_path / "backup.db"
    old_stores.make(str(old), "0001")
    url = new_url()
    assert restore(old, url).events == 62
    assert held(url)["ullage_schema"] == [(REVISION,)]
    assert held(str(old))["ullage_schema"] == [("0001",)]
    assert copies(tmp_path) == []
    assert caplog.messages == []


def test_a_copy_that_cannot_be_written_stops_it_before_it_begins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), "0001")
    before = held(str(file))

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("ullage.cellar.migrations.old_form.os.fsync", full)
        with pytest.raises(StoreError) as refused:
            Store.open(str(file))
    assert str(refused.value) == (
        f"{file} is of an older form, and the copy that is kept of it cannot be written "
        "(No space left on device): make room for it, then try again"
    )
    assert held(str(file)) == before
    assert sorted(tmp_path.iterdir()) == [file]
    Store.open(str(file)).close()
    assert len(copies(tmp_path)) == 1


def test_many_may_open_an_old_store_at_once(new_url: NewUrl, tmp_path: Path) -> None:
    url = new_url()
    old_stores.make(url, "0001")
    together = Barrier(4)

    def begin(_: int) -> int:
        together.wait(10)
        with Store.open(url) as store:
            return store.count()

    with ThreadPoolExecutor(4) as pool:
        assert len({*pool.map(begin, range(4))}) == 1
    assert held(url)["ullage_schema"] == [(REVISION,)]
    assert len(copies(tmp_path)) == (0 if "://" in url else 1)


@pytest.fixture
def newer(new_url: NewUrl) -> str:
    """A store of a release that is not made yet."""
    url = new_url()
    old_stores.make(url, REVISION)
    engine = old_stores.engine_of(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE keg_song (words TEXT)")
        connection.exec_driver_sql("UPDATE ullage_schema SET version_num = '0005'")
    engine.dispose()
    return url


def test_a_store_of_a_newer_form_is_refused_and_not_touched(newer: str, tmp_path: Path) -> None:
    before = held(newer)
    with pytest.raises(StoreError) as refused:
        Store.open(newer)
    assert "\n" not in str(refused.value)
    assert str(refused.value).endswith(
        "was written by a newer Ullage (form 0005, this one knows 0004): install the newest "
        "release, or restore a backup of before"
    )
    assert held(newer) == before
    assert copies(tmp_path) == []


@pytest.mark.parametrize("journal", ["WAL", "DELETE"])
def test_no_byte_of_a_newer_file_changes(tmp_path: Path, journal: str) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), REVISION)
    with sqlite3.connect(file) as connection:
        connection.execute("UPDATE ullage_schema SET version_num = '0005'")
    connection.execute(f"PRAGMA journal_mode={journal}").fetchone()
    connection.close()
    before = file.read_bytes()
    for command in (["status"], ["record", "undo", "0" * 32], ["backup", str(tmp_path / "b.db")]):
        done = ullage(*command, "--store", str(file))
        assert done.code == 2
        assert done.err.count("\n") == 1
        assert "newer Ullage" in done.err
    assert file.read_bytes() == before
    assert sorted(tmp_path.iterdir()) == [file]


def test_no_byte_of_another_programs_file_changes(tmp_path: Path) -> None:
    file = tmp_path / "songs.db"
    connection = sqlite3.connect(file)
    connection.execute("CREATE TABLE song (name TEXT)")
    connection.close()
    before = file.read_bytes()
    with pytest.raises(StoreError, match="tables of another program"):
        Store.open(str(file))
    assert file.read_bytes() == before
    assert sorted(tmp_path.iterdir()) == [file]


def test_a_backup_of_a_newer_form_is_refused(tmp_path: Path) -> None:
    made = tmp_path / "newer.db"
    old_stores.make(str(made), REVISION)
    with sqlite3.connect(made) as connection:
        connection.execute("UPDATE ullage_schema SET version_num = '0005'")
    connection.close()
    with pytest.raises(StoreError, match=r"newer\.db was written by a newer Ullage"):
        restore(made, str(tmp_path / "cellar.db"))
    assert not (tmp_path / "cellar.db").exists()


def test_an_export_of_a_migrated_store_goes_into_a_new_one(new_url: NewUrl, tmp_path: Path) -> None:
    url, file = new_url(), tmp_path / "backup"
    old_stores.make(url, "0001")
    with Store.open(url) as store:
        backup(store, file)
        log = [one.event for one in store.read()]
    again = str(tmp_path / "again.db")
    restore(file, again)
    with Store.open(again) as store:
        assert [one.event for one in store.read()] == log


def test_check_reads_an_old_store_without_changing_it(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), "0001")
    done = ullage("check", "--store", str(file))
    assert done.code == 0
    assert "62 events and 3 documents read to the end" in done.out
    assert "form 0001 of an older Ullage" in " ".join(done.out.split())
    assert held(str(file))["ullage_schema"] == [("0001",)]
    assert copies(tmp_path) == []


def test_check_tells_the_form(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    Store.open(str(file)).close()
    assert "Ullage" not in ullage("check", "--store", str(file)).out
    connection = sqlite3.connect(file)
    for form, told in ((REVISION, REVISION), ("0005", "0005")):
        with connection:
            connection.execute("UPDATE ullage_schema SET version_num = ?", (form,))
        found = ullage("check", "--store", str(file), "--json").json
        assert (found["form"], found["newest_form"]) == (told, REVISION)
    connection.close()
    assert "A newer Ullage wrote it (form 0005" in ullage("check", "--store", str(file)).out


def test_a_command_says_that_it_brought_the_store_up_to_date(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), "0003")
    done = process("log", "--json", "--store", str(file))
    (copy,) = copies(tmp_path)
    assert done.code == 0
    assert len(done.json["events"]) == 30
    assert done.err == f"{file} has form {REVISION} now; as it was it is kept in {copy}\n"
    assert process("log", "--json", "--store", str(file)).err == ""
