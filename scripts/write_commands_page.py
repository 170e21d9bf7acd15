"""Write `docs/reference/commands.md`: every command with its arguments and options. `make docs`."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import typer

from scripts.models_page.checks import table
from scripts.put import ROOT, put
from ullage.cli import app

TARGET: Final = ROOT / "docs" / "reference" / "commands.md"
FOLDED: Final = 1 << 16
"""Columns of a line that is never wrapped."""
KIND: Final = re.compile(r"<([^>]+)>")
VALUES: Final = {
    "str": "text",
    "list[str]": "text; may be given again",
    "path": "file",
    "int": "whole number",
    "list[int]": "whole number; may be given again",
    "float": "number",
}
"""What each type of the program is called here."""

HEAD: Final = """<!-- Written by scripts/write_commands_page.py; run make docs. -->

# Commands

Every command of `ullage` with its arguments and options, as `--help` tells them. What they are for
stands in [the guide](../guide/index.md).

- Quantities stand in quotes with any unit: `"12 psi"`, `"0.8 bar"`, `"3/16 in"`, `"5 mm"`.
- A mistake is one line on stderr and exit 2; nothing is written then.
- `--json` prints the answer as JSON: SI units, which end each key's name, times with their offset.
- `--store` says where the log is kept: a file, or a PostgreSQL address. Left out: the environment
  variable `ULLAGE_STORE`, else a file in your data folder.
"""


def page() -> str:
    """The whole page."""
    commands = list(_below(typer.main.get_command(app), ()))
    listed = [f"- [`ullage {name}`](#{_anchor(name)}): {_first(one)}" for name, one in commands]
    written = [_section(name, one) for name, one in commands]
    return "\n\n".join([HEAD.strip(), "\n".join(listed), *written]) + "\n"


def _below(command: Any, name: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    """A command under its whole name, or all commands of a group."""
    for part, below in getattr(command, "commands", {}).items():
        yield from _below(below, (*name, part))
    if name and not hasattr(command, "commands"):
        yield " ".join(name), command


def _anchor(name: str) -> str:
    return f"ullage-{name.replace(' ', '-')}"


def _first(command: Any) -> str:
    """The first sentence of what it is for, on one line."""
    said: str = " ".join((command.help or "").split())
    return said.split(". ", maxsplit=1)[0].rstrip(".") + "."


def _section(name: str, command: Any) -> str:
    context = typer.Context(command, info_name=f"ullage {name}", max_content_width=FOLDED)
    found = [one for one in command.get_params(context) if one.name != "help"]
    arguments = [one for one in found if one.param_type_name == "argument"]
    options = [one for one in found if one.param_type_name != "argument"]
    usage = " ".join(
        [f"ullage {name}", *map(_place, arguments), *(["[OPTIONS]"] if options else [])]
    )
    parts = [f"## `ullage {name}`", _paragraphs(command.help), f"```text\n{usage}\n```"]
    parts += _table("Argument", [_row(_name(one), one, context) for one in arguments])
    parts += _table("Option", [_row(one.opts[-1], one, context) for one in options])
    return "\n\n".join(parts)


def _name(argument: Any) -> str:
    return str(argument.name).upper()


def _place(argument: Any) -> str:
    """Where an argument stands in the line: `FILE`, or `[FILE]` where it may be left out."""
    many = _name(argument) + (" …" if argument.nargs != 1 else "")
    return many if argument.required else f"[{many}]"


def _row(name: str, parameter: Any, context: typer.Context) -> tuple[str, str, str]:
    """Its name, what may follow it, and what `--help` says of it."""
    called, said = parameter.get_help_record(context)
    kind = KIND.search(called)
    value = "" if kind is None else VALUES[kind[1].removesuffix(" range")]
    spare = said.replace("[required]", "").replace("; required]", "]")
    needed = "; needed" if parameter.required else ""
    return f"`{name}`", value + needed, " ".join(spare.split())


def _table(title: str, rows: Sequence[tuple[str, str, str]]) -> list[str]:
    return [table((title, "Value", "What it says"), rows)] if rows else []


def _paragraphs(said: str) -> str:
    return "\n\n".join(" ".join(one.split()) for one in said.split("\n\n"))


if __name__ == "__main__":
    put(TARGET, page())
