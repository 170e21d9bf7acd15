"""Samples of sensors as a table (CSV), one a row: to another store, or from a device's own file.

`at,source,subject,value,unit`: `subject` may be empty (what the sensor is of by the system file),
and so may `unit` (a bare number of the sensor, which its scale and offset are applied to). Tables
are written in SI.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from datetime import datetime
from itertools import islice
from typing import Final, TextIO

from ullage.cellar import samples
from ullage.cellar.moments import microseconds
from ullage.cellar.samples import UNITS
from ullage.cellar.store import Store
from ullage.errors import EventError, UnitError
from ullage.plan import sensed
from ullage.plan.sensed import Reading, TakenIn, take_in
from ullage.plan.sensed_facts import Watched
from ullage.system.sensor import THINGS
from ullage.units import parse, shown

COLUMNS: Final = ("at", "source", "subject", "value", "unit")
PORTION: Final = 10_000


def write_table(store: Store, file: TextIO) -> int:
    """Write every sample, sensor by sensor, oldest first. Open `file` with `newline=""`.

    Returns how many rows were written.
    """
    table = csv.writer(file, lineterminator="\n")
    table.writerow(COLUMNS)
    rows = 0
    with store.reading() as connection:
        series = samples.series_of(connection, store.cellar)
    for one in series:
        last = samples.LONG_AGO
        while True:
            with store.reading() as connection:
                some = samples.after(connection, store.cellar, one, last, PORTION)
            unit = UNITS[one.quantity]
            table.writerows(
                (each.at.isoformat(), each.source, each.subject, repr(each.value), unit)
                for each in some
            )
            rows += len(some)
            if len(some) < PORTION:
                break
            last = microseconds(some[-1].at)
    return rows


def read_table(store: Store, file: TextIO, now: datetime, *, facts: bool = False) -> TakenIn:
    """Take a table in. Open `file` with `newline=""`; it is read twice.

    The first time nothing is written: `EventError` names the first line that cannot be read. Then
    it is taken in by portions, and each sample is new, known, or refused by itself. `facts`:
    whether they may tell any, as if they had just come.
    """
    sensors = sensed.sensors_of(store)
    begin = file.tell()
    for _ in _readings(file, sensors):
        pass
    file.seek(begin)
    readings = _readings(file, sensors)
    done = TakenIn()
    while some := list(islice(readings, PORTION)):
        done = done.with_(take_in(store, some, now, facts=facts))
    return done


def _readings(file: TextIO, sensors: Mapping[str, Watched]) -> Iterator[Reading]:
    table = csv.reader(file, strict=True)
    try:
        head = tuple(cell.strip().removeprefix("\ufeff").lower() for cell in next(table, []))
        if head != COLUMNS:
            raise EventError(f"line 1: the columns should be {', '.join(COLUMNS)}")
        for row in table:
            if row:
                yield _reading([cell.strip() for cell in row], table.line_num, sensors)
    except (csv.Error, UnicodeDecodeError) as error:
        raise EventError(f"line {table.line_num + 1}: no table of samples: {error}") from None


def _reading(row: list[str], line: int, sensors: Mapping[str, Watched]) -> Reading:
    if len(row) != len(COLUMNS):
        raise EventError(f"line {line}: {len(row)} cells, not {len(COLUMNS)}")
    at, source, subject, value, unit = row
    if source not in sensors:
        raise EventError(f"line {line}: {sensed.no_sensor(source, sensors)}")
    watched = sensors[source]
    try:
        return Reading(
            source, _moment(at), _si(value, unit, watched), line, _subject(subject, watched)
        )
    except (UnitError, ValueError) as wrong:
        raise EventError(f"line {line}: {wrong}") from None


def _moment(text: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        at = None
    if at is None or at.utcoffset() is None:
        raise UnitError(
            f"at {shown(text)}: write a moment with its offset from UTC, such as "
            "2026-03-01T18:30:00+01:00"
        )
    return at


def _si(value: str, unit: str, watched: Watched) -> float:
    sensor = watched.sensor
    if unit == UNITS[sensor.measures]:
        try:
            return float(value)
        except ValueError:
            raise UnitError(f"{shown(value)} is no number") from None
    return parse(f"{value} {unit}", sensor.kind) if unit else sensor.si_of_text(value)


def _subject(text: str, watched: Watched) -> str:
    """What a sample was of: as told, or as the system file has it."""
    kinds = THINGS[watched.sensor.measures]
    kind, _, name = text.partition(":")
    if text and (kind not in kinds or not name or len(text) > 90 or not text.isprintable()):
        told = " or ".join(f"{one}:NAME" for one in kinds)
        raise UnitError(f"subject {shown(text)}: write {told}, or nothing")
    return text or watched.sensor.of
