"""The log at work: how the cellar stands over a long and a short log, and an import's speed."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from benchmarks.report import Row
from benchmarks.timing import Task, Timed, interleaved
from benchmarks.year import FIRST_DAY, year
from ullage.cellar.batch import COLUMNS
from ullage.cellar.events import Event
from ullage.cellar.other_events import HouseholdSet
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.cellar.transfer import export, import_
from ullage.plan.status import status_of
from ullage.plan.upkeep_now import upkeep_now

DAYS = 365
TIMES_LONGER: Final = 10
IMPORTED = 10_000
_INSERT: Final = (
    f"INSERT INTO event ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})"
)


def log_rows(repeats: int) -> list[Row]:
    """Both bars, each within one run."""
    with TemporaryDirectory() as folder:
        return [*standing_rows(repeats, Path(folder)), import_row(repeats, Path(folder))]


def standing_rows(repeats: int, folder: Path) -> list[Row]:
    """The state query over a year's log, and over one ten times longer that ends in that year.

    Each store is asked once before: with no milestone yet, the whole log is replayed.
    """
    last = year(DAYS)
    before = year((TIMES_LONGER - 1) * DAYS, until=FIRST_DAY, seed=5)
    now = last[-1].at + timedelta(hours=1)
    with (
        Store.open(str(folder / "short.db")) as short,
        Store.open(str(folder / "long.db")) as long,
    ):
        short.append(last)
        long.append([*before, *_carried_on(last)])
        counts = short.count(), long.count()
        few, many = interleaved(
            (
                Task(f"how the cellar stands, {counts[0]:,} events", partial(_ask, short, now), 5),
                Task(f"how the cellar stands, {counts[1]:,} events", partial(_ask, long, now), 5),
            ),
            repeats,
        )
    what = f"state query, a log {counts[1] / counts[0]:.1f} times longer"
    return [Row(what, many.middle / few.middle, "at most", 1.2, "×", (few, many))]


def import_row(repeats: int, folder: Path) -> Row:
    """An import, checked as always, against a bare insertion of the same rows: the best of each."""
    events = year(IMPORTED // 8)[:IMPORTED]
    exported, rows = _exported(events, folder / "source.db")
    with _fresh(folder, "bare", repeats + 1) as bare, _fresh(folder, "import", repeats + 1) as ours:
        plain, checked = interleaved(
            (
                Task(f"{IMPORTED:,} events by a bare INSERT", lambda: _insert(next(bare), rows)),
                Task(
                    f"{IMPORTED:,} events by import",
                    lambda: import_(next(ours), io.BytesIO(exported)),
                ),
            ),
            repeats,
        )
    share = _best(plain) / _best(checked)
    return Row("import's speed over a bare INSERT", share, "at least", 0.5, "×", (plain, checked))


def _ask(store: Store, now: datetime) -> object:
    stands = standing(store, now)
    return status_of(stands, upkeep_now(store, stands, lambda: None))


def _carried_on(events: Sequence[Event]) -> list[Event]:
    """A year after years: the kegs and the cylinder are there already."""
    begun = {"place_set", "cylinder_connected", "keg_acquired"}
    return [one for one in events if one.kind not in begun and not isinstance(one, HouseholdSet)]


def _exported(events: Sequence[Event], file: Path) -> tuple[bytes, list[tuple[object, ...]]]:
    """The export of a store with these events, and the rows it has."""
    written = io.BytesIO()
    with Store.open(str(file)) as store:
        store.append(events)
        export(store, written)
    with closing(sqlite3.connect(file)) as connection:
        asked = f"SELECT {', '.join(COLUMNS)} FROM event ORDER BY position"
        return written.getvalue(), connection.execute(asked).fetchall()


@contextmanager
def _fresh(folder: Path, name: str, count: int) -> Iterator[Iterator[Store]]:
    """Empty stores, made before anything is timed."""
    with ExitStack() as stack:
        opened = [
            stack.enter_context(Store.open(str(folder / f"{name}-{number}.db")))
            for number in range(count)
        ]
        yield iter(opened)


def _insert(store: Store, rows: Sequence[tuple[object, ...]]) -> None:
    """The rows in one transaction, as safe against a power cut as the store's own."""
    with closing(sqlite3.connect(store.where)) as connection:
        connection.execute("PRAGMA synchronous=FULL")
        with connection:
            connection.executemany(_INSERT, rows)


def _best(one: Timed) -> float:
    return min(one.seconds)
