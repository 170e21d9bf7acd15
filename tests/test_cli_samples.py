"""Sensors at the terminal: their newest readings, tables, tokens, listening."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.bus.brokers import LONGEST_S, PASSWORD, TestBroker
from tests.console import COMMAND, assert_refused, process, ullage
from ullage.cellar import samples, tokens
from ullage.cellar.store import Store
from ullage.system.demo import demo_text

NOW = datetime.now(UTC)
SENSORS = """
[[sensor]]
name = "probe"
of = "place:freezer"
measures = "temperature"
unit = "degC"
topic = "cellar/probe"

[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
writes = true
"""
HEAD = "at,source,subject,value,unit\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    system = folder / "system.toml"
    system.write_text(demo_text(date(2026, 3, 1)) + SENSORS, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ULLAGE_STORE", str(folder / "log.db"))
        at = (NOW - timedelta(days=1)).isoformat()
        assert ullage("record", "begin", str(system), "--at", at).code == 0
    return folder / "log.db"


@pytest.fixture(autouse=True)
def store(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = Path(shutil.copy(made, tmp_path / "log.db"))
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    return path


def table(folder: Path, *rows: str) -> Path:
    file = folder / "samples.csv"
    file.write_text(HEAD + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return file


def at(minutes: float) -> str:
    return (NOW - timedelta(minutes=minutes)).isoformat()


def test_a_table_is_taken_in_and_shown(tmp_path: Path) -> None:
    file = table(tmp_path, f"{at(2)},probe,,4,", f"{at(1)},probe,,41,degF", f"{at(1)},probe,,9,")
    ran = ullage("samples", "import", str(file))
    assert ran.out == "took in 2 samples; 0 here already, 1 refused; wrote down 0 facts\n"
    assert ran.err == "line 4: another value is kept for that moment already, and stands\n"
    assert ullage("samples", "import", str(file), "--json").json == {
        "new": 0,
        "known": 2,
        "refused": 1,
        "facts": 0,
    }
    lines = ullage("samples", "newest").out
    assert "probe (temperature of place freezer): 41 °F" in lines
    assert "K1 scale (weight of keg K1): has said nothing yet" in lines
    found = ullage("samples", "newest", "--json").json["sensors"]
    assert [one["source"] for one in found] == ["probe", "K1 scale"]
    assert found[0]["value"] == pytest.approx(278.15)


def test_facts_only_where_they_are_asked_for(tmp_path: Path) -> None:
    rows = [
        f"{at(60 - index / 6)},K1 scale,,{20.0 if index < 30 else 19.6}," for index in range(60)
    ]
    file = table(tmp_path, *rows)
    other = str(tmp_path / "other.db")
    shutil.copy(tmp_path / "log.db", other)
    assert ullage("samples", "import", str(file)).out.endswith("wrote down 0 facts\n")
    ran = ullage("samples", "import", str(file), "--facts", "--store", other)
    assert ran.out.endswith("wrote down 1 fact\n")
    assert "by sensor K1 scale" in ullage("log", "--store", other).out


def test_out_and_in_again_is_the_same(tmp_path: Path) -> None:
    file = table(tmp_path, f"{at(2)},probe,,4,", f"{at(1)},K1 scale,keg:K2,20.5,kg")
    ullage("samples", "import", str(file))
    out, new = tmp_path / "out.csv", tmp_path / "new.db"
    assert ullage("samples", "export", str(out)).out == "wrote 2 samples\n"
    shutil.copy(tmp_path / "log.db", new)
    with Store.open(str(new)) as other, other.writing() as connection:
        connection.exec_driver_sql("DELETE FROM sample")
    assert ullage("samples", "import", str(out), "--store", str(new)).code == 0
    ran = process("samples", "export", "--store", str(new))
    assert ran.out == out.read_text("utf-8")
    assert_refused(ullage("samples", "export", str(out)), "exists already", "--overwrite")
    assert ullage("samples", "export", str(out), "--overwrite").code == 0


def test_a_wrong_row_is_named_and_nothing_is_written(tmp_path: Path) -> None:
    file = table(tmp_path, f"{at(2)},probe,,4,", f"{at(1)},prob,,4,")
    assert_refused(
        ullage("samples", "import", str(file)), "samples.csv, line 3", 'did you mean "probe"?'
    )
    assert process("samples", "export").out == HEAD


def test_the_log_s_own_files_say_that_samples_are_not_in_them(tmp_path: Path) -> None:
    ullage("samples", "import", str(table(tmp_path, f"{at(2)},probe,,4,")))
    said = ullage("export", str(tmp_path / "log.jsonl")).out
    assert "1 sample of sensors not in it, see ullage samples export" in said
    said = ullage("backup", str(tmp_path / "copy.db")).out
    assert "with 1 sample of sensors" in said
    told = ullage("backup", str(tmp_path / "other.db"), "--json").json
    assert (told["samples"], told["samples_left_out"]) == (1, 0)


def test_a_token_is_shown_once_and_revoked(store: Path) -> None:
    ran = ullage("token", "new", "probe")
    secret = ran.out.strip()
    assert secret.startswith(tokens.BEGINS)
    assert "not shown again" in ran.err
    with Store.open(str(store)) as there:
        assert tokens.bearer(there, secret) is not None
    assert ullage("token", "list").out.startswith("probe: may send readings; made ")
    assert ullage("token", "list", "--json").json["tokens"][0]["name"] == "probe"
    assert secret not in ullage("token", "list", "--json").out
    assert_refused(ullage("token", "new", "probe"), "revoke it first")
    assert ullage("token", "revoke", "probe").out == "probe is good no more.\n"
    assert_refused(ullage("token", "revoke", "probe"), "no token is called probe")
    assert "no token yet" in ullage("token", "list").out
    told = ullage("token", "new", "probe", "--json").json
    assert (told["name"], told["scope"]) == ("probe", "samples")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--broker", "mqtt://here"), "is no broker; write its host"),
        (("--broker", "here", "--prefix", "a#"), "cannot begin a topic"),
        (("--broker", "here", "--discovery", "+"), "cannot begin a topic"),
        (("--broker", "here", "--password-file", "/nowhere"), "/nowhere"),
        (("--broker", "here", "--ca-file", "/nowhere"), "/nowhere"),
        ((), "--broker"),
    ],
)
def test_what_cannot_be_listened_to_is_refused(words: tuple[str, ...], told: str) -> None:
    assert_refused(ullage("listen", *words), told)


def test_listening_until_it_is_stopped(store: Path, tmp_path: Path) -> None:
    """A process of its own: it takes a reading in, and a signal ends it in good order."""
    password = tmp_path / "password"
    password.write_text(f"{PASSWORD}\n", encoding="utf-8")
    with TestBroker() as broker:
        words = ["listen", "--broker", f"127.0.0.1:{broker.port}", "--user", "home", "--json"]
        more = ["--password-file", str(password), "--client-id", "a-test", "--discovery", "none"]
        running = subprocess.Popen(
            [COMMAND, *words, *more],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "ULLAGE_STORE": str(store)},
        )
        try:
            assert running.stderr is not None
            assert "listening at 127.0.0.1" in running.stderr.readline()
            broker.await_subscription("cellar/probe")
            broker.publish("cellar/probe", b"4.5")
            broker.await_acknowledged("a-test")
            running.send_signal(signal.SIGTERM)
            out, _ = running.communicate(timeout=LONGEST_S)
        finally:
            running.kill()
            running.wait()
    assert running.returncode == 0
    assert json.loads(out)["new"] == 1
    with Store.open(str(store)) as there, there.reading() as connection:
        assert samples.count(connection, there.cellar) == 1
