"""On which line of a TOML text does a key stand? The standard reader does not say.

Works on text that the standard reader has accepted, so it checks nothing: it walks over strings,
lists and tables and notes the line of every key, list item and table header.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from contextlib import suppress
from typing import Final

Path = tuple[str | int, ...]

_BLANK: Final = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR: Final = re.compile(r"[^,\]}\n#]+")
_STRING: Final = re.compile(
    r'"""(?:[^\\"]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^\\"\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


class _LostError(Exception):
    """The text is not what the walk expected: what was found up to here stands."""


def lines_of(text: str) -> Mapping[Path, int]:
    """Return the line number, from 1, of each key, list item and table header by its path.

    >>> lines_of('a = 1\\n[[keg]]\\nname = "K1"\\n')[("keg", 0, "name")]
    3
    """
    walk = _Walk(text.replace("\r\n", "\n"))
    with suppress(_LostError, RecursionError):
        walk.document()
    return walk.lines


def line_of(path: Path, lines: Mapping[Path, int]) -> int | None:
    """Return the line of a path, or of the nearest thing that encloses it; `None` for neither."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self._last: dict[Path, int] = {}  # the newest index of each array of tables
        self._breaks = [match.start() for match in re.finditer("\n", text)]

    def document(self) -> None:
        table: Path = ()
        self._pass(_BLANK)
        while self.at < len(self.text):
            if self._next_is("["):
                table = self._header()
            else:
                self._pair(table)
            self._pass(_BLANK)

    def _header(self) -> Path:
        start, opening = self.at, "[[" if self._next_is("[[") else "["
        self.at += len(opening)
        keys = self._key()
        self._expect("]" * len(opening))
        path: Path = ()
        for key in keys[:-1]:
            path = (*path, key)
            self._note(path, start)
            path = self._entered(path)
        path = (*path, keys[-1])
        if opening == "[[":
            self._note(path, start)
            self._last[path] = self._last.get(path, -1) + 1
            path = self._entered(path)
        self._note(path, start)
        return path

    def _entered(self, path: Path) -> Path:
        return (*path, self._last[path]) if path in self._last else path

    def _pair(self, table: Path) -> None:
        start, path = self.at, table
        for key in self._key():
            path = (*path, key)
            self._note(path, start)
        self._expect("=")
        self._pass(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        if self._next_is("["):
            self._list(path)
        elif self._next_is("{"):
            self._inline_table(path)
        else:
            self._take(_STRING if self._next_is(('"', "'")) else _SCALAR)

    def _list(self, path: Path) -> None:
        self._expect("[")
        index = 0
        while not self._closes("]"):
            self._note((*path, index), self.at)
            self._value((*path, index))
            index += 1

    def _inline_table(self, path: Path) -> None:
        self._expect("{")
        while not self._closes("}"):
            self._pair(path)

    def _closes(self, bracket: str) -> bool:
        """Pass blanks and a comma up to the next item, or over the closing bracket."""
        self._pass(_BLANK)
        if self._next_is(","):
            self.at += 1
            self._pass(_BLANK)
        closed = self._next_is(bracket)
        self.at += closed
        return closed

    def _key(self) -> tuple[str, ...]:
        parts: list[str] = []
        while not parts or self._next_is("."):
            self.at += bool(parts)
            self._pass(_SPACE)
            parts.append(self._key_part())
            self._pass(_SPACE)
        return tuple(parts)

    def _key_part(self) -> str:
        if self._next_is(('"', "'")):
            return str(tomllib.loads(f"key = {self._take(_STRING)}")["key"])
        return self._take(_BARE_KEY)

    def _note(self, path: Path, at: int) -> None:
        self.lines.setdefault(path, bisect_right(self._breaks, at - 1) + 1)

    def _next_is(self, start: str | tuple[str, ...]) -> bool:
        return self.text.startswith(start, self.at)

    def _expect(self, mark: str) -> None:
        self._pass(_SPACE)
        if not self._next_is(mark):
            raise _LostError
        self.at += len(mark)

    def _pass(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _LostError
        self.at = match.end()
        return match[0]
