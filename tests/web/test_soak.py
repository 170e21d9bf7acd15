"""A year of a household goes through the pages, two months at a time: no error, and memory grows
by no more than the log does.

The household writes down one glass in twenty, so that a usual run does not take a minute;
`ULLAGE_SOAK_YEARS=5` makes it five years with every glass, for a run by night.
"""

from __future__ import annotations

import gc
import os
import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from benchmarks.served import system_text
from benchmarks.year import FIRST_DAY, year
from starlette.testclient import TestClient

from ullage.cellar.checking import check
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Poured
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.web.app import create_app
from ullage.web.book import Book

YEARS: Final = int(os.environ.get("ULLAGE_SOAK_YEARS", "0"))
DAYS: Final = 365 * max(YEARS, 1)
SETTLED_DAYS: Final = 183
"""By then each page was made often, and whatever is kept of them is full."""
EVERY: Final = 61
AT_ONCE: Final = 45
PATHS: Final = ("/", "/kegs", "/log", "/gas", "/pour", "/upkeep")
MOST_BLOCKS: Final = 120
"""Blocks of Python's own memory that an entry of the log may add, on average: an event in the book
is some thirty, and what is worked out of the log a few times as many."""
MOST_BYTES: Final = 20_000
"""That an entry may add to the memory of the process, arrays and all: some times what its blocks
come to, since a process gives back what it freed by whole pages only."""


class Clock:
    """A clock that the test turns on."""

    def __init__(self) -> None:
        self.at = FIRST_DAY

    def __call__(self) -> datetime:
        return self.at


def test_a_year_through_the_pages_leaks_nothing(tmp_path: Path) -> None:
    log, clock = sorted(_written_down(year(DAYS)), key=lambda one: one.at), Clock()
    with Store.open(str(tmp_path / "year.db")) as store:
        store.put_document(SYSTEM_DOCUMENT, system_text())
        pages = TestClient(create_app(Book(store, clock)), raise_server_exceptions=True)
        done, counted, at_half = 0, 0, (0, 0)
        for day in range(EVERY, DAYS + EVERY, EVERY):
            clock.at = FIRST_DAY + timedelta(days=day)
            some = [one for one in log[done:] if one.at <= clock.at]
            done += len(some)
            sent = [one.model_dump(mode="json", exclude_none=True) for one in some]
            for begin in range(0, len(sent), AT_ONCE):
                answer = pages.post("/api/v1/events", json=sent[begin : begin + AT_ONCE])
                assert answer.status_code == 201, answer.text
                assert pages.get("/api/v1/status").status_code == 200
            for path in PATHS:
                assert pages.get(path).status_code == 200, (path, day)
            if not counted and day >= SETTLED_DAYS:
                counted, at_half = done, _used()
        blocks, size = (now - then for now, then in zip(_used(), at_half, strict=True))
        assert store.count() == done == len(log)
    assert done - counted > 500
    assert blocks / (done - counted) < MOST_BLOCKS
    assert size / (done - counted) < MOST_BYTES
    assert check(str(tmp_path / "year.db")).sound


def _written_down(log: list[Event]) -> list[Event]:
    """The log, or in a usual run one with a glass in twenty."""
    if YEARS:
        return log
    glasses = [one.id for one in log if isinstance(one, Poured)]
    left_out = {*glasses} - {*glasses[::20]}
    return [one for one in log if one.id not in left_out]


def _used() -> tuple[int, int]:
    """Blocks of Python's memory, and bytes of the process's."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return sys.getallocatedblocks(), pages * os.sysconf("SC_PAGE_SIZE")
