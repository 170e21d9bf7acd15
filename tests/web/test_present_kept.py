"""What a page works out of one moment is worked out once, however many ask for it at once."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from ullage.errors import OutOfRange
from ullage.web.book import Book

ASKERS = 4
PATIENCE_S = 30.0


def test_of_many_who_ask_at_once_one_works_it_out(book: Book) -> None:
    present, made = book.present(), []
    begun, go_on = threading.Event(), threading.Event()

    def make() -> int:
        made.append(1)
        begun.set()
        assert go_on.wait(PATIENCE_S)
        return len(made)

    with ThreadPoolExecutor(ASKERS) as askers:
        done = [askers.submit(present.kept, "slow", make) for _ in range(ASKERS)]
        assert begun.wait(PATIENCE_S)
        assert present.kept("quick", lambda: "at once") == "at once"  # others do not wait for it
        go_on.set()
        assert [one.result(PATIENCE_S) for one in done] == [1] * ASKERS


def test_what_could_not_be_worked_out_is_tried_again(book: Book) -> None:
    present = book.present()

    def fail() -> int:
        raise OutOfRange("too warm")

    with pytest.raises(OutOfRange):
        present.kept("odd", fail)
    assert present.kept("odd", lambda: 7) == 7


def test_what_is_worked_out_may_need_something_else(book: Book) -> None:
    present = book.present()
    assert present.kept("outer", lambda: present.kept("inner", lambda: 2) + 1) == 3
