"""The commands of one page of the guide, and where they stand in its text.

A block of a page that begins `$ ullage …` is a command with what it says below it. Two remarks at
the top of a page, which no reader sees, set the scene: `<!-- now 2026-06-11T18:00 -->` is what
counts as now, and each `<!-- first ullage record … -->` is run before, in order. A block that ends
in a line of `…` keeps as many lines as it has; every other shows the whole answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

BLOCK: Final = re.compile(r"```console\n\$ (ullage [^\n]*)\n(.*?)```", re.DOTALL)
FIRST: Final = re.compile(r"^<!-- first (ullage .*?) -->$", re.MULTILINE)
NOW: Final = re.compile(r"^<!-- now (\S+) -->$", re.MULTILINE)
MORE: Final = "…"
USUAL_NOW: Final = "2026-06-11T18:00"


@dataclass(frozen=True, slots=True)
class Session:
    """The commands of a page in the order in which they are run; `now`: local time in UTC."""

    now: str
    first: tuple[str, ...]
    commands: tuple[str, ...]


def session_of(page: str) -> Session:
    """Read the commands out of a page."""
    found = NOW.search(page)
    return Session(
        found[1] if found else USUAL_NOW,
        tuple(FIRST.findall(page)),
        tuple(command for command, _ in BLOCK.findall(page)),
    )


def answered(page: str, answers: Sequence[str]) -> str:
    """The page with the answers below its commands, one for each, in their order."""
    left: Iterator[str] = iter(answers)
    return BLOCK.sub(lambda found: _block(found[1], found[2], next(left)), page)


def _block(command: str, before: str, answer: str) -> str:
    shown, lines = before.rstrip("\n").split("\n"), answer.rstrip("\n").split("\n")
    if shown[-1] == MORE and len(lines) >= len(shown):
        lines = [*lines[: len(shown) - 1], MORE]
    return "\n".join(["```console", f"$ {command}", *(line.rstrip() for line in lines), "```"])
