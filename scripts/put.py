"""A page that a script writes, put in its place."""

from __future__ import annotations

from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parent.parent


def put(target: Path, text: str) -> None:
    """Write a page, whose folder may not be there yet, and say so."""
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")
    print(f"wrote {target.relative_to(ROOT)}")
