"""Kill writers to a store, one after the other: `python -m tests.cellar.kills STORE KILLS SEED`.

Started once, it forks each writer, so that a kill costs no start of Python. After each it opens the
store and looks whether all is there; it ends with an error where it is not. At the end it prints
how many were killed in the middle of their work, and how many events were acknowledged.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sys
import time
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime

from ullage.cellar.happening import new_id
from ullage.cellar.keg_events import Poured
from ullage.cellar.store import Store

AT_ONCE = 3
MOST_TOLD, LONGEST_S = 12, 0.006


def write(address: str, answers: int) -> None:
    """Write pours without end, three at once, telling the ids of those that are kept."""
    with Store.open(address) as store:
        while True:
            together = new_id()
            pours = [
                Poured(at=datetime.now(UTC), keg=f"K{keg}", volume_m3=1e-4, plan=together)
                for keg in range(AT_ONCE)
            ]
            os.write(answers, (" ".join(store.append(pours).written) + "\n").encode())


def kill_one(address: str, chance: random.Random) -> list[str]:
    """Kill a writer at some moment and return the ids that it was told are kept.

    Now and then before its first answer: it may be opening the store, or making it.
    """
    reading, writing = os.pipe()
    writer = os.fork()
    if writer == 0:
        os.close(reading)
        write(address, writing)
    os.close(writing)
    with os.fdopen(reading) as answers:
        told = [answers.readline() for _ in range(chance.randint(0, MOST_TOLD))]
        time.sleep(chance.uniform(0.0, LONGEST_S))  # the moment of the kill, not a wait for it
        os.kill(writer, signal.SIGKILL)
        told += answers.readlines()
    _, status = os.waitpid(writer, 0)
    assert os.WIFSIGNALED(status), "the writer ended by itself"
    assert os.WTERMSIG(status) == signal.SIGKILL
    # A line without its end was cut off with its writer: it is no answer.
    return [name for line in told if line.endswith("\n") for name in line.split()]


def check(address: str, told: list[str]) -> None:
    """The store opens and is sound, and holds all that was told, all or none of each writing."""
    with Store.open(address) as store:
        events = [one.event for one in store.read()]
        numbers = {name: [one.number for one in store.read(name)] for name in store.streams()}
    assert {*told} <= {one.id for one in events}, "an acknowledged event is lost"
    assert {*Counter(one.plan for one in events).values()} <= {AT_ONCE}, "a writing was torn"
    for found in numbers.values():
        assert found == list(range(1, len(found) + 1))
    if "://" in address:
        return
    with closing(sqlite3.connect(address)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def main(address: str, kills: int, seed: int) -> None:
    """Kill and look, kill and look."""
    chance = random.Random(seed)
    told: list[str] = []
    for _ in range(kills):
        told += kill_one(address, chance)
        check(address, told)
    print(kills, len(told))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
