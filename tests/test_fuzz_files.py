"""Whatever file is brought in, it is taken whole or refused in one line that writes nothing.

`ULLAGE_FUZZ` says how many cases each test tries; left out, a hundred.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import timedelta
from functools import cache
from hashlib import sha256
from itertools import count
from typing import Any, Final

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.events_of_each_kind import AT, EVENTS
from ullage.cellar import readings, transfer
from ullage.cellar.events import from_json, to_json
from ullage.cellar.keg_events import KegAcquired, KegWeighed, Measured
from ullage.cellar.log_file import Exported, footer
from ullage.cellar.other_events import CylinderConnected, CylinderRead
from ullage.cellar.readings import COLUMNS
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.plan.sensed_table import read_table

IN_MEMORY: Final = "sqlite://"
NOW: Final = AT + timedelta(days=30)
SLOW: Final = settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
_NUMBERS: Final = count(1)
VALUES: Final = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=5,
)
MARKS: Final = (
    "", "keg:K1", "9999-12-31T23:59:59Z", "0001-01-01T00:00:00+14:00", "2026-02-30T00:00:00Z",
    "\ud800", "\x00", "x" * 200, "K1\nK2", "keg:", "1e400", "-0", "nan", "38 degF", "12 psi", "1/0",
    "\N{RIGHT-TO-LEFT OVERRIDE}", "٣", "1_000", "0x1F", "poured", "keg_weighed", "gross_weight",
)  # fmt: skip
"""Texts that a field may wrongly hold."""
TEXTS: Final = st.sampled_from(MARKS) | st.text(max_size=30)
ODD: Final = TEXTS | VALUES | st.sampled_from([1e308, -1e308, 2**70, 5e-324])


def refusal_of(take: Callable[[], object]) -> str | None:
    """Why it was refused; only our own error may come."""
    try:
        take()
    except UllageError as wrong:
        return str(wrong)
    return None


def refused_or_taken(store: Store, take: Callable[[], object]) -> None:
    """Refused in one line, and then the store is as it was; else it can be read."""
    before = store.marks()
    said = refusal_of(take)
    if said is None:
        assert store.count() == len(store.read())
        return
    assert store.marks() == before, said
    assert said.encode("utf-8", "backslashreplace").decode().isprintable(), repr(said)


@cache
def _database() -> Store:
    return Store.open(IN_MEMORY)


def empty() -> Store:
    """A cellar in which nothing is written yet."""
    return _database().beside(f"case {next(_NUMBERS)}")


@cache
def exported() -> tuple[str, ...]:
    """The lines of an export of one event of each kind."""
    store, file = empty(), io.BytesIO()
    store.put_document("system", 'name = "Käse & Bier"\n')
    store.append(EVENTS)
    transfer.export(store, file)
    return tuple(file.getvalue().decode().splitlines())


def whole(lines: list[str], documents: int) -> bytes:
    """Lines with a last one that says they are what was exported, so that each is looked at."""
    data = "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogatepass")
    events = max(len(lines) - 1 - documents, 0)
    return data + f"{footer(Exported(events, documents, sha256(data).hexdigest()))}\n".encode()


def brought_in(data: bytes) -> None:
    store = empty()
    refused_or_taken(store, lambda: transfer.import_(store, io.BytesIO(data)))


@given(st.binary(max_size=400))
def test_no_file_breaks_an_import(data: bytes) -> None:
    brought_in(data)


@SLOW
@given(st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=5))
def test_no_byte_changed_breaks_an_import(changes: list[tuple[int, int]]) -> None:
    data = bytearray("\n".join(exported()).encode())
    for place, byte in changes:
        data[place % len(data)] = byte
    brought_in(bytes(data))


@SLOW
@given(st.data())
def test_no_line_changed_breaks_an_import(data: st.DataObject) -> None:
    """The last line is made right again, so that it is not what refuses the file."""
    lines = list(exported()[:-1])
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(lines) - 1))
        what = data.draw(st.sampled_from(("drop", "again", "swap", "field", "text")))
        if what == "drop":
            del lines[at]
        elif what == "again":
            lines.insert(data.draw(st.integers(0, len(lines))), lines[at])
        elif what == "swap":
            lines[at], lines[-1] = lines[-1], lines[at]
        elif what == "field":
            lines[at] = _with_a_field(data, lines[at])
        else:
            lines[at] = data.draw(st.text(max_size=60)).replace("\n", " ")
        if not lines:
            return
    brought_in(whole(lines, data.draw(st.sampled_from((1, 1, 1, 0, 2)))))


def _with_a_field(data: st.DataObject, line: str) -> str:
    try:
        told: Any = json.loads(line)
    except ValueError:
        return line
    inner = told.get("event", told.get("document", told)) if isinstance(told, dict) else None
    if not isinstance(inner, dict) or not inner:
        return line
    where = told if data.draw(st.booleans()) and len(told) > 1 else inner
    where[data.draw(st.sampled_from(sorted(where)))] = data.draw(ODD)
    return json.dumps(told, ensure_ascii=data.draw(st.booleans()), separators=(",", ":"))


@given(st.sampled_from(EVENTS), st.data())
def test_no_field_of_an_event_breaks_its_reading(event: Any, data: st.DataObject) -> None:
    """What is read is written again as it was read."""
    told = json.loads(to_json(event))
    for _ in range(data.draw(st.integers(1, 3))):
        told[data.draw(st.sampled_from([*sorted(told), "planned", "remark", "extra"]))] = data.draw(
            ODD
        )
    said = refusal_of(lambda: from_json(json.dumps(told)))
    if said is None:
        found = from_json(json.dumps(told))
        assert from_json(to_json(found)) == found
    else:
        assert "\n" not in said


def household() -> Store:
    """A store with things to read, and two readings."""
    store = empty()
    store.append(
        [
            KegAcquired(at=AT, keg="K1", keg_kind="ball-lock-5gal", place="fridge"),
            CylinderConnected(at=AT, cylinder="main", size="10 lb"),
            KegWeighed(at=AT + timedelta(days=1), keg="K1", gross_kg=20.0),
            Measured(at=AT + timedelta(days=1), keg="K1", temperature_k=277.0),
            CylinderRead(
                at=AT + timedelta(days=2),
                cylinder="main",
                temperature_k=293.0,
                gauge_pressure_pa=5e6,
            ),
        ]
    )
    return store


def table(rows: list[list[str]]) -> str:
    file = io.StringIO(newline="")
    csv.writer(file).writerows(rows)
    return file.getvalue()


CELLS: Final = TEXTS | st.sampled_from(
    ("2025-03-05T12:00:00+00:00", "keg:K1", "cylinder:main", "keg_weighed", "measured", "kg", "K",
     "gross_weight", "temperature", "cylinder_read", "gauge_pressure", "Pa", "psi", "20", "277")
)  # fmt: skip


@SLOW
@given(st.text(max_size=300))
def test_no_text_breaks_a_table_of_readings(text: str) -> None:
    store = household()
    refused_or_taken(store, lambda: readings.read_readings(store, io.StringIO(text), NOW))


@SLOW
@given(st.lists(st.lists(CELLS, min_size=5, max_size=7), max_size=5), st.booleans())
def test_no_cell_breaks_a_table_of_readings(rows: list[list[str]], headed: bool) -> None:
    text = table([list(COLUMNS), *rows] if headed else rows)
    store = household()
    refused_or_taken(store, lambda: readings.read_readings(store, io.StringIO(text), NOW))


@SLOW
@given(st.text(max_size=300) | st.lists(st.lists(CELLS, max_size=7), max_size=5).map(table))
def test_no_text_breaks_a_table_of_samples(text: str) -> None:
    store = household()
    refused_or_taken(store, lambda: read_table(store, io.StringIO(text), NOW))
