"""The demo: one keeper's three taps, which the program can show without being told anything."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import cache
from importlib.resources import files
from typing import Final

from ullage.system.file import parse_system
from ullage.system.model import System

WANTED_AFTER: Final = timedelta(days=9)
"""How long after today the demo's flat beer is wanted, when the demo is told what today is."""


def demo_text(today: date | None = None) -> str:
    """Return the demo's system file. With `today`, its beer is wanted a while after that day."""
    text = _text()
    if today is None:
        return text
    return re.sub(r"(?m)^(ready_by = ).*$", rf"\g<1>{today + WANTED_AFTER}", text)


def demo_system(today: date | None = None) -> System:
    """Return the demo's system; see `demo_text`."""
    return parse_system(demo_text(today), "the demo")


@cache
def _text() -> str:
    return files("ullage.system").joinpath("demo.toml").read_text(encoding="utf-8")
