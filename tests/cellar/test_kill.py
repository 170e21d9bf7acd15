"""A program killed while it writes loses nothing that it was told is kept."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from ullage.cellar.store import Store

SEED = 20261101
STORES, KILLS_EACH, AT_ONCE = 4, 5, 3

WRITER = f"""
import sys
from datetime import UTC, datetime
from ullage.cellar.happening import new_id
from ullage.cellar.keg_events import Poured
from ullage.cellar.store import Store

with Store.open(sys.argv[1]) as store:
    while True:
        together = new_id()
        pours = [
            Poured(at=datetime.now(UTC), keg=f"K{{keg}}", volume_m3=1e-4, plan=together)
            for keg in range({AT_ONCE})
        ]
        print(*store.append(pours).written, flush=True)
"""


def kill_one(file: Path, chance: random.Random) -> list[str]:
    """Kill a writer at some moment and return the ids that it was told are kept."""
    command = [sys.executable, "-c", WRITER, str(file)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        told = [writer.stdout.readline() for _ in range(chance.randint(1, 30))]
        with pytest.raises(subprocess.TimeoutExpired):  # it goes on writing until it is killed
            writer.wait(chance.uniform(0.0, 0.01))
        writer.kill()
        told += writer.stdout.readlines()
    assert writer.returncode == -9
    # A line without its end was cut off with its writer: it is no answer.
    return [name for line in told if line.endswith("\n") for name in line.split()]


def kill_some(file: Path, seed: int) -> int:
    """Kill writers to one file in turn, looking after each whether all is there; return the ids."""
    chance = random.Random(seed)
    told: list[str] = []
    for _ in range(KILLS_EACH):
        told += kill_one(file, chance)
        check(file, told)
    return len(told)


def check(file: Path, told: list[str]) -> None:
    with Store.open(str(file)) as store:
        events = [one.event for one in store.read()]
        numbers = {name: [one.number for one in store.read(name)] for name in store.streams()}
    assert {*told} <= {one.id for one in events}
    assert {*Counter(one.plan for one in events).values()} == {AT_ONCE}  # all of them or none
    for found in numbers.values():
        assert found == list(range(1, len(found) + 1))
    connection = sqlite3.connect(file)
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    connection.close()


def test_what_was_acknowledged_outlives_a_kill(tmp_path: Path) -> None:
    with ThreadPoolExecutor(STORES) as pool:
        files = [tmp_path / f"cellar-{index}.db" for index in range(STORES)]
        told = list(pool.map(kill_some, files, range(SEED, SEED + STORES)))
    assert min(told) >= KILLS_EACH * AT_ONCE
