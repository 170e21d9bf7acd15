"""Run each `$ ullage …` of the README and write what it says below it. Part of `make docs`.

A block keeps as many lines as `SHOWN` allows, and of the quick questions none from the first
caution on; a last line of `…` tells that more follows. The blocks run in their order, with a log in
a folder of their own; ids, which are never the same twice, are written as numbers in that order.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from hashlib import sha256
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n\$ (ullage [^\n]*)\n.*?```", re.DOTALL)
COLUMNS = "92"
SHOWN = {"plan": 15, "carbonate": 2, "pour": 5, "gas": 7}
IN_FULL = ("record", "status", "log", "look-ahead")
THEN = "2025-12-06T11:00"
"""What counts as now for `look-ahead`, which is about this moment: that of the README's status."""
AT_THAT_TIME = f"""
from datetime import datetime
from ullage import cli
from ullage.cli import ahead
ahead.now = lambda: datetime.fromisoformat("{THEN}").astimezone()
cli.main()
"""
ID = re.compile(r"(?<=undo )[0-9a-f]{8}|^[0-9a-f]{8}(?=  )", re.MULTILINE)
CAUTIONS = ("Caution", "Danger")
OWN_FILE = "my.toml"


def refreshed(text: str) -> str:
    """The README with the outputs as the program gives them now."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / OWN_FILE).write_text(own_system(text), encoding="utf-8")
        ids: dict[str, str] = {}
        return BLOCK.sub(lambda found: with_ids(_block(found[1], folder), ids), text)


def own_system(text: str) -> str:
    """The system file that the README's pieces make together."""
    pieces = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    return "\n".join(pieces)


def with_ids(block: str, ids: dict[str, str]) -> str:
    """The block with each id as it would look, but the same each time; `ids`: those seen before."""

    def steady(found: re.Match[str]) -> str:
        number = str(len(ids))
        return ids.setdefault(found[0], sha256(number.encode()).hexdigest()[:8])

    return ID.sub(steady, block)


def _block(command: str, folder: str) -> str:
    lines = run(command, folder)
    name = shlex.split(command)[1]
    if name in IN_FULL:
        return "\n".join(["```console", f"$ {command}", *lines, "```"])
    cautions = [i for i, line in enumerate(lines) if line.startswith(CAUTIONS)]
    shown = SHOWN[name] if name == "plan" else min([SHOWN[name], *cautions])
    more = ["…"] if len(lines) > shown else []
    return "\n".join(["```console", f"$ {command}", *lines[:shown], *more, "```"])


def run(command: str, folder: str) -> list[str]:
    """The lines that a command of the README prints, run in `folder`."""
    asked = shlex.split(command)[1:]
    program = ["-c", AT_THAT_TIME] if asked[0] == "look-ahead" else ["-m", "ullage"]
    ended = subprocess.run(
        [sys.executable, *program, *asked],
        cwd=folder,
        env={**os.environ, "COLUMNS": COLUMNS, "PYTHONUTF8": "1", "ULLAGE_STORE": "log.db"},
        check=True,
        capture_output=True,
        encoding="utf-8",
    )
    return [line.rstrip() for line in ended.stdout.rstrip().split("\n")]


def main() -> None:
    """Write them."""
    README.write_text(refreshed(README.read_text(encoding="utf-8")), encoding="utf-8")
    print("wrote the outputs in README.md")


if __name__ == "__main__":
    main()
