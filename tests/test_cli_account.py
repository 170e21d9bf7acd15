"""`ullage account`: made, listed, changed, removed; a mistake is one line and changes nothing."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from tests.console import Ran, assert_refused, process, ullage
from ullage.cellar import accounts
from ullage.cellar.accounts import Account
from ullage.cellar.store import Store
from ullage.cli import account as account_module

GOOD, OTHER = "barley and a long river", "seven copper kettles"


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


class Cellar:
    """A store and its accounts, with what would be typed piped in."""

    def __init__(self, path: Path, patch: pytest.MonkeyPatch) -> None:
        self.path = path
        self._patch = patch

    def ran(self, *words: str, typed: str = "") -> Ran:
        self._patch.setattr(sys, "stdin", io.StringIO(typed))
        return ullage("account", *words, "--store", str(self.path))

    def checked(self, name: str, password: str) -> Account | None:
        with Store.open(str(self.path)) as store:
            return accounts.checked(store, name, password)

    def names(self) -> dict[str, str]:
        with Store.open(str(self.path)) as store:
            return {one.name: one.role for one in accounts.every(store)}


@pytest.fixture
def cellar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Cellar:
    return Cellar(tmp_path / "cellar.db", monkeypatch)


@pytest.fixture
def ann(cellar: Cellar) -> Cellar:
    assert cellar.ran("new", "Ann", typed=f"{GOOD}\n").code == 0
    return cellar


def test_the_first_line_that_comes_in_is_the_password(cellar: Cellar) -> None:
    ran = cellar.ran("new", "Ann", typed=f"{GOOD}\nand nothing of this\n")
    assert (ran.code, ran.out, ran.err) == (0, "Ann may log in, as a keeper.\n", "")
    assert cellar.checked("Ann", GOOD) is not None
    assert GOOD not in ran.out + ran.err


def test_blanks_of_a_password_count(cellar: Cellar) -> None:
    cellar.ran("new", "Ann", typed=f"  {GOOD} \r\n")
    assert cellar.checked("Ann", f"  {GOOD} ") is not None
    assert cellar.checked("Ann", GOOD) is None


def test_they_are_listed_by_name_and_role(ann: Cellar) -> None:
    ran = ann.ran("new", "Gus", "--role", "guest", "--json", typed=OTHER)
    assert (ran.json["name"], ran.json["role"]) == ("Gus", "guest")
    listed = ann.ran("list").out.splitlines()
    assert [line.split(";")[0] for line in listed] == ["Ann: keeper", "Gus: guest"]
    told = ann.ran("list", "--json").json["accounts"]
    assert [set(one) for one in told] == [{"name", "role", "made_at"}] * 2


def test_none_are_listed_as_none(tmp_path: Path, cellar: Cellar) -> None:
    with Store.open(str(cellar.path)):
        pass
    assert "ullage account new NAME makes one" in cellar.ran("list").out
    assert cellar.ran("list", "--json").json == {"accounts": []}


def test_a_role_is_changed(ann: Cellar) -> None:
    ann.ran("new", "Gus", "--role", "guest", typed=OTHER)
    assert ann.ran("role", "Gus", "helper").out == "Gus is a helper now.\n"
    assert ann.ran("role", "Gus", "keeper", "--json").json["role"] == "keeper"
    assert ann.names() == {"Ann": "keeper", "Gus": "keeper"}


def test_a_password_is_changed(ann: Cellar) -> None:
    assert "logged out everywhere" in ann.ran("password", "Ann", typed=OTHER).out
    assert ann.checked("Ann", GOOD) is None
    assert ann.checked("Ann", OTHER) is not None
    assert ann.ran("password", "Ann", "--json", typed=GOOD).json["name"] == "Ann"


def test_one_is_removed(ann: Cellar) -> None:
    ann.ran("new", "Gus", typed=OTHER)
    assert ann.ran("remove", "Gus").out == "Gus may log in no more.\n"
    ann.ran("new", "Gus", typed=OTHER)
    assert ann.ran("remove", "Gus", "--json").json == {"removed": "Gus"}
    assert ann.names() == {"Ann": "keeper"}


@pytest.mark.parametrize(
    ("words", "typed", "told"),
    [
        (("new", "Ann"), OTHER, "an account is called Ann already"),
        (("new", "Bob"), "short", "8 characters at least"),
        (("new", "Bob"), "", "8 characters at least"),
        (("new", "Bob"), "password1", "will not do"),
        (("new", "Bob"), "x" * 300, "256 characters at most"),
        (("new", "  "), OTHER, "is no name"),
        (("new", "Bo\nb"), OTHER, "is no name"),
        (("new", "Bob", "--role", "king"), OTHER, "write one of keeper, helper, guest"),
        (("role", "Ann", "guest"), "", "Ann is the last keeper"),
        (("role", "Bob", "guest"), "", "no account is called Bob; there are: Ann"),
        (("role", "Ann", "king"), "", "is no role"),
        (("password", "Bob"), OTHER, "no account is called Bob"),
        (("password", "Ann"), "12345678", "will not do"),
        (("remove", "Ann"), "", "last keeper"),
        (("remove", "Bob"), "", "no account is called Bob"),
        (("new",), "", "name"),
        (("role", "Ann"), "", "may"),
        (("promote", "Ann"), "", "promote"),
    ],
)
def test_a_mistake_is_one_line_and_changes_nothing(
    ann: Cellar, words: tuple[str, ...], typed: str, told: str
) -> None:
    assert_refused(ann.ran(*words, typed=typed), told)
    assert ann.names() == {"Ann": "keeper"}
    assert ann.checked("Ann", GOOD) is not None


def test_what_is_no_text_is_no_password(ann: Cellar) -> None:
    (ann.path.parent / "bytes").write_bytes(b"\xff\xfe and a long river\n")
    with (ann.path.parent / "bytes").open("rb") as typed:
        ran = process("account", "new", "Bob", "--store", str(ann.path), stdin=typed)
    assert_refused(ran, "no text in UTF-8")
    assert ann.names() == {"Ann": "keeper"}


def test_at_a_terminal_it_is_asked_for_twice(ann: Cellar, monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr(sys, "stdin", Terminal())
    typed = iter([OTHER, OTHER, OTHER, GOOD])
    monkeypatch.setattr(account_module, "getpass", lambda _: next(typed))
    assert ullage("account", "new", "Bob", "--store", str(ann.path)).code == 0
    assert_refused(ullage("account", "new", "Eve", "--store", str(ann.path)), "differ")
    assert ann.names() == {"Ann": "keeper", "Bob": "keeper"}


def test_where_there_is_no_log_only_new_makes_one(cellar: Cellar) -> None:
    for words in (("list",), ("password", "Ann"), ("role", "Ann", "guest"), ("remove", "Ann")):
        assert_refused(cellar.ran(*words, typed=GOOD), "there is no log")
        assert not cellar.path.exists()


@pytest.mark.parametrize("scope", ["samples", "read", "record"])
def test_a_token_is_made_for_a_scope(ann: Cellar, scope: str) -> None:
    store = ("--store", str(ann.path))
    told = ullage("token", "new", "phone", "--scope", scope, "--json", *store).json
    assert told["scope"] == scope
    assert told["token"].startswith("ullage_")
    assert ullage("token", "list", "--json", *store).json["tokens"][0]["scope"] == scope
    assert_refused(ullage("token", "new", "x", "--scope", "all", *store), "samples, read, record")
