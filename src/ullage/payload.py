"""What a sensor says, read at the edge: a number or a quantity, bare or within JSON, and when.

A message is a number (`21.35`), a quantity (`4.2 degC`), or JSON in which ways of names parted by
dots lead to both (`weight.gross`, `readings.0.at`). Nothing here knows what the number is of.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final, NoReturn

from ullage.errors import UnitError
from ullage.units import shown

LONGEST_MESSAGE: Final = 10_000
"""Bytes; a reading has a few."""
MILLISECONDS_FROM: Final = 1e11
"""A count since 1970 from here on is one of milliseconds: as seconds it would be the year 5138."""


@dataclass(frozen=True, slots=True)
class Said:
    """A reading as it was said: a bare number or a text, and its own moment, if it told one."""

    value: float | str
    at: datetime | None = None


def read_message(message: bytes, value: str | None = None, time: str | None = None) -> Said:
    """Read a sensor's message. `value`, `time`: ways to both, where it is JSON.

    Raises `UnitError` that says what was wrong and what would be right.
    """
    text = _decoded(message)
    if value is None and time is None:
        return Said(_bare(text))
    told = _json(text)
    at = None if time is None else read_moment(_at_way(told, time))
    return Said(_value(told if value is None else _at_way(told, value)), at)


def read_moment(told: object) -> datetime:
    """A moment: ISO 8601 with its offset, or seconds (or milliseconds) since 1970 began, UTC.

    Raises `UnitError`.
    """
    if isinstance(told, str):
        try:
            found = datetime.fromisoformat(told)
        except ValueError:
            raise _no_moment(told) from None
        if found.utcoffset() is None:
            raise UnitError(
                f"{shown(told)} has no offset from UTC; write 2026-03-01T18:30:00+01:00"
            )
        return found
    if isinstance(told, bool) or not isinstance(told, int | float):
        raise _no_moment(told)
    try:
        seconds = told / 1000.0 if abs(told) >= MILLISECONDS_FROM else float(told)
        return datetime.fromtimestamp(seconds, UTC)
    except (OverflowError, ValueError, OSError):
        raise _no_moment(told) from None


def _decoded(message: bytes) -> str:
    if len(message) > LONGEST_MESSAGE:
        raise UnitError(f"more than {LONGEST_MESSAGE:,} bytes are no reading")
    try:
        return message.decode().strip("\x00 \t\r\n")
    except UnicodeDecodeError:
        raise UnitError("no text in UTF-8; send a number such as 21.35") from None


def _bare(text: str) -> str:
    if not text:
        raise UnitError("an empty message; send a number such as 21.35")
    if text.startswith(("{", "[")):
        raise UnitError(
            f"{shown(text)} is JSON; say with value in the system file where its number stands"
        )
    return text


def _json(text: str) -> Any:
    try:
        return json.loads(text, parse_constant=_refuse)
    except (ValueError, RecursionError):
        raise UnitError(f'{shown(text)} is not JSON, such as {{"weight": 21.35}}') from None


def _refuse(constant: str) -> NoReturn:
    raise ValueError(constant)


def _at_way(told: Any, way: str) -> object:
    for name in way.split("."):
        if isinstance(told, dict) and name in told:
            told = told[name]
        elif isinstance(told, list) and name.isascii() and name.isdigit() and int(name) < len(told):
            told = told[int(name)]
        else:
            raise UnitError(f"there is no {shown(way)} in the message")
    found: object = told
    return found


def _value(told: object) -> float | str:
    if isinstance(told, str):
        return _bare(told.strip())
    if isinstance(told, bool) or not isinstance(told, int | float):
        raise UnitError(f"{shown(str(told))} is no number")
    try:
        number = float(told)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise UnitError(f"{shown(str(told)[:200])} is not a number that can be used")
    return number


def _no_moment(told: object) -> UnitError:
    return UnitError(
        f"{shown(str(told)[:200])} is no moment; write 2026-03-01T18:30:00+01:00, or the seconds "
        "since 1970 began"
    )
