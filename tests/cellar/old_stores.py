"""Stores as earlier releases left them: two households, written by the programs of then.

`old_forms/rows.jsonl` holds every row with the form that it came with; ids, moments and hashes are
those that the programs of then made up. The tables are made by the steps up to a form, and filled
by plain SQL.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, text

from ullage.cellar import opening
from ullage.cellar.migrations import steps

ROWS: Final = Path(__file__).parent / "old_forms" / "rows.jsonl"
EARLIER: Final = ("0001", "0002", "0003")
TABLES: Final = (
    "event", "document", "snapshot", "sample", "sample_mark", "token",
    "account", "session", "attempt",
)  # fmt: skip
CELLARS: Final = ("home", "anna")
AT: Final = datetime(2026, 4, 30, 12, tzinfo=UTC)
"""The moment that the answers of then are about."""
SECRET: Final = "ullage_SlrKNaXeB0fSp-68xsoSp-qlazbVOFm8HcA4LMyjLMg"
"""The token of the scale, made up for this."""
PASSWORD: Final = "what froths is 7 taps"
"""Käthe's, made up for this."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table, and the form that the table came with."""

    form: str
    table: str
    row: dict[str, Any]


def rows() -> Iterator[Row]:
    """Every row, in the order they were written."""
    for line in ROWS.read_text(encoding="utf-8").splitlines():
        yield Row(**json.loads(line))


def bodies(cellar: str) -> list[str]:
    """The events of a cellar as they were written, in their order."""
    return [
        one.row["body"] for one in rows() if one.table == "event" and one.row["cellar"] == cellar
    ]


def engine_of(url: str) -> Engine:
    """The database at an address, without anything that the program does on opening it."""
    return create_engine(opening.address(url))


def make(url: str, form: str) -> None:
    """Make a store of a form, with all that a store of that form held."""
    engine = engine_of(url)
    with engine.begin() as connection:
        if engine.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA journal_mode=WAL")
        steps.upgrade(connection, form)
        for one in rows():
            if one.form <= form:
                names = ", ".join(one.row)
                values = ", ".join(f":{name}" for name in one.row)
                asked = f"INSERT INTO {one.table} ({names}) VALUES ({values})"
                connection.execute(text(asked), one.row)
    engine.dispose()


def tables_of(connection: Connection) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table there is, and the form."""
    every = ("ullage_schema", *TABLES)
    there = [one for one in every if _is_there(connection, one)]
    return {
        one: sorted(tuple(row) for row in connection.execute(text(f"SELECT * FROM {one}")))
        for one in there
    }


def _is_there(connection: Connection, table: str) -> bool:
    catalogue = {
        "sqlite": "SELECT count(*) FROM sqlite_master WHERE name = :table",
        "postgresql": "SELECT count(*) FROM pg_tables WHERE tablename = :table",
    }[connection.dialect.name]
    return bool(connection.execute(text(catalogue), {"table": table}).scalar_one())


def held(url: str) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of the store at an address, read without opening it as a store."""
    engine = engine_of(url)
    try:
        with engine.connect() as connection:
            return tables_of(connection)
    finally:
        engine.dispose()
