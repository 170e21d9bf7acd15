"""Run the sessions of the guide in this one process, each in a folder of its own.

`python -m scripts.guide.run` reads sessions as JSON on stdin and writes what each command said, as
JSON, to stdout. It is a process of its own because it turns the clock.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import shlex
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final
from unittest import mock

from scripts.write_readme_outputs import OWN_FILE, README, own_system
from ullage import cli
from ullage.cli import stores
from ullage.system.demo import demo_text

ROOT: Final = Path(__file__).resolve().parents[2]
THREE_TAPS: Final = "three-taps.toml"
KIT: Final = "kit.toml"
COLUMNS: Final = "92"


def said(session: dict[str, Any]) -> list[str]:
    """What each command of a session says. Raises `RuntimeError` where one does not end well."""
    moment = datetime.fromisoformat(session["now"]).astimezone()
    with tempfile.TemporaryDirectory() as folder, _in(Path(folder), moment):
        for command in session["first"]:
            _ran(command)
        return [_ran(command) for command in session["commands"]]


@contextlib.contextmanager
def _in(folder: Path, moment: datetime) -> Iterator[None]:
    """Stand in a folder with the files of the guide, at a moment that does not pass."""
    _put_files(folder, moment.date())
    with contextlib.ExitStack() as held:
        held.enter_context(contextlib.chdir(folder))
        held.enter_context(mock.patch.dict(os.environ, {"ULLAGE_STORE": str(folder / "log.db")}))
        cli.asked_for(())  # loads every command: one loaded later would keep the turned clock
        real = stores.now
        for module in [*sys.modules.values()]:
            if module.__name__.startswith("ullage.") and getattr(module, "now", None) is real:
                held.enter_context(mock.patch.object(module, "now", return_value=moment))
        yield


def _put_files(folder: Path, today: date) -> None:
    own = own_system(README.read_text(encoding="utf-8"))
    kit = (ROOT / "examples" / "starter-kit.toml").read_text(encoding="utf-8")
    for name, text in ((OWN_FILE, own), (THREE_TAPS, demo_text(today)), (KIT, kit)):
        (folder / name).write_text(text, encoding="utf-8")


def _ran(command: str) -> str:
    """Run one command as the console does."""
    out, err = io.StringIO(), io.StringIO()
    code: object = 0
    with (
        mock.patch.object(sys, "argv", shlex.split(command)),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            cli.main()
        except SystemExit as ended:
            code = ended.code
    if code:
        raise RuntimeError(f"{command}: {err.getvalue().strip()}")
    return out.getvalue()


def main() -> None:
    """Answer the sessions that stand on stdin."""
    os.environ |= {"TZ": "UTC", "COLUMNS": COLUMNS}
    time.tzset()
    json.dump([said(session) for session in json.load(sys.stdin)], sys.stdout)


if __name__ == "__main__":
    main()
