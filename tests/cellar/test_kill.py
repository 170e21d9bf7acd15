"""A program killed while it writes, a hundred times, loses nothing that it was told is kept."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psycopg

SEED = 20261101
STORES, KILLS_EACH = 4, 25
REPOSITORY = Path(__file__).parents[2]


def kill_some(address: str, number: int) -> tuple[int, int]:
    """Kill writers to one store in turn; return how many, and how many events were acknowledged."""
    told = [address, str(KILLS_EACH), str(SEED + number)]
    command = [sys.executable, "-m", "tests.cellar.kills", *told]
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    kills, acknowledged = map(int, done.stdout.split())
    return kills, acknowledged


def test_what_was_acknowledged_outlives_a_hundred_kills(tmp_path: Path) -> None:
    with ThreadPoolExecutor(STORES) as pool:
        files = [str(tmp_path / f"cellar-{number}.db") for number in range(STORES)]
        done = list(pool.map(kill_some, files, range(STORES)))
    assert sum(kills for kills, _ in done) == 100
    assert min(told for _, told in done) > 3 * KILLS_EACH


def test_the_same_on_a_server(server: Callable[[str], str]) -> None:
    """What a killed writer had begun there is undone, and holds up nobody."""
    with psycopg.connect(server("postgres"), autocommit=True) as connection:
        connection.execute("CREATE DATABASE killed")
    kills, told = kill_some(server("killed"), STORES)
    assert kills == KILLS_EACH
    assert told > 3 * KILLS_EACH
