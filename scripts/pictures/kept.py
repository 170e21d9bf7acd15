"""Pictures on disk: written where they changed, taken away where nobody shows them any more."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path


def kept(folder: Path, pictures: Mapping[Path, str]) -> None:
    """Make the SVG files of a folder these, by their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in set(folder.glob("*.svg")) - set(pictures):
        path.unlink()
    for path, svg in pictures.items():
        path.write_text(svg, encoding="utf-8")
