"""A program killed while it writes, a hundred times, loses nothing that it was told is kept."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

SEED = 20261101
STORES, KILLS_EACH = 4, 25
REPOSITORY = Path(__file__).parents[2]


def kill_some(folder: Path, number: int) -> tuple[int, int]:
    """Kill writers to one file in turn; return how many, and how many events were acknowledged."""
    file = folder / f"cellar-{number}.db"
    command = [
        sys.executable,
        "-m",
        "tests.cellar.kills",
        str(file),
        str(KILLS_EACH),
        str(SEED + number),
    ]
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    kills, told = map(int, done.stdout.split())
    return kills, told


def test_what_was_acknowledged_outlives_a_hundred_kills(tmp_path: Path) -> None:
    with ThreadPoolExecutor(STORES) as pool:
        done = list(pool.map(partial(kill_some, tmp_path), range(STORES)))
    assert sum(kills for kills, _ in done) == 100
    assert min(told for _, told in done) > 3 * KILLS_EACH
