"""Runs the command line for the tests: in this process, or as a process of its own."""

from __future__ import annotations

import contextlib
import io
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

from ullage import cli

COMMAND = Path(sys.executable).with_name("ullage")
LINE = ("--line", "10 ft x 3/16 in")


@dataclass(frozen=True)
class Ran:
    """How a run ended: exit code and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        told: dict[str, Any] = json.loads(self.out)
        return told


def ullage(*arguments: str) -> Ran:
    """Run the command in this process, as the console entry does."""
    out, err = io.StringIO(), io.StringIO()
    code: Any = None
    with (
        mock.patch.object(sys, "argv", ["ullage", *arguments]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            cli.main()
        except SystemExit as ended:
            code = ended.code
    return Ran(int(code or 0), out.getvalue(), err.getvalue())


def process(*arguments: str, **options: Any) -> Ran:
    """Run the console entry as a process of its own."""
    done = subprocess.run(
        [COMMAND, *arguments], capture_output=True, text=True, timeout=120, check=False, **options
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def assert_refused(ran: Ran, *words: str) -> None:
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.startswith("ullage: ")
    assert ran.err.endswith("\n")
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err
