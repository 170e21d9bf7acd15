"""Serving a store: on loopback as it is, elsewhere only behind a login or where that is told."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from ullage.cellar import accounts
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web.book import Book
from ullage.web.serve import Serving, gate_of, serve_store

PASSWORD = "barley and a long river"
OTHERS = ("0.0.0.0", "192.168.1.2", "example.com", "::")


@pytest.mark.parametrize("host", OTHERS)
def test_what_others_can_reach_is_refused_while_nobody_has_an_account(
    book: Book, host: str
) -> None:
    with pytest.raises(UllageError, match="nobody has an account yet: make one"):
        serve_store(book.store, "the demo", Serving(host, 0))


@pytest.mark.parametrize("host", OTHERS)
def test_with_an_account_there_is_a_gate_and_no_code(book: Book, host: str) -> None:
    accounts.make(book.store, "Ann", PASSWORD, "keeper")
    gate = gate_of(book, Serving(host))
    assert gate is not None
    assert gate.code == ""


def test_on_loopback_there_is_none_unless_it_is_wanted(book: Book) -> None:
    accounts.make(book.store, "Ann", PASSWORD, "keeper")
    for host in ("127.0.0.1", "localhost", "::1", "127.0.0.7"):
        assert gate_of(book, Serving(host)) is None
    assert gate_of(book, Serving(login=True)) is not None


def test_anyone_is_let_in_only_where_that_is_told(book: Book) -> None:
    assert gate_of(book, Serving("0.0.0.0", anyone=True)) is None
    with pytest.raises(UllageError, match="leave one of them out"):
        gate_of(book, Serving("0.0.0.0", anyone=True, login=True))


def test_a_code_is_made_for_the_first_account_alone(book: Book) -> None:
    first = gate_of(book, Serving("0.0.0.0", first_account=True))
    again = gate_of(book, Serving("0.0.0.0", first_account=True))
    assert first is not None
    assert again is not None
    assert len(first.code) == 14
    assert first.code != again.code
    accounts.make(book.store, "Ann", PASSWORD, "keeper")
    later = gate_of(book, Serving("0.0.0.0", first_account=True))
    assert later is not None
    assert later.code == ""


def test_a_port_that_is_taken_is_told(book: Book) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(UllageError, match="choose another with --port"):
            serve_store(book.store, "the demo", Serving(port=taken.getsockname()[1]))


@pytest.mark.parametrize("given", ["certificate", "key"])
def test_https_needs_both_files(book: Book, tmp_path: Path, given: str) -> None:
    file = tmp_path / "one.pem"
    file.write_text("")
    with pytest.raises(UllageError, match="https needs both"):
        serve_store(book.store, "the demo", Serving(port=0, **{given: file}))  # type: ignore[arg-type]


def test_a_file_that_is_not_there_is_named(book: Book, tmp_path: Path) -> None:
    how = Serving(port=0, certificate=tmp_path / "no.pem", key=tmp_path / "no.key")
    with pytest.raises(UllageError, match=r"no\.pem: there is no such file"):
        serve_store(book.store, "the demo", how)


def test_a_pair_that_is_none_is_told_before_a_browser_meets_it(book: Book, tmp_path: Path) -> None:
    one, other = tmp_path / "one.pem", tmp_path / "one.key"
    one.write_text("a shopping list")
    other.write_text("")
    with pytest.raises(UllageError, match="are no certificate and its key"):
        serve_store(book.store, "the demo", Serving(port=0, certificate=one, key=other))


def test_nobody_can_log_in_where_nothing_is_kept() -> None:
    with Store.open("sqlite://") as store, pytest.raises(UllageError) as told:
        gate_of(Book(store), Serving("0.0.0.0"))
    assert "--let-anyone-in" in str(told.value)
    assert "account new" not in str(told.value)


def test_on_loopback_nobody_is_told_of_others(book: Book) -> None:
    with pytest.raises(UllageError, match=r"\Anobody has an account yet: make one"):
        gate_of(book, Serving(login=True))
