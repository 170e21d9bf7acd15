"""Books for tests: over a made-up answer, over a failing one, over a fresh store with the demo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from tests.draw import samples
from ullage.cellar.store import Store
from ullage.plan.answers import WholeAnswer
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.system.demo import demo_system, demo_text
from ullage.web.book import Book, Present

NOW = samples.START
"""What counts as now in tests of pages: Thursday 26 November 2026, 18:00 at UTC-6."""


def at_start() -> datetime:
    """A clock that stands still at `NOW`, in the zone of this machine."""
    return NOW.astimezone()


def fresh(folder: Path, clock: Callable[[], datetime] = at_start) -> Book:
    """A book over an empty store."""
    return Book(Store.open(str(folder / "ullage.db")), clock)


def with_demo(folder: Path, clock: Callable[[], datetime] = at_start) -> Book:
    """A book over a store that begins with the demo."""
    book = fresh(folder, clock)
    day = NOW.date()
    book.store.put_document(SYSTEM_DOCUMENT, demo_text(day))
    book.record(*first_events(demo_system(day), clock()))
    return book


class AnswerOf(Present):
    """The present with another answer to the whole of it."""

    def __init__(self, like: Present, ask: Callable[[], WholeAnswer]) -> None:
        super().__init__(like.described, like.log, like.standing)
        self._ask = ask

    @property
    def answer(self) -> WholeAnswer:
        """What was made up."""
        return self._ask()


class MadeUp(Book):
    """A book of the demo whose whole answer is made up (or raises)."""

    def __init__(self, like: Book, ask: Callable[[], WholeAnswer]) -> None:
        super().__init__(like.store, like.clock)
        self._ask_whole = ask

    def present(self) -> Present:
        """The present with the made-up answer."""
        return AnswerOf(super().present(), self._ask_whole)
