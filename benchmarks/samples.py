"""Samples of sensors: the page over a million and over a thousand, and how quickly they go in."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Final

from starlette.testclient import TestClient

from benchmarks.report import Row
from benchmarks.timing import Task, Timed, interleaved
from ullage.cellar import samples
from ullage.cellar.moments import microseconds
from ullage.cellar.samples import COLUMNS, Sample
from ullage.cellar.store import Store
from ullage.plan.begin import begin
from ullage.plan.sensed import Reading, take_in
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.web.app import create_app
from ullage.web.book import Book

NOW: Final = datetime(2026, 3, 2, 20, tzinfo=UTC)
TODAY: Final = 1_000
MANY: Final = 1_000_000
AT_ONCE: Final = 10_000
FILE: Final = (
    demo_text(date(2026, 3, 1))
    + """
[[sensor]]
name = "probe"
of = "place:freezer"
measures = "temperature"
unit = "degC"
writes = true

[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
writes = true
"""
)
_INSERT: Final = (
    f"INSERT INTO sample ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})"
)


def sample_rows(repeats: int, many: int = MANY) -> list[Row]:
    """The bars, each within one run."""
    with TemporaryDirectory() as folder:
        return [
            *page_rows(repeats, Path(folder), many),
            keep_row(repeats, Path(folder)),
            take_in_row(repeats, Path(folder)),
        ]


def page_rows(repeats: int, folder: Path, many: int) -> list[Row]:
    """The sensors' page, and the newest reading, over few samples and over many older ones too."""
    with (
        _begun(folder / "few.db") as few,
        _begun(folder / "many.db") as more,
        TestClient(create_app(Book(few, lambda: NOW))) as small,
        TestClient(create_app(Book(more, lambda: NOW))) as large,
    ):
        for store in (few, more):
            _keep(store, _today())
        for old in _older(many):
            _keep(more, old)
        less, page, short, newest = interleaved(
            (
                Task(f"the page of sensors, {TODAY:,} samples", partial(_ask, small), 3),
                Task(f"the page of sensors, {many + TODAY:,} samples", partial(_ask, large), 3),
                Task(f"newest and today, {TODAY:,} samples", partial(_read, few), 10),
                Task(f"newest and today, {many + TODAY:,} samples", partial(_read, more), 10),
            ),
            repeats,
        )
    what = f"{many / TODAY:,.0f} times the samples"
    return [
        Row(
            f"page of sensors, {what}", page.middle / less.middle, "at most", 1.2, "×", (less, page)
        ),
        Row(
            f"newest and today, {what}",
            newest.middle / short.middle,
            "at most",
            1.2,
            "×",
            (short, newest),
        ),
    ]


def keep_row(repeats: int, folder: Path) -> Row:
    """Samples kept against a bare insertion of the same rows: the best of each."""
    told = next(_older(AT_ONCE))
    rows = [
        ("home", one.source, one.quantity, microseconds(one.at), one.subject, one.value)
        for one in told
    ]
    with _fresh(folder, "bare", repeats + 1) as bare, _fresh(folder, "keep", repeats + 1) as ours:
        plain, kept = interleaved(
            (
                Task(f"{AT_ONCE:,} samples by a bare INSERT", lambda: _insert(next(bare), rows)),
                Task(f"{AT_ONCE:,} samples kept", lambda: _keep(next(ours), told)),
            ),
            repeats,
        )
    share = _best(plain) / _best(kept)
    return Row("keeping samples over a bare INSERT", share, "at least", 0.5, "×", (plain, kept))


def take_in_row(repeats: int, folder: Path) -> Row:
    """Readings taken in whole: checked, kept, followed to the facts they tell."""
    told = [Reading(one.source, one.at, one.value) for one in _today()]
    with _fresh(folder, "whole", repeats + 1, begun=True) as stores:
        (whole,) = interleaved(
            (Task(f"{TODAY:,} readings taken in", lambda: take_in(next(stores), told, NOW)),),
            repeats,
        )
    return Row("readings taken in", TODAY / whole.middle, "at least", 2_000.0, "/s", (whole,))


def _today() -> list[Sample]:
    """Half of each sensor, the last one now; the keg is poured from twice."""
    random, half = Random(3), TODAY // 2
    start = NOW.replace(hour=4)
    step = (NOW - start) / half
    found = []
    for index in range(half):
        at = start + step * (index + 1)
        cold, weight = 277.0 + random.gauss(0.0, 0.2), 21.0 - 0.4 * (3 * index // half)
        found.append(Sample("probe", "temperature", "place:freezer", at, cold))
        found.append(Sample("K1 scale", "weight", "keg:K1", at, weight + random.gauss(0.0, 0.01)))
    return found


def _older(many: int) -> Iterator[list[Sample]]:
    """Older samples of one sensor, one each five seconds, in portions."""
    random, end = Random(4), NOW - timedelta(days=1)
    for begin_at in range(0, many, AT_ONCE):
        yield [
            Sample(
                "probe",
                "temperature",
                "place:freezer",
                end - timedelta(seconds=5 * (many - index)),
                277.0 + random.gauss(0.0, 0.2),
            )
            for index in range(begin_at, min(begin_at + AT_ONCE, many))
        ]


def _ask(client: TestClient) -> None:
    assert client.get("/readings").status_code == 200


def _read(store: Store) -> None:
    series = samples.Series("probe", "temperature")
    midnight = NOW.replace(hour=0)
    with store.reading() as connection:
        samples.latest(connection, store.cellar, series)
        samples.between(connection, store.cellar, series, midnight, NOW)
        samples.buckets(connection, store.cellar, series, midnight, timedelta(minutes=10))


def _keep(store: Store, told: Sequence[Sample]) -> None:
    with store.writing() as connection:
        samples.keep(connection, store.cellar, told)


def _insert(store: Store, rows: Sequence[tuple[object, ...]]) -> None:
    """The rows in one transaction, as safe against a power cut as the store's own."""
    with closing(sqlite3.connect(store.where)) as connection:
        connection.execute("PRAGMA synchronous=FULL")
        with connection:
            connection.executemany(_INSERT, rows)


@contextmanager
def _begun(file: Path) -> Iterator[Store]:
    with Store.open(str(file)) as store:
        begin(store, parse_system(FILE), FILE, NOW - timedelta(days=2), NOW)
        yield store


@contextmanager
def _fresh(
    folder: Path, name: str, count: int, *, begun: bool = False
) -> Iterator[Iterator[Store]]:
    """Stores made before anything is timed."""
    made = _begun if begun else lambda file: Store.open(str(file))
    with ExitStack() as stack:
        opened = [
            stack.enter_context(made(folder / f"{name}-{number}.db")) for number in range(count)
        ]
        yield iter(opened)


def _best(one: Timed) -> float:
    return min(one.seconds)
