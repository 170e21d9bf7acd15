"""The system file: TOML in, a `System` out, or one clear line that says what is wrong and where."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path as FilePath
from typing import Any, Final

from pydantic import ValidationError

from ullage.errors import SystemFileError
from ullage.system.complaints import Complaint, complaints
from ullage.system.locate import line_of, lines_of
from ullage.system.model import System
from ullage.system.quantities import FROM_FILE

LARGEST_FILE: Final = 200_000
"""Bytes; a system file is a few thousand."""

LONGEST_LINE: Final = 2_000
"""Letters; a longer line is no work of a hand, and a key as long as that takes seconds to read."""


def load_system(path: str | PathLike[str]) -> System:
    """Read the system file at `path`. Raises `SystemFileError`: one line, whatever is wrong."""
    source = str(path)
    return parse_system(_decoded(_read(FilePath(path), source), source), source)


def parse_system(text: str, source: str = "system file") -> System:
    """Make a system of the text of a system file; `source` names it in errors.

    Raises `SystemFileError` with the line, the key, the value and what is expected there; when
    more than one thing is wrong, the first in the file, and how many more.
    """
    _check_size(text, source)
    data = _toml(text, source)
    try:
        return System.model_validate(data, context={FROM_FILE: True}, by_alias=True, by_name=False)
    except ValidationError as error:
        raise _first(complaints(error, data), text, source) from None


def _read(path: FilePath, source: str) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _error(source, "there is no such file") from None
    except IsADirectoryError:
        raise _error(source, "this is a folder; name the system file in it") from None
    except PermissionError:
        raise _error(source, "the file may not be read (permission denied)") from None
    except (OSError, ValueError) as error:
        raise _error(source, f"the file cannot be read ({error})") from None
    if len(content) > LARGEST_FILE:
        raise _error(source, f"too large for a system file (more than {LARGEST_FILE:,} bytes)")
    return content


def _decoded(content: bytes, source: str) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _error(source, "not a text in UTF-8, so no system file", line) from None
    if "\x00" in text:
        raise _error(source, "not a text but binary data, so no system file")
    return text


def _check_size(text: str, source: str) -> None:
    if len(text) > LARGEST_FILE:
        raise _error(source, f"too large for a system file (more than {LARGEST_FILE:,} letters)")
    if not text.strip():
        raise _error(source, 'empty; a system file starts with name = "…"')
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise _error(source, f"a line of more than {LONGEST_LINE:,} letters", number)


def _toml(text: str, source: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _error(source, "lists or tables within each other too deep to be read") from None
    except ValueError as error:
        what, line = _syntax(str(error), text)
        raise _error(source, f"not valid TOML: {what}", line) from None


def _syntax(message: str, text: str) -> tuple[str, int | None]:
    """Return the reader's complaint in our words, and the line it is about."""
    at = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", message)
    what = message[: at.start()] if at else message
    line = int(at[1]) if at and at[1] else text.rstrip().count("\n") + 1
    if what == "Cannot overwrite a value":
        what = "this key is given twice"
    if twice := re.fullmatch(r"Cannot declare \('(\w+)',\) twice", what):
        what = f"[{twice[1]}] is given twice; write [[{twice[1]}]], in double brackets, for each"
    return what, line if at else None


@dataclass(frozen=True, slots=True)
class _Placed:
    line: int
    complaint: Complaint


def _first(found: list[Complaint], text: str, source: str) -> SystemFileError:
    lines: Mapping[tuple[str | int, ...], int] = lines_of(text)
    placed = [_Placed(line_of(each.path, lines) or 0, each) for each in found]
    first = min(placed, key=lambda each: each.line)
    more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
    return _error(source, f"{first.complaint.text}{more}", first.line or None)


def _error(source: str, message: str, line: int | None = None) -> SystemFileError:
    where = f"{source}, line {line}" if line else source
    text = f"{where}: {message}"
    return SystemFileError("".join(each if each.isprintable() else " " for each in text))
