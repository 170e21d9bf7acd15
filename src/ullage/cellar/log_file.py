"""Reading the file that a store is exported to."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import cache
from hashlib import sha256
from typing import Annotated, BinaryIO, Final, Literal

from pydantic import Field, TypeAdapter, ValidationError

from ullage.cellar.batch import Batch
from ullage.cellar.documents import Document
from ullage.cellar.events import Event, from_json
from ullage.errors import EventError

FORMAT: Final = "ullage-log"
VERSION: Final = 1
_AT_ONCE: Final = 1000
_LINE: Final = re.compile(
    r'^\{"number":([1-9][0-9]{0,17}),'
    r'"recorded_at":"([0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z)",'
    r'"event":(\{.*\})\}$',
    re.MULTILINE,
)


@dataclass(frozen=True, slots=True)
class Exported:
    """What a file holds: how many events and versions of documents, and its SHA-256 in hex."""

    events: int
    documents: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Log:
    """An export being read: its events come in batches, each checked as it is asked for.

    Whether the file is whole is known only when the last has come.
    """

    documents: tuple[Document, ...]
    batches: Iterator[Batch]


def compact(fields: dict[str, object]) -> str:
    """Return a line of JSON as the format has it, without its end."""
    return json.dumps(fields, ensure_ascii=False, separators=(",", ":"))


def header() -> str:
    """Return the first line of an export."""
    return compact({"format": FORMAT, "version": VERSION})


def footer(done: Exported) -> str:
    """Return the last line of an export."""
    return compact({"end": FORMAT, **asdict(done)})


def read(file: BinaryIO) -> Log:
    """Begin to read an export. Raises `EventError` with the line that is wrong, here or later."""
    data = file.read()
    lines = _lines(data)
    _check_header(lines[0])
    if not lines[-1].startswith('{"end":'):
        raise EventError(
            f"line {len(lines)}: an export has another last line: "
            "this one was cut short or added to; export it anew"
        )
    documents = _documents(lines[1:-1])
    return Log(documents, _batches(data, lines, len(documents)))


def _batches(data: bytes, lines: Sequence[str], documents: int) -> Iterator[Batch]:
    """Yield the events of an export after its documents. Raises `EventError` if it is not whole."""
    begin, end = 1 + documents, len(lines) - 1
    for start in range(begin, end, _AT_ONCE):
        numbers, times, bodies = _columns(lines[start : min(start + _AT_ONCE, end)], start + 1)
        batch = Batch(start + 1)
        batch.add(_validated(bodies, start + 1), bodies, times, map(int, numbers))
        yield batch
    found = Exported(end - begin, documents, _digest(data))
    if lines[end] != footer(found):
        raise EventError(
            f"line {len(lines)}: the lines before are not those that were exported "
            f"({found.events} events): the file was changed or is damaged; export it anew"
        )


def _lines(data: bytes) -> list[str]:
    try:
        text = data.decode()
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise EventError(f"line {line}: no text in UTF-8; this is no export of a log") from None
    return text.removesuffix("\n").split("\n")


def _digest(data: bytes) -> str:
    """Return the SHA-256 of all lines but the last."""
    return sha256(data[: data.removesuffix(b"\n").rfind(b"\n") + 1]).hexdigest()


def _check_header(line: str) -> None:
    try:
        found = json.loads(line)
        known, version = found["format"] == FORMAT, found["version"]
    except (ValueError, TypeError, KeyError, RecursionError):
        known, version = False, None
    if not known:
        raise EventError(f"line 1: no export of a log: it should read {header()}")
    if version != VERSION:
        raise EventError(
            f"line 1: this file has version {str(version)[:20]} of the format, "
            f"this Ullage reads {VERSION}: install the newest release"
        )


def _documents(lines: Sequence[str]) -> tuple[Document, ...]:
    """Return the documents that the lines after the first begin with."""
    found: list[Document] = []
    for number, line in enumerate(lines, 2):
        if not line.startswith('{"document":'):
            break
        try:
            found.append(_document().validate_json(line, strict=True)["document"])
        except ValidationError:
            raise EventError(f"line {number}: no document of an export") from None
    return tuple(found)


def _columns(lines: Sequence[str], first: int) -> tuple[tuple[str, ...], ...]:
    """Return the numbers, times of recording and events of lines, as they are written."""
    found = _LINE.findall("\n".join(lines))
    if len(found) != len(lines):
        wrong = next(index for index, line in enumerate(lines) if not _LINE.fullmatch(line))
        raise EventError(
            f"line {first + wrong}: no event: it should read "
            '{"number":1,"recorded_at":"…","event":{…}}'
        )
    columns = tuple(zip(*found, strict=True))
    _check_times(columns[1], first)
    return columns


def _check_times(times: Sequence[str], first: int) -> None:
    done = 0
    try:
        for done, recorded_at in enumerate(times):  # noqa: B007 (named in the message)
            datetime.fromisoformat(recorded_at)
    except ValueError:
        raise EventError(f"line {first + done}: recorded_at: no such moment") from None


def _validated(bodies: Sequence[str], first: int) -> Sequence[Event]:
    """Return events from their JSON; the first stands in that line of the file.

    All are read as one array, which is quicker. Since no text of JSON holds a bare line break, and
    no event holds an array, each body is one whole event if there are as many events as bodies.
    """
    try:
        found = _array().validate_json("[" + ",\n".join(bodies) + "]")
    except ValidationError:
        found = []
    if len(found) == len(bodies):
        return found
    return [_event(body, number) for number, body in enumerate(bodies, first)]


def _event(body: str, number: int) -> Event:
    try:
        return from_json(body)
    except EventError as error:
        raise EventError(f"line {number}: {error}") from None


@cache
def _array() -> TypeAdapter[list[Event]]:
    return TypeAdapter(list[Annotated[Event, Field(discriminator="kind")]])


@cache
def _document() -> TypeAdapter[dict[Literal["document"], Document]]:
    return TypeAdapter(dict[Literal["document"], Document])
