"""Run each `$ ullage …` of the guide and write what it says below it. Part of `make docs`."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.guide.session import answered, session_of
from scripts.put import ROOT
from scripts.write_readme_outputs import with_ids

GUIDE: Final = ROOT / "docs" / "guide"


def pages() -> dict[Path, str]:
    """Every page of the guide as it stands."""
    return {path: path.read_text(encoding="utf-8") for path in sorted(GUIDE.glob("*.md"))}


def refreshed(written: Mapping[Path, str]) -> dict[Path, str]:
    """The pages with the outputs as the program gives them now."""
    sessions = [asdict(session_of(text)) for text in written.values()]
    ended = subprocess.run(
        [sys.executable, "-m", "scripts.guide.run"],
        cwd=ROOT,
        input=json.dumps(sessions),
        check=True,
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    told = json.loads(ended.stdout)
    return {
        path: answered(text, _steady(answers))
        for (path, text), answers in zip(written.items(), told, strict=True)
    }


def _steady(answers: Sequence[str]) -> list[str]:
    """The answers of a page with each id as it would look, but the same each time."""
    ids: dict[str, str] = {}
    return [with_ids(one, ids) for one in answers]


def main() -> None:
    """Write them."""
    for path, text in refreshed(pages()).items():
        path.write_text(text, encoding="utf-8")
    print(f"wrote the outputs in {GUIDE.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
