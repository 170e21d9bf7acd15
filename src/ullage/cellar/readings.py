"""Readings as a table for a spreadsheet (CSV), and from one: one row for each number that was read.

Columns: `at` (ISO 8601 with offset), `subject` (`keg:K1`), `kind` (of the event), `quantity`,
`value`, `unit`. Written in SI; read in any unit of the right kind. Rows of one moment, subject and
kind are one event.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, TextIO, TypeAlias

from ullage.cellar.admit import check_time
from ullage.cellar.entries import Stored
from ullage.cellar.events import Event, from_fields, in_order
from ullage.cellar.keg_events import KegWeighed, Measured
from ullage.cellar.known_names import no_such
from ullage.cellar.moments import microseconds
from ullage.cellar.other_events import CylinderRead, CylinderWeighed, Undone
from ullage.cellar.store import Store
from ullage.errors import EventError, UnitError
from ullage.units import Kind, parse

COLUMNS: Final = ("at", "subject", "kind", "quantity", "value", "unit")
Reading: TypeAlias = Measured | KegWeighed | CylinderWeighed | CylinderRead


@dataclass(frozen=True, slots=True)
class _Quantity:
    """The field of an event that a quantity is kept in, what it measures, its SI unit."""

    field: str
    kind: Kind
    unit: str


_TEMPERATURE: Final = _Quantity("temperature_k", Kind.TEMPERATURE, "K")
_GAUGE: Final = _Quantity("gauge_pressure_pa", Kind.PRESSURE, "Pa")
_CONTENTS: Final = _Quantity("contents_kg", Kind.MASS, "kg")
QUANTITIES: Final[dict[str, dict[str, _Quantity]]] = {
    "measured": {
        "temperature": _TEMPERATURE,
        "gauge_pressure": _GAUGE,
        "carbonation": _Quantity("level_vol", Kind.CARBONATION, "vol"),
        "pint_time": _Quantity("pint_s", Kind.DURATION, "s"),
    },
    "keg_weighed": {"gross_weight": _Quantity("gross_kg", Kind.MASS, "kg")},
    "cylinder_weighed": {"contents": _CONTENTS},
    "cylinder_read": {"gauge_pressure": _GAUGE, "temperature": _TEMPERATURE},
}
"""By kind of event: the quantities it may give."""

_SUBJECTS: Final = {
    "measured": "keg",
    "keg_weighed": "keg",
    "cylinder_weighed": "cylinder",
    "cylinder_read": "cylinder",
}


@dataclass(frozen=True, slots=True)
class ReadIn:
    """What reading a table came to: readings written, and those the log had already."""

    written: int
    known: int


@dataclass(slots=True)
class _Group:
    """The rows that make one event: the line of the first, and its numbers by quantity."""

    line: int
    at: datetime
    subject: str
    kind: str
    values: dict[str, float] = field(default_factory=dict)


def write_readings(store: Store, file: TextIO) -> int:
    """Write every reading that stands (not planned, not taken back), oldest first.

    Open `file` with `newline=""`. Returns how many rows were written.
    """
    table = csv.writer(file, lineterminator="\n")
    table.writerow(COLUMNS)
    rows = [row for one in _standing(store) for row in _rows(one)]
    table.writerows(rows)
    return len(rows)


def read_readings(store: Store, file: TextIO, now: datetime) -> ReadIn:
    """Write the readings of a table to the log, all or none; those it has are left out.

    Open `file` with `newline=""`; `now`: what counts as the future. Raises `EventError` with the
    line that is wrong: one that cannot be read, lies ahead, or is of what the cellar has not.
    """
    known = _known(store)
    made = [_checked(group, known, now) for group in _groups(file)]
    here = {_mark(one) for one in _standing(store)}
    new = {_mark(one): one for one in made if _mark(one) not in here}
    store.append(tuple(new.values()))
    return ReadIn(len(new), len(made) - len(new))


def _known(store: Store) -> dict[str, list[str]]:
    """The names of kegs and cylinders that ever came into the cellar."""
    came = store.read(kinds=("keg_acquired", "cylinder_connected", "undone"), planned=False)
    names: dict[str, list[str]] = {"keg": [], "cylinder": []}
    for event in in_order(one.event for one in came):
        names[event.subject_kind].append(event.subject)
    return names


def _checked(group: _Group, known: dict[str, list[str]], now: datetime) -> Reading:
    event = _event(group)
    try:
        check_time(event, now)
    except EventError as wrong:
        raise EventError(f"line {group.line}: at: {wrong}") from None
    if event.subject not in known[event.subject_kind]:
        told = no_such(event.subject_kind, event.subject, known[event.subject_kind])
        raise EventError(f"line {group.line}: subject: {told}")
    return event


def _standing(store: Store) -> list[Reading]:
    found = store.read(kinds=(*QUANTITIES, "undone"), planned=False)
    taken_back = _taken_back(found)
    readings = [
        one.event
        for one in found
        if isinstance(one.event, Reading) and one.event.id not in taken_back
    ]
    return sorted(readings, key=lambda one: one.at)


def _taken_back(found: Iterable[Stored]) -> set[str]:
    """Return the ids of what was undone; an undoing that was itself undone does not count."""
    gone: set[str] = set()
    for one in reversed(tuple(found)):
        if isinstance(one.event, Undone) and one.event.id not in gone:
            gone.add(one.event.event)
    return gone


def _numbers(one: Reading) -> Iterator[tuple[str, float, str]]:
    """Yield each quantity of a reading with its SI value and unit."""
    for name, quantity in QUANTITIES[one.kind].items():
        value: float | None = getattr(one, quantity.field)
        if value is not None:
            yield name, value, quantity.unit


def _rows(one: Reading) -> Iterator[tuple[str, ...]]:
    for name, value, unit in _numbers(one):
        yield one.at.isoformat(), one.stream, one.kind, name, repr(value), unit


def _mark(one: Reading) -> tuple[object, ...]:
    """What two writings of the same reading have in common."""
    return one.stream, one.kind, microseconds(one.at), tuple(_numbers(one))


def _groups(file: TextIO) -> list[_Group]:
    table = csv.reader(file, strict=True)
    groups: dict[tuple[datetime, str, str], _Group] = {}
    try:
        _check_columns(next(table, []))
        for row in table:
            if row:
                _take(groups, row, table.line_num)
    except (csv.Error, UnicodeDecodeError) as error:
        raise EventError(f"line {table.line_num + 1}: no table of readings: {error}") from None
    return list(groups.values())


def _check_columns(row: list[str]) -> None:
    found = tuple(cell.strip().removeprefix("\ufeff").lower() for cell in row)
    if found != COLUMNS:
        raise EventError(f"line 1: the columns should be {', '.join(COLUMNS)}, parted by commas")


def _take(groups: dict[tuple[datetime, str, str], _Group], row: list[str], line: int) -> None:
    """Add a row to the reading it belongs to. Raises `EventError` with its line."""
    if len(row) != len(COLUMNS):
        raise EventError(f"line {line}: {len(row)} cells, not {len(COLUMNS)}")
    at, subject, kind, name, value, unit = (cell.strip() for cell in row)
    quantity = _quantity(kind, name, line)
    when = _moment(at, line)
    group = groups.setdefault((when, subject, kind), _Group(line, when, subject, kind))
    if quantity.field in group.values:
        raise EventError(f"line {line}: {name} of {subject} at {at} is given twice")
    group.values[quantity.field] = _number(value, unit, quantity, line)


def _quantity(kind: str, name: str, line: int) -> _Quantity:
    if kind not in QUANTITIES:
        raise EventError(f"line {line}: kind {kind[:40]!r}: write one of {', '.join(QUANTITIES)}")
    known = QUANTITIES[kind]
    if name not in known:
        raise EventError(f"line {line}: quantity {name[:40]!r}: {kind} has {', '.join(known)}")
    return known[name]


def _moment(text: str, line: int) -> datetime:
    try:
        at = datetime.fromisoformat(text)
        microseconds(at)
    except (ValueError, EventError):
        raise EventError(
            f"line {line}: at {text[:40]!r}: write a moment with its offset from UTC, "
            "such as 2026-03-01T18:30:00+01:00"
        ) from None
    return at


def _number(value: str, unit: str, quantity: _Quantity, line: int) -> float:
    """Return a cell's SI value, to the last digit if it is in SI."""
    try:
        return float(value) if unit == quantity.unit else parse(f"{value} {unit}", quantity.kind)
    except (ValueError, UnitError) as error:
        raise EventError(f"line {line}: {error}") from None


def _event(group: _Group) -> Reading:
    subject_kind, _, name = group.subject.partition(":")
    wanted = _SUBJECTS[group.kind]
    if subject_kind != wanted:
        raise EventError(
            f"line {group.line}: subject {group.subject[:40]!r}: "
            f"write {wanted}:NAME for {group.kind}"
        )
    fields = {"kind": group.kind, "at": group.at, wanted: name, **group.values}
    try:
        return _reading(from_fields(fields))
    except EventError as error:
        raise EventError(f"line {group.line}: {error}") from None


def _reading(event: Event) -> Reading:
    assert isinstance(event, Reading)
    return event
