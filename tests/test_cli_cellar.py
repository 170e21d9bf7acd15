"""`--cellar`: every command that opens a store can be told which household's."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from tests.console import assert_refused, ullage
from ullage.cellar.store import Store
from ullage.cli import app
from ullage.cli.stores import cellar_asked, in_cellar

EXAMPLE = "examples/one-tap.toml"


@pytest.fixture
def store(tmp_path: Path) -> tuple[str, str]:
    return "--store", str(tmp_path / "log.db")


def commands(command: Any, name: str = "") -> Iterator[tuple[str, set[str]]]:
    for part, inner in getattr(command, "commands", {}).items():
        yield from commands(inner, f"{name} {part}".strip())
    if not hasattr(command, "commands"):
        yield name, {each for one in command.params for each in one.opts}


def test_every_command_that_has_a_store_has_it() -> None:
    found = dict(commands(typer.main.get_command(app)))
    with_store = {name for name, options in found.items() if "--store" in options}
    assert len(with_store) > 50
    assert {name for name in with_store if "--cellar" not in found[name]} == set()
    assert {name for name, options in found.items() if "--cellar" in options} == with_store


def test_what_is_written_in_one_is_not_in_another(store: tuple[str, str]) -> None:
    for name in ("anna", "ben"):
        assert ullage("record", "begin", EXAMPLE, *store, "--cellar", name).code == 0
    assert ullage("record", "note", "annas own", *store, "--cellar", "anna").code == 0
    assert "annas own" in ullage("log", *store, "--cellar", "anna").out
    assert "annas own" not in ullage("log", *store, "--cellar", "ben").out
    assert "begin with ullage record begin" in ullage("status", *store).out


def test_the_variable_says_it_once_for_all(
    store: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ULLAGE_CELLAR", "anna")
    assert ullage("record", "begin", EXAMPLE, *store).code == 0
    assert ullage("record", "note", "annas own", *store).code == 0
    monkeypatch.delenv("ULLAGE_CELLAR")
    with Store.open(store[1], cellar="anna") as there:
        assert there.count() > 1
        assert there.beside("home").count() == 0
    assert cellar_asked() is None


@pytest.mark.parametrize("name", ["Anna", "a b", "../x", "-", "x" * 41])
def test_what_cannot_be_a_name_is_refused(store: tuple[str, str], name: str) -> None:
    ran = ullage("record", "begin", EXAMPLE, *store, f"--cellar={name}")
    assert_refused(ran, "is no name of a cellar", "small letters")
    assert not Path(store[1]).exists()


def test_a_backup_of_one_and_of_all(store: tuple[str, str], tmp_path: Path) -> None:
    for name in ("anna", "ben"):
        ullage("record", "begin", EXAMPLE, *store, "--cellar", name)
    one = ullage("backup", str(tmp_path / "one.db"), *store, "--cellar", "anna", "--json").json
    both = ullage("backup", str(tmp_path / "both.db"), *store, "--json").json
    assert both["events"] == 2 * one["events"]
    exported = tmp_path / "anna.jsonl"
    assert ullage("export", str(exported), *store, "--cellar", "anna").code == 0
    new = ("--store", str(tmp_path / "new.db"))
    assert ullage("restore", str(exported), *new, "--cellar", "carla").code == 0
    with Store.open(new[1], cellar="carla") as there:
        assert there.count() == one["events"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((EXAMPLE, "--club"), "leave out the system file and --cellar"),
        (("--club", "--cellar", "anna"), "leave out the system file and --cellar"),
        (("--cellars", "anna,Ben"), '"Ben" is no name of a cellar'),
        (("--cellars", "anna"), "nobody has an account in anna yet"),
        (("--club", "--let-anyone-in"), "each cellar of a club has its login"),
    ],
)
def test_what_does_not_go_with_a_club_is_refused(
    store: tuple[str, str], options: tuple[str, ...], said: str
) -> None:
    assert_refused(ullage("serve", *options, *store, "--port", "0"), said)


def test_a_command_without_a_store_stays_as_it_is() -> None:
    def plain(volumes: float) -> float:
        return volumes

    assert in_cellar(plain) is plain
    assert "cellar" not in inspect.signature(plain).parameters
