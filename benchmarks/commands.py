"""Commands as a person starts them: a new process each time."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

NUMPY = (sys.executable, "-c", "import numpy")


def ullage(*arguments: str) -> tuple[str, ...]:
    """The command line of `ullage` beside the Python that runs this."""
    script = Path(sys.executable).with_name("ullage")
    start = (str(script),) if script.exists() else (sys.executable, "-m", "ullage.cli")
    return (*start, *arguments)


def run(command: tuple[str, ...]) -> None:
    """Run it to its end; raises `CalledProcessError` where it fails."""
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
