"""A backup is a copy that was opened and compared; restoring never loses what was there."""

from __future__ import annotations

import io
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.cellar.conftest import NewUrl, OpenStore
from tests.cellar.logs import cellar_log, day
from ullage.cellar import accounts, attempts, database_file, sessions, tokens
from ullage.cellar import backup as backups
from ullage.cellar.backup import backup
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Poured
from ullage.cellar.restore import restore
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.store import Store
from ullage.cellar.tables import ACCOUNT, ATTEMPT, SESSION, TOKEN
from ullage.cellar.transfer import export
from ullage.errors import EventError, StoreError

SYSTEM = 'name = "Käse & Bier"\n'


def filled(store: Store) -> list[Event]:
    """Write a log and a document to a store and return the events."""
    events = cellar_log()
    store.append(events)
    store.put_document("system", SYSTEM)
    return events


def events_in(url: str) -> list[Event]:
    with Store.open(url) as store:
        return [one.event for one in store.read()]


def names(folder: Path) -> set[str]:
    return {one.name for one in folder.iterdir()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder whose name needs care in an address."""
    made = tmp_path / "my beer #1 100% ?é"
    made.mkdir()
    return made


def test_a_backup_restores_to_either_database(store: Store, new_url: NewUrl, folder: Path) -> None:
    events = filled(store)
    done = backup(store, folder / "copy")
    assert (done.events, done.documents) == (len(events), 1)
    assert names(folder) == {"copy"}  # nothing beside it
    for url in (new_url(), str(folder / "new.db")):
        restored = restore(done.file, url)
        assert (restored.events, restored.documents, restored.aside) == (len(events), 1, None)
        assert events_in(url) == events
        with Store.open(url) as again:
            assert again.documents() == store.documents()
            assert again.versions() == store.versions()
            assert [one.recorded_at for one in again.read()] == [
                one.recorded_at for one in store.read()
            ]


def test_other_writers_need_not_wait(store: Store, new_url: NewUrl, folder: Path) -> None:
    """What is written during a backup is in it or not, and neither is a difference."""
    events = filled(store)
    with Store.open(store.url.render_as_string(hide_password=False)) as other:
        other.append([Poured(at=day(1), keg="K1", volume_m3=1e-4)])
        assert backup(store, folder / "copy").events == len(events) + 1
        other.append([Poured(at=day(2), keg="K1", volume_m3=1e-4)])
    assert store.count() == len(events) + 2


def test_a_store_that_grows_while_it_is_copied_is_no_difference(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(str(tmp_path / "cellar.db")) as store:
        events = filled(store)
        check_sound = database_file.check_sound

        def grow(file: Path) -> None:
            store.append([Poured(at=day(1), keg="K1", volume_m3=1e-4)])
            check_sound(file)

        monkeypatch.setattr(backups, "check_sound", grow)
        assert backup(store, tmp_path / "copy").events == len(events)


def test_every_cellar_is_in_a_backup_of_a_file(tmp_path: Path, new_url: NewUrl) -> None:
    file = str(tmp_path / "cellar.db")
    with Store.open(file, cellar="next door") as store:
        store.append(cellar_log()[:2])
    with Store.open(file) as store:
        store.append(cellar_log())
        assert backup(store, tmp_path / "copy").events == len(cellar_log()) + 2
    url = new_url()
    restore(tmp_path / "copy", url)
    with Store.open(url, cellar="next door") as store:
        assert store.count() == 2


def test_an_existing_file_is_not_overwritten_unless_told(store: Store, tmp_path: Path) -> None:
    filled(store)
    file = tmp_path / "copy"
    file.write_text("a shopping list")
    with pytest.raises(StoreError, match="exists already"):
        backup(store, file)
    assert file.read_text() == "a shopping list"
    backup(store, file, overwrite=True)
    assert restore(file, str(tmp_path / "new.db")).documents == 1


def test_a_backup_never_takes_the_place_of_the_store(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    with Store.open(str(file)) as store:
        with pytest.raises(StoreError, match="the store itself"):
            backup(store, tmp_path / "." / "cellar.db", overwrite=True)
        with pytest.raises(StoreError, match="the store itself"):
            restore(file, str(file), replace=True)


def test_a_backup_into_no_folder_is_refused(store: Store, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"cannot be written: No such file"):
        backup(store, tmp_path / "nowhere" / "copy")


def test_a_copy_that_differs_is_not_kept(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(store)
    before = names(tmp_path)
    if is_file(store):
        monkeypatch.setattr(backups, "check_sound", change_a_row)
    else:
        monkeypatch.setattr(backups, "import_", lambda check, _: check.append(cellar_log()))
    with pytest.raises(StoreError, match=r"differs from .*nothing was kept"):
        backup(store, tmp_path / "copy")
    assert names(tmp_path) == before


def test_an_empty_file_is_no_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store.open(str(tmp_path / "cellar.db")) as store:
        filled(store)
        with Store.open(str(tmp_path / "empty.db")):
            pass
        empty = backups._contents_of(tmp_path / "empty.db")
        monkeypatch.setattr(backups, "_contents_of", lambda _: empty)
        with pytest.raises(StoreError, match="differs"):
            backup(store, tmp_path / "copy")
    assert not (tmp_path / "copy").exists()


def is_file(store: Store) -> bool:
    return store.url.get_backend_name() == "sqlite"


def change_a_row(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("UPDATE event SET at = at + 1 WHERE position = 3")


def test_a_store_that_holds_something_is_replaced_only_when_told(tmp_path: Path) -> None:
    file, copy = tmp_path / "cellar.db", tmp_path / "copy"
    with Store.open(str(file)) as store:
        events = filled(store)
        backup(store, copy)
        later = Poured(at=day(1), keg="K1", volume_m3=1e-4)
        store.append([later])
    with pytest.raises(StoreError, match=r"holds 7 events: restore to another name"):
        restore(copy, str(file))
    assert events_in(str(file)) == [*events, later]
    aside = restore(copy, str(file), replace=True).aside
    assert events_in(str(file)) == events
    assert aside is not None
    assert events_in(str(aside)) == [*events, later]


def test_an_empty_store_may_be_restored_over(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "old.db")) as store:
        events = filled(store)
        backup(store, tmp_path / "copy")
    with Store.open(str(tmp_path / "new.db")):
        pass
    restore(tmp_path / "copy", str(tmp_path / "new.db"))
    assert events_in(str(tmp_path / "new.db")) == events


def test_a_store_in_use_is_not_replaced(tmp_path: Path) -> None:
    file, copy = tmp_path / "cellar.db", tmp_path / "copy"
    with Store.open(str(file)) as store:
        events = filled(store)
        backup(store, copy)
        with pytest.raises(StoreError, match=r"in use: stop the programs"):
            restore(copy, str(file), replace=True)
        assert [one.event for one in store.read()] == events
    assert names(tmp_path) == {"cellar.db", "copy"}


def test_a_damaged_store_is_put_aside_as_it_is(tmp_path: Path) -> None:
    file, copy = tmp_path / "cellar.db", tmp_path / "copy"
    with Store.open(str(file)) as store:
        events = filled(store)
        backup(store, copy)
    damaged = file.read_bytes()[:100] + b"\xff" * 5000
    file.write_bytes(damaged)
    with pytest.raises(StoreError, match="is damaged"):
        restore(copy, str(file))
    aside = restore(copy, str(file), replace=True).aside
    assert events_in(str(file)) == events
    assert aside is not None
    assert aside.read_bytes() == damaged


@pytest.mark.parametrize("new_url", ["postgresql"], indirect=True)
def test_a_server_that_holds_something_is_never_replaced(store: Store, tmp_path: Path) -> None:
    filled(store)
    done = backup(store, tmp_path / "copy")
    with pytest.raises(StoreError, match="not empty: restore into a new database"):
        restore(done.file, store.url.render_as_string(hide_password=False), replace=True)


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        (None, "cannot be read"),
        (b"", "line 1: no export"),
        (b"a shopping list", "line 1: no export"),
        (b"SQLite format 3\0" + b"\xff" * 5000, "copy is (no store|damaged|not as it was written)"),
        (b'{"format":"ullage-log","version":1}\n{"number":1', "cut short"),
    ],
)
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes | None, wrong: str) -> None:
    copy, file = tmp_path / "copy", tmp_path / "cellar.db"
    if content is not None:
        copy.write_bytes(content)
    with pytest.raises((StoreError, EventError), match=wrong):
        restore(copy, str(file))
    assert not file.exists()
    assert names(tmp_path) <= {"copy"}


def test_a_backup_cut_short_is_refused(store: Store, tmp_path: Path) -> None:
    filled(store)
    done = backup(store, tmp_path / "copy")
    whole = done.file.read_bytes()
    for size in (len(whole) // 3, len(whole) // 2):
        done.file.write_bytes(whole[:size])
        with pytest.raises((StoreError, EventError)):
            restore(done.file, str(tmp_path / "new.db"))
        assert not (tmp_path / "new.db").exists()


def some(size: int, store: Store) -> list[int]:
    """Some places in a file: a header's, those near its end, and others at random.

    Fewer of an export, each of which makes a store before it is refused.
    """
    chance = random.Random(20261101)
    found = [*range(110), *range(size - 40, size - 1), *(chance.randrange(size) for _ in range(99))]
    return found if is_file(store) else found[::12]


def test_a_backup_that_was_changed_anywhere_is_refused(
    store: Store, tmp_path: Path, folder: Path
) -> None:
    filled(store)
    done = backup(store, folder / "copy")
    whole = done.file.read_bytes()
    for place in some(len(whole), store):
        changed = bytearray(whole)
        changed[place] ^= 1 << place % 8
        done.file.write_bytes(changed)
        with pytest.raises((StoreError, EventError)):
            restore(done.file, str(folder / "new.db"))
    assert names(folder) == {"copy"}
    done.file.write_bytes(whole)
    assert restore(done.file, str(tmp_path / "new.db")).events == len(cellar_log())


def test_a_backup_cut_anywhere_is_refused(store: Store, folder: Path) -> None:
    """But for the last end of line of an export, which nothing hangs on."""
    filled(store)
    done = backup(store, folder / "copy")
    whole = done.file.read_bytes()
    for left in some(len(whole), store):
        done.file.write_bytes(whole[:left])
        with pytest.raises((StoreError, EventError)):
            restore(done.file, str(folder / "new.db"))
    done.file.write_bytes(whole + b" ")
    with pytest.raises((StoreError, EventError)):
        restore(done.file, str(folder / "new.db"))
    assert names(folder) == {"copy"}


def test_a_torn_database_is_told_in_a_sentence(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "cellar.db")) as store:
        filled(store)
        done = backup(store, tmp_path / "copy")
    done.file.write_bytes(done.file.read_bytes()[:-3])
    with pytest.raises(StoreError, match=r"copy is not as it was written: it was cut short"):
        restore(done.file, str(tmp_path / "new.db"))


def test_a_database_without_a_seal_restores(tmp_path: Path) -> None:
    """A backup made before there were seals, or a store's own file, copied by hand."""
    with Store.open(str(tmp_path / "cellar.db")) as store:
        events = filled(store)
    (tmp_path / "cellar.db").rename(tmp_path / "copy")
    with closing(sqlite3.connect(tmp_path / "copy")) as connection:
        connection.execute("PRAGMA journal_mode=DELETE").fetchone()
    restore(tmp_path / "copy", str(tmp_path / "new.db"))
    assert events_in(str(tmp_path / "new.db")) == events


def test_a_seal_is_not_handed_on(tmp_path: Path) -> None:
    """What is restored is a store: it changes, and may be put aside and restored again."""
    with Store.open(str(tmp_path / "cellar.db")) as store:
        events = filled(store)
        backup(store, tmp_path / "copy")
    for source in ("copy", "opened"):
        aside = restore(tmp_path / source, str(tmp_path / "new.db"), replace=True).aside
        assert (aside is None) == (source == "copy")
        with Store.open(str(tmp_path / "new.db")) as store:
            store.append([Poured(at=day(1), keg="K1", volume_m3=1e-4)])
        if source == "copy":
            (tmp_path / "copy").rename(tmp_path / "opened")
            with Store.open(str(tmp_path / "opened")) as store:
                store.append([Poured(at=day(2), keg="K1", volume_m3=1e-4)])
    assert aside is not None
    restore(aside, str(tmp_path / "again.db"))
    assert len(events_in(str(tmp_path / "again.db"))) == len(events) + 1


def test_snapshots_stay_behind(tmp_path: Path) -> None:
    """They are made anew from the log, which is what a backup is compared with."""
    with Store.open(str(tmp_path / "cellar.db")) as store:
        filled(store)
        assert store.offer_snapshots(Snapshot("keg:K1", 1, "form", "{}"))
        backup(store, tmp_path / "copy")
    (tmp_path / "cellar.db").rename(tmp_path / "old")
    for source in ("copy", "old"):
        restore(tmp_path / source, str(tmp_path / f"from-{source}.db"))
        with Store.open(str(tmp_path / f"from-{source}.db")) as store:
            assert store.load_snapshot("keg:K1", "form") is None


def test_a_database_of_another_program_is_no_backup(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "copy")) as connection, connection:
        connection.execute("CREATE TABLE songs (title)")
    with pytest.raises(StoreError, match=r"copy is no store: it holds tables of another program"):
        restore(tmp_path / "copy", str(tmp_path / "new.db"))


def test_a_backup_that_was_opened_as_a_store_restores(
    tmp_path: Path, open_store: OpenStore
) -> None:
    """Opened, it keeps its changes in a file beside it for a while: they are not forgotten."""
    with Store.open(str(tmp_path / "cellar.db")) as store:
        filled(store)
        backup(store, tmp_path / "copy")
    opened = open_store(str(tmp_path / "copy"))
    opened.append([Poured(at=day(1), keg="K1", volume_m3=1e-4)])
    assert restore(tmp_path / "copy", str(tmp_path / "new.db")).events == len(cellar_log()) + 1


def with_access(store: Store) -> str:
    """Give a filled store an account, a token, somebody logged in, a failed try."""
    filled(store)
    at = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    accounts.make(store, "Ann", "barley and a long river", "keeper")
    attempts.begin(store, "Ann", "10.0.0.7", at)
    tokens.make(store, "K1 scale")
    return sessions.begin(store, "Ann", at)


def rows(store: Store) -> dict[str, int]:
    with store.reading() as connection:
        return {
            table.name: len(connection.execute(table.select()).all())
            for table in (ACCOUNT, TOKEN, SESSION, ATTEMPT)
        }


def test_accounts_and_tokens_are_in_a_backup_of_a_file_and_nobody_stays_logged_in(
    tmp_path: Path, new_url: NewUrl, quick_hashes: None
) -> None:
    """A session that was ended since must not be open again, nor a wait begin anew."""
    del quick_hashes
    with Store.open(str(tmp_path / "cellar.db")) as store:
        secret = with_access(store)
        backup(store, tmp_path / "copy")
    with closing(sqlite3.connect(tmp_path / "copy")) as copy:
        for table in ("session", "attempt"):
            assert copy.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,)
    for url in (str(tmp_path / "new.db"), new_url()):
        restored = restore(tmp_path / "copy", url)
        assert (restored.accounts, restored.tokens) == (1, 1)
        with Store.open(url) as again:
            assert rows(again) == {"account": 1, "token": 1, "session": 0, "attempt": 0}
            assert accounts.checked(again, "Ann", "barley and a long river") is not None
            at = datetime(2026, 11, 28, 18, 1, tzinfo=UTC)
            assert sessions.account_of(again, secret, at) is None


def test_who_is_logged_in_is_not_restored_from_a_copy_that_somebody_else_made(
    tmp_path: Path, quick_hashes: None
) -> None:
    del quick_hashes
    with Store.open(str(tmp_path / "cellar.db")) as store:
        with_access(store)
        assert rows(store)["session"] == 1
    restore(tmp_path / "cellar.db", str(tmp_path / "new.db"))
    with Store.open(str(tmp_path / "new.db")) as again:
        assert rows(again) == {"account": 1, "token": 1, "session": 0, "attempt": 0}


def test_the_accounts_of_a_server_stay_when_a_backup_is_restored_to_it(
    tmp_path: Path, server: Callable[[str], str], new_url: NewUrl, quick_hashes: None
) -> None:
    del quick_hashes, server
    with Store.open(str(tmp_path / "cellar.db")) as store:
        with_access(store)
        backup(store, tmp_path / "copy")
    url = new_url()
    with Store.open(url) as target:
        accounts.make(target, "Bob", "seven copper kettles", "keeper")
    if "://" in url:
        restore(tmp_path / "copy", url)
        with Store.open(url) as target:
            assert [one.name for one in accounts.every(target)] == ["Bob"]
            assert [one.name for one in tokens.every(target)] == ["K1 scale"]
    else:
        restore(tmp_path / "copy", url)  # a file is put aside with all that it holds
        with Store.open(url) as target:
            assert [one.name for one in accounts.every(target)] == ["Ann"]


def test_an_export_holds_nothing_of_who_may_get_in(store: Store, quick_hashes: None) -> None:
    del quick_hashes
    secret = with_access(store)
    file = io.BytesIO()
    export(store, file)
    written = file.getvalue().decode()
    with store.reading() as connection:
        kept = [*connection.execute(select(ACCOUNT.c.password)).scalars()]
        kept += connection.execute(select(TOKEN.c.digest)).scalars()
    for word in ("Ann", secret, *kept):
        assert word not in written


def test_a_backup_is_for_its_owner_alone(store: Store, tmp_path: Path) -> None:
    """What passwords were made into is in it."""
    filled(store)
    file = backup(store, tmp_path / "copy").file
    assert file.stat().st_mode & 0o777 == 0o600
