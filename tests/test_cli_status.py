"""`ullage status` and `ullage log`: how things stand and what is written, in words and JSON."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.console import ullage
from ullage.cellar.store import Store
from ullage.system.demo import demo_text


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's log with two pours."""
    folder = tmp_path_factory.mktemp("made")
    path, system = folder / "log.db", folder / "system.toml"
    system.write_text(demo_text(), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ULLAGE_STORE", str(path))
        for arguments in (
            ("begin", str(system), "--at", "2025-03-01T12:00"),
            ("poured", "1 quart", "--keg", "K1", "--at", "2025-03-02T20:00"),
            ("poured", "1 pint", "--keg", "K2", "--at", "2025-03-02T20:30"),
        ):
            assert ullage("record", *arguments).code == 0
    return path


@pytest.fixture(autouse=True)
def store(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = Path(shutil.copy(made, tmp_path / "log.db"))
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    return path


def test_status_says_what_is_where_and_what_to_do_within_eighty_columns() -> None:
    ran = ullage("status", "--at", "2025-03-03T12:00")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "Mon 03 Mar 2025 12:00"
    assert all(len(line) <= 80 for line in lines)
    assert "Keg K1: Backyard Pale, in freezer, on tap left" in lines
    assert "  Ready: 2.4" in ran.out
    # analytic: 3.6 gal less a quart
    assert "  3.35 gal left" in ran.out
    assert "Cylinder main (10 lb): " in ran.out
    assert ran.out.index("K3") < ran.out.index("\nKeg K1"), "what to do comes first"


def test_status_as_json_is_in_si() -> None:
    told = ullage("status", "--at", "2025-03-03T12:00", "--json").json
    assert [one["keg"] for one in told["kegs"]] == ["K1", "K2", "K3"]
    assert {"beer_left_m3", "beer_left_low_m3", "level_vol", "gauge_pressure_pa"} <= set(
        told["kegs"][0]
    )
    assert told["at"].startswith("2025-03-03T12:00")


def test_status_of_the_past_knows_no_later_pour() -> None:
    assert "  3.6 gal left" in ullage("status", "--at", "2025-03-02T12:00").out


def test_status_and_log_of_an_empty_store(tmp_path: Path) -> None:
    empty = str(tmp_path / "empty.db")
    with Store.open(empty):
        pass
    assert "ullage record begin FILE" in ullage("status", "--store", empty).out
    assert ullage("log", "--store", empty).out == "Nothing is written down yet.\n"


def test_log_lists_the_last_by_their_moments_with_ids() -> None:
    ran = ullage("log", "--last", "2")
    earlier, *rows = ran.out.splitlines()
    assert earlier.startswith("… ")
    assert [row[10:] for row in rows] == [
        "2025-03-02 20:00  keg K1: poured 0.25 gal",
        "2025-03-02 20:30  keg K2: poured 16 fl oz",
    ]
    told = ullage("log", "--last", "2", "--json").json["events"]
    assert [one["id"][:8] for one in told] == [row[:8] for row in rows]
    assert {"recorded_at", "at", "kind", "volume_m3"} <= set(told[0])


def test_log_of_one_keg() -> None:
    out = ullage("log", "--keg", "K2").out
    assert "keg K2: filled with 2.2 gal of Cellar Stout" in out
    assert "K1" not in out
    told = ullage("log", "--keg", "K2", "--json").json["events"]
    kinds = [one["kind"] for one in told]
    assert kinds == ["keg_acquired", "filled", "gas_on", "tapped", "poured"]


def test_status_loads_no_library_that_it_does_not_use() -> None:
    code = (
        "import sys; sys.argv = ['ullage', 'status']\n"
        "from ullage import cli\n"
        "try: cli.main()\n"
        "except SystemExit: pass\n"
        "heavy = {'scipy', 'CoolProp', 'altair', 'fluids', 'fastapi', 'alembic', 'rich'}\n"
        "sys.exit(' '.join(heavy & {name.split('.')[0] for name in sys.modules}) or 0)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=120
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def test_registering_the_commands_loads_no_library() -> None:
    code = (
        "import sys; from ullage.cli import app; import typer; typer.main.get_command(app)\n"
        "heavy = {'numpy', 'pydantic', 'sqlalchemy', 'pint'}\n"
        "sys.exit(' '.join(heavy & set(sys.modules)) or 0)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=120
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def test_status_warns_of_a_regulator_at_two_pressures() -> None:
    when = ("--at", "2025-03-03T12:00")
    said = ullage("record", "gas-on", "30 psi", "--keg", "K2", "--at", "2025-03-03T10:00")
    assert said.code == 0, said.err
    ran = ullage("status", *when)
    assert "gives one pressure" in ran.out
    words = " ".join(ran.out.split())
    assert "keg K2 on 30 psi" in words
    assert "take it to be at 30 psi, which was said last" in words
    told = ullage("status", *when, "--json").json["warnings"]
    assert sum("gives one pressure" in one for one in told) == 1
    before = ullage("status", "--at", "2025-03-02T12:00", "--json").json["warnings"]
    assert not before
