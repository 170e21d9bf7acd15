"""A new version of the system file: kept, and what it says anew written down; both or neither."""

from __future__ import annotations

from dataclasses import dataclass

from ullage.cellar.events import Event
from ullage.errors import UllageError
from ullage.plan.amend import Change, amendments
from ullage.plan.begin import SOURCE, SYSTEM_DOCUMENT
from ullage.plan.present import NAMELESS
from ullage.system.file import parse_system
from ullage.system.model import System
from ullage.web.book import Book


@dataclass(frozen=True, slots=True)
class SavedSystem:
    """The number of the version that is kept now, and the events that came of it."""

    version: int
    events: tuple[Event, ...]


def save_system(book: Book, text: str, expected: int) -> SavedSystem:
    """Keep a text as the next version of the system file.

    `expected`: the version that was read before (0: there was none). Raises `SystemFileError` with
    the line that is wrong, `Conflict` where there is a newer version, `EventError` where what the
    file says cannot be: then nothing is changed.
    """
    before, _ = book.system_text()
    present = book.present()
    after = parse_system(text, SOURCE)
    change = Change(present.described or System(name=NAMELESS), after, present.log, present.state)
    version = book.store.put_document(SYSTEM_DOCUMENT, text, expected)
    try:
        done = book.record(*amendments(change, book.clock()))
    except UllageError:
        if before:
            book.store.put_document(SYSTEM_DOCUMENT, before)
        raise
    return SavedSystem(version, done.events)
