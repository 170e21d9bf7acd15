"""Files torn, cut short, overwritten: nothing wrong is given out, and a sentence says so."""

from __future__ import annotations

import io
import random
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, event

from tests.cellar.logs import cellar_log, day
from tests.console import assert_refused, ullage
from ullage.cellar.checking import check
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Poured
from ullage.cellar.other_events import Noted, Undone
from ullage.cellar.rescue import rescue
from ullage.cellar.store import Store
from ullage.cellar.transfer import import_
from ullage.errors import StoreError

PAGE = 4096
AT_ONCE = 4


def pours(count: int = AT_ONCE, remark: str = "") -> list[Event]:
    return [Poured(at=day(1), keg=f"K{keg}", volume_m3=1e-4, remark=remark) for keg in range(count)]


@pytest.fixture
def crashed(tmp_path: Path) -> Path:
    """The files of a store as a crash leaves them: most of the log is beside the file."""
    with Store.open(str(tmp_path / "running.db")) as store:
        store.append(cellar_log())
        with store.reading() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        for _ in range(12):
            store.append(pours())
        for tail in ("", "-wal"):
            shutil.copy(tmp_path / f"running.db{tail}", tmp_path / f"cellar.db{tail}")
    return tmp_path / "cellar.db"


def written_whole(file: Path) -> int:
    """How many of the writings after the first are there; none of them torn."""
    with Store.open(str(file)) as store:
        found = store.read()
        for name in store.streams():
            assert [one.number for one in store.read(name)] == [
                *range(1, len(store.read(name)) + 1)
            ]
    rest = len(found) - len(cellar_log())
    assert rest % AT_ONCE == 0, "a writing was torn"
    return rest // AT_ONCE


def test_after_a_crash_all_that_was_acknowledged_is_there(crashed: Path) -> None:
    assert written_whole(crashed) == 12
    assert check(str(crashed)).sound


def test_a_log_beside_the_file_cut_short_anywhere_loses_whole_writings_from_its_end(
    crashed: Path, tmp_path: Path
) -> None:
    """Whatever the length, what is left is a beginning of what was written."""
    beside = Path(f"{crashed}-wal").read_bytes()
    chance = random.Random(3)
    counts = []
    for length in sorted({0, 16, len(beside), *(chance.randrange(len(beside)) for _ in range(25))}):
        file = tmp_path / f"cut-{length}.db"
        shutil.copy(crashed, file)
        Path(f"{file}-wal").write_bytes(beside[:length])
        counts.append(written_whole(file))
        assert check(str(file)).sound
    assert counts == sorted(counts)
    assert (counts[0], counts[-1]) == (0, 12)


def test_a_torn_page_beside_the_file_ends_what_counts(crashed: Path) -> None:
    """A frame half written, as a power cut leaves it: its checksum does not hold."""
    beside = bytearray(Path(f"{crashed}-wal").read_bytes())
    middle = len(beside) // 2
    beside[middle : middle + 512] = bytes(512)
    Path(f"{crashed}-wal").write_bytes(beside)
    assert 0 < written_whole(crashed) < 12


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.6, 0.95])
def test_a_file_cut_short_is_told(tmp_path: Path, share: float) -> None:
    """Opening, reading or checking it says so: never a shorter log as if it were whole."""
    file = tmp_path / "cellar.db"
    with Store.open(str(file)) as store:
        for _ in range(20):
            store.append(pours(remark="a remark that takes some room " * 20))
        whole = store.count()
    data = file.read_bytes()
    file.write_bytes(data[: int(share * len(data))])
    if share == 0.0:  # an empty file is an empty store to be: nothing tells that it was more
        with pytest.raises(StoreError, match="is no store"):
            check(str(file))
        return
    with pytest.raises(StoreError, match=r"is damaged: .*ullage check|is no store"):
        _read(file, whole)
    assert ullage("check", "--store", str(file)).code in (1, 2)


def _read(file: Path, whole: int) -> None:
    with Store.open(str(file)) as store:
        assert len(store.read()) == whole


@pytest.fixture
def long_log(tmp_path: Path) -> tuple[Path, list[Event]]:
    """A store of some hundred pages, and its events."""
    log = [*cellar_log(), *(one for _ in range(60) for one in pours(remark="malt " * 60))]
    log.append(Undone(at=day(2), of=log[-9].stream, event=log[-9].id))
    with Store.open(str(tmp_path / "cellar.db")) as store:
        store.put_document("system", "name = 'mine'\n")
        store.append(log)
    return tmp_path / "cellar.db", log


def pages_of(file: Path, table: str) -> list[int]:
    with closing(sqlite3.connect(file)) as connection:
        try:
            asked = "SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf'"
            return [one for (one,) in connection.execute(asked, (table,))]
        except sqlite3.OperationalError:  # built without it: any page past the schema's may do
            count = connection.execute("PRAGMA page_count").fetchone()[0]
            return [*range(count // 2, count)]


def spoil(file: Path, *pages: int) -> None:
    data = bytearray(file.read_bytes())
    for page in pages:
        data[(page - 1) * PAGE : page * PAGE] = b"\x55" * PAGE
    file.write_bytes(data)


def test_what_a_spoilt_page_left_is_told_and_taken_out(
    long_log: tuple[Path, list[Event]], tmp_path: Path
) -> None:
    file, log = long_log
    spoil(file, *pages_of(file, "event")[3:6:2])
    found = check(str(file))
    assert not found.sound
    assert found.events + found.lost == len(log)
    assert found.lost > 0
    with (tmp_path / "rescued.jsonl").open("wb") as to:
        saved = rescue(file, to)
    assert saved.events + saved.left_out == len(log)
    with Store.open(str(tmp_path / "again.db")) as store:
        import_(store, io.BytesIO((tmp_path / "rescued.jsonl").read_bytes()))
        again = [one.event for one in store.read()]
        assert again == [one for one in log if one in again]
        assert store.documents()[0].text == "name = 'mine'\n"
    assert check(str(tmp_path / "again.db")).sound


def test_who_takes_back_what_is_lost_is_left_out(
    long_log: tuple[Path, list[Event]], tmp_path: Path
) -> None:
    file, log = long_log
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("UPDATE event SET body = '{' WHERE id = ?", (log[-1].event,))  # type: ignore[union-attr]
    found = check(str(file))
    assert (found.events, found.lost) == (len(log) - 1, 1)
    with (tmp_path / "rescued.jsonl").open("wb") as to:
        saved = rescue(file, to)
    assert (saved.events, saved.left_out) == (len(log) - 2, 2)


def test_the_command_tells_what_to_do(long_log: tuple[Path, list[Event]], tmp_path: Path) -> None:
    file, log = long_log
    sound = ullage("check", "--store", str(file))
    assert sound.code == 0
    assert sound.out == f"{file} is sound: {len(log)} events and 1 document read to the end.\n"
    spoil(file, pages_of(file, "event")[2])
    rescued = tmp_path / "rescued.jsonl"
    told = ullage("check", "--store", str(file), "--rescue", str(rescued))
    assert told.code == 1
    for words in ("is damaged", "restore the newest backup", "makes a store of it"):
        assert words in told.out
    data = ullage("check", "--store", str(file), "--json").json
    assert data["sound"] is False
    assert data["events"] + data["lost"] == len(log)
    back = ullage("restore", str(rescued), "--replace", "--store", str(file))
    assert back.code == 0
    assert ullage("check", "--store", str(file)).code == 0


def test_what_is_no_store_is_refused(tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text("milk, bread, yeast\n" * 400)
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
    for name, words in (
        ("none.db", "there is no store"),
        ("list.txt", "is no store"),
        ("other.db", "is no store"),
    ):
        assert_refused(ullage("check", "--store", str(tmp_path / name)), words)


def test_a_clock_that_was_set_back_is_told(tmp_path: Path) -> None:
    later = datetime.now(UTC) + timedelta(days=30)
    with Store.open(str(tmp_path / "cellar.db")) as store:
        store.append([*cellar_log(), Noted(at=later, about="K1", text="of next month")])
    told = ullage("check", "--store", str(tmp_path / "cellar.db"))
    assert told.code == 0
    assert "1 event happened later than this machine's clock says it is" in told.out


def _fill_up(store: Store, told: list[str]) -> None:
    """Write until the store refuses, noting what it acknowledged."""
    for _ in range(1000):
        told += store.append(pours(remark="wheat " * 30)).written


def test_the_disk_is_full_for_a_while_and_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    """SQLite is told that the file may have no more pages, which it reports as a full disk."""
    pages = [40]

    def limit(connection: object, *_: object) -> None:
        connection.execute(f"PRAGMA max_page_count={pages[0]}")  # type: ignore[attr-defined]

    event.listen(Engine, "connect", limit)
    try:
        with Store.open(str(tmp_path / "cellar.db")) as store:
            told: list[str] = []
            with pytest.raises(StoreError, match=r"the disk .* is full: make room .* nothing was"):
                _fill_up(store, told)
            assert [one.event.id for one in store.read()] == told
            pages[0] = 4000
            with store.reading() as connection:
                connection.exec_driver_sql(f"PRAGMA max_page_count={pages[0]}")
            told += store.append(pours()).written
            assert [one.event.id for one in store.read()] == told
    finally:
        event.remove(Engine, "connect", limit)
    assert check(str(tmp_path / "cellar.db")).sound
