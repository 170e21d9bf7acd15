"""What every command does at its end: print an answer, or refuse in one line."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import NoReturn

import typer

from ullage.errors import one_line


def refuse(sentence: str) -> NoReturn:
    """End with one line on stderr and exit 2."""
    told = one_line(" ".join(sentence.split()))
    typer.echo(f"ullage: {told}", err=True)
    sys.exit(2)


def print_json(answer: object) -> None:
    """Print a frozen dataclass as JSON, SI units (see `plan.as_json`)."""
    from ullage.plan.as_json import as_json

    typer.echo(as_json(answer))


def print_lines(lines: Iterable[str]) -> None:
    """Print lines of text."""
    for line in lines:
        typer.echo(line)
