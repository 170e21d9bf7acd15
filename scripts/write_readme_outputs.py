"""Run each `$ ullage …` of the README and write what it says below it. Part of `make docs`.

A block keeps as many lines as `SHOWN` allows, and of the quick questions none from the first
caution on; a last line of `…` tells that more follows.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n\$ (ullage [^\n]*)\n.*?```", re.DOTALL)
COLUMNS = "92"
SHOWN = {"plan": 15, "carbonate": 2, "pour": 5, "gas": 7}
CAUTIONS = ("Caution", "Danger")
OWN_FILE = "my.toml"


def refreshed(text: str) -> str:
    """The README with the outputs as the program gives them now."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / OWN_FILE).write_text(own_system(text), encoding="utf-8")
        return BLOCK.sub(lambda found: _block(found[1], folder), text)


def own_system(text: str) -> str:
    """The system file that the README's pieces make together."""
    pieces = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    return "\n".join(pieces)


def _block(command: str, folder: str) -> str:
    lines = run(command, folder)
    name = shlex.split(command)[1]
    cautions = [i for i, line in enumerate(lines) if line.startswith(CAUTIONS)]
    shown = SHOWN[name] if name == "plan" else min([SHOWN[name], *cautions])
    more = ["…"] if len(lines) > shown else []
    return "\n".join(["```console", f"$ {command}", *lines[:shown], *more, "```"])


def run(command: str, folder: str) -> list[str]:
    """The lines that a command of the README prints, run in `folder`."""
    ended = subprocess.run(
        [sys.executable, "-m", "ullage.cli", *shlex.split(command)[1:]],
        cwd=folder,
        env={**os.environ, "COLUMNS": COLUMNS, "PYTHONUTF8": "1"},
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
