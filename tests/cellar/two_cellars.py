"""Two households in one database: what one of them keeps, and what tells that it was touched."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import event, select

from tests.cellar.logs import cellar_log, day
from ullage.cellar import accounts, attempts, samples, sessions, tokens
from ullage.cellar.keg_events import Filled, KegWeighed, Poured
from ullage.cellar.moments import microseconds
from ullage.cellar.other_events import Noted
from ullage.cellar.samples import Sample, Series
from ullage.cellar.samples_marks import Mark, set_mark
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.store import Store
from ullage.cellar.tables import METADATA
from ullage.plan import calendar_address

OURS, THEIRS = "ours", "theirs"
SECRET = "zebra-malt"
"""Stands in whatever the other household keeps, and nowhere in ours."""
PERSON = "Olga"
"""Has an account in the other cellar, and none in ours."""
PASSWORD = "barley and a long river"
NOW = datetime(2026, 11, 26, 18, tzinfo=UTC)
PROBE = Series("probe", "temperature")
SCALE = Series("scale", "weight")


@dataclass(frozen=True)
class Known:
    """What somebody might have got hold of who keeps the other cellar."""

    event: str
    planned: str
    token: str
    session: str
    calendar: str
    events: int


def fill(store: Store, word: str) -> Known:
    """Keep something of every sort in a cellar, all of it bearing a word."""
    log = [
        *cellar_log(),
        Filled(at=day(0), keg="K1", batch=f"{word} ale", volume_m3=0.0189, temperature_k=277.0),
        Poured(at=day(1), keg="K1", volume_m3=4e-4, remark=word),
        KegWeighed(at=day(2), keg="K1", gross_kg=21.5, remark=word),
        Noted(at=day(3), about="K1", text=f"of {word}"),
        Noted(at=NOW + timedelta(days=2), about="K1", text=f"{word} to come", planned=True),
    ]
    store.append(log)
    store.put_document("upkeep of nobody", word)
    assert store.offer_snapshots(Snapshot("nothing", 1, "form", word))
    with store.writing() as connection:
        series = (PROBE, 277.0), (SCALE, 21.0)
        told = [
            Sample(one.source, one.quantity, f"keg:{word}", NOW - timedelta(minutes=m), value)
            for one, value in series
            for m in range(3)
        ]
        samples.keep(connection, store.cellar, told)
        set_mark(connection, store.cellar, PROBE, Mark("word", microseconds(NOW), word))
    accounts.make(store, "Ann", PASSWORD, "keeper")
    accounts.make(store, PERSON if word == SECRET else "Zoe", PASSWORD, "helper")
    attempts.begin(store, "Ann", word, NOW)
    return Known(
        event=log[-3].id,
        planned=log[-1].id,
        token=tokens.make(store, f"{word} token"),
        session=sessions.begin(store, "Ann", NOW),
        calendar=calendar_address.make_secret(store),
        events=len(log),
    )


def rows(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table that is of a cellar."""
    found = {}
    with store.reading() as connection:
        for table in METADATA.sorted_tables:
            asked = select(table).where(table.c.cellar == store.cellar)
            found[table.name] = sorted(map(tuple, connection.execute(asked)), key=repr)
    return found


_TABLE = re.compile(rf"\b({'|'.join(METADATA.tables)})\b")


@contextmanager
def watched(store: Store) -> Iterator[list[str]]:
    """Note each statement that reads or writes a table of ours without keeping to one cellar."""
    loose: list[str] = []
    engine = store._engine

    def look(*told: Any) -> None:
        statement, parameters = str(told[2]), told[3]
        if not _TABLE.search(statement):
            return
        values = parameters.values() if isinstance(parameters, dict) else parameters
        flat = [one for each in values for one in (each if isinstance(each, tuple) else (each,))]
        if "cellar" not in statement or store.cellar not in flat or THEIRS in flat:
            loose.append(f"{statement} {parameters}")

    event.listen(engine, "before_cursor_execute", look)
    try:
        yield loose
    finally:
        event.remove(engine, "before_cursor_execute", look)
