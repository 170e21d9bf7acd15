"""The log as a file, a table, a backup: out and in again, with what is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.console import assert_refused, process, ullage
from ullage.cellar.store import Store
from ullage.system.demo import demo_text

AT = ("--at", "2025-03-02T12:00")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's log with a few readings."""
    folder = tmp_path_factory.mktemp("made")
    path, system = folder / "log.db", folder / "system.toml"
    system.write_text(demo_text(), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ULLAGE_STORE", str(path))
        for arguments in (
            ("begin", str(system), "--at", "2025-03-01T12:00"),
            ("weighed", "40 lb", "--keg", "K1", *AT),
            ("measured", "--pressure", "11 psi", "--temperature", "38 degF", "--keg", "K1", *AT),
            ("cylinder-weighed", "6.1 lb net", *AT),
        ):
            assert ullage("record", *arguments).code == 0
    return path


@pytest.fixture(autouse=True)
def store(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = Path(shutil.copy(made, tmp_path / "log.db"))
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    return path


def count(store: Path) -> int:
    with Store.open(str(store)) as there:
        return there.count()


def told(*arguments: str) -> str:
    ran = ullage(*arguments)
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def test_an_export_comes_in_again_whole_and_twice_is_known(tmp_path: Path, store: Path) -> None:
    file, new = tmp_path / "log.jsonl", tmp_path / "new.db"
    events = count(store)
    out = told("export", str(file))
    assert out.startswith(f"wrote {events} events and 1 document, sha256 ")
    assert file.read_bytes().endswith(b"\n")
    assert out.split()[-1] in file.read_text("utf-8").splitlines()[-1]
    first = told("import", str(file), "--store", str(new))
    assert first == f"took in {events} events and 1 document; 0 events here already\n"
    second = told("import", str(file), "--store", str(new))
    assert second == f"took in 0 events and 0 documents; {events} events here already\n"
    again = tmp_path / "again.jsonl"
    told("export", str(again), "--store", str(new))
    assert again.read_bytes() == file.read_bytes()


def test_an_export_to_the_terminal_is_the_file(tmp_path: Path) -> None:
    file = tmp_path / "log.jsonl"
    told("export", str(file))
    ran = process("export", "-")
    assert ran.out.encode() == file.read_bytes()
    assert ran.err.startswith("wrote ")


def test_a_torn_or_changed_file_is_refused_and_nothing_is_kept(tmp_path: Path) -> None:
    file, new = tmp_path / "log.jsonl", tmp_path / "new.db"
    told("export", str(file))
    whole = file.read_text("utf-8")
    for text in (whole[: len(whole) // 2], whole.replace("K2", "K9"), whole[:-200], "", "no\n"):
        file.write_text(text, encoding="utf-8")
        assert_refused(ullage("import", str(file), "--store", str(new)), str(file))
        assert count(new) == 0


def test_readings_go_out_as_a_table_and_come_in_once(tmp_path: Path, store: Path) -> None:
    file, events = tmp_path / "readings.csv", count(store)
    assert told("readings", "write", str(file)) == "wrote 4 readings\n"
    rows = file.read_text("utf-8").splitlines()
    assert rows[0] == "at,subject,kind,quantity,value,unit"
    assert len(rows) == 5
    assert told("readings", "read", str(file)) == "took in 0 readings; 3 here already\n"
    with file.open("a", encoding="utf-8") as table:
        table.write("2025-03-03T12:00:00+00:00,keg:K1,measured,gauge_pressure,12,psi\n")
    assert told("readings", "read", str(file)) == "took in 1 reading; 3 here already\n"
    assert count(store) == events + 1
    assert process("readings", "write").out.count("\n") == 6


def test_a_wrong_row_is_named_and_none_is_kept(tmp_path: Path, store: Path) -> None:
    file, events = tmp_path / "readings.csv", count(store)
    head = "at,subject,kind,quantity,value,unit\n"
    good = "2025-03-03T12:00:00+00:00,keg:K1,measured,gauge_pressure,12,psi\n"
    for bad in ("2025-03-03T12:00:00+00:00,keg:K1,measured,gauge_pressure,12,kg\n", "x,y\n"):
        file.write_text(head + good + bad, encoding="utf-8")
        assert_refused(ullage("readings", "read", str(file)), f"{file}, line 3")
    file.write_text("a;b\n", encoding="utf-8")
    assert_refused(ullage("readings", "read", str(file)), "line 1", "columns")
    file.write_bytes(b"\xff\xfe\x00")
    assert_refused(ullage("readings", "read", str(file)), str(file))
    assert count(store) == events


def test_a_backup_restores_and_what_was_there_is_kept(tmp_path: Path, store: Path) -> None:
    file, events = tmp_path / "backup.db", count(store)
    assert f"backed up {events} events and 1 document to {file}, sha256 " in told(
        "backup", str(file)
    )
    told("record", "note", "later")
    assert_refused(ullage("restore", str(file)), f"holds {events + 1} events", "--replace")
    out = told("restore", str(file), "--replace")
    assert out.startswith(f"restored {events} events and 1 document; what was there is kept as ")
    assert count(store) == events
    assert count(Path(out.split(" kept as ")[1].strip())) == events + 1


def test_an_export_restores_too(tmp_path: Path, store: Path) -> None:
    file, new = tmp_path / "log.jsonl", tmp_path / "new.db"
    told("export", str(file))
    told("restore", str(file), "--store", str(new))
    assert count(new) == count(store)


def test_a_file_is_replaced_only_when_told(tmp_path: Path) -> None:
    file = tmp_path / "mine.txt"
    for command in (("export",), ("readings", "write"), ("backup",)):
        file.write_text("mine")
        assert_refused(ullage(*command, str(file)), "exists already", "--overwrite")
        assert file.read_text() == "mine"
        told(*command, str(file), "--overwrite")
        assert file.stat().st_size > 100
    assert {one.name for one in tmp_path.iterdir()} == {"log.db", "mine.txt"}


def test_what_is_no_file_is_refused(tmp_path: Path, store: Path) -> None:
    events, nowhere = count(store), str(tmp_path / "none" / "file")
    for command in (("import",), ("readings", "read"), ("restore",)):
        new = () if command == ("readings", "read") else ("--store", str(tmp_path / "new.db"))
        assert_refused(ullage(*command, str(tmp_path / "none"), *new), "No such file")
        assert_refused(ullage(*command, str(tmp_path), *new), "directory")
    for command in (("export",), ("readings", "write"), ("backup",)):
        assert_refused(ullage(*command, nowhere), nowhere)
    assert count(store) == events


def test_outcomes_as_json(tmp_path: Path, store: Path) -> None:
    events = count(store)
    file, backup = str(tmp_path / "log.jsonl"), str(tmp_path / "backup.db")
    table = str(tmp_path / "readings.csv")
    written = ullage("export", file, "--json").json
    assert (written["events"], written["documents"], len(written["sha256"])) == (events, 1, 64)
    assert ullage("import", file, "--json").json == {"events": 0, "known": events, "documents": 0}
    assert ullage("readings", "write", table, "--json").json == {"readings": 4}
    assert ullage("readings", "read", table, "--json").json == {"written": 0, "known": 3}
    assert ullage("backup", backup, "--json").json["events"] == events
    again = ullage("restore", backup, "--store", str(tmp_path / "new.db"), "--json").json
    kept = {"accounts": 0, "tokens": 0}
    assert again == {"events": events, "documents": 1, "aside": None, **kept}


def test_who_may_get_in_again_is_told(tmp_path: Path) -> None:
    """It may be more than did today: somebody removed since, a token revoked since."""
    assert ullage("token", "new", "probe").code == 0
    backup = str(tmp_path / "log-backup.db")
    assert ullage("backup", backup).code == 0
    told = ullage("restore", backup, "--store", str(tmp_path / "new.db"))
    assert told.out.endswith("; 0 accounts and 1 token are as they were then: look them over\n")
