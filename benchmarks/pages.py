"""Pages over a year's log, against a static file of the same server, request by request in turn."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from functools import partial
from itertools import count
from math import ceil
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlencode

from benchmarks.report import Row
from benchmarks.served import Reader, fill, served
from benchmarks.timing import Task, Timed, Work, interleaved

STATIC = "/static/sheet.css"
SHARE = 0.95
LEAST = 200
"""Requests of each kind, so that the slowest twentieth are ten of them."""
CHANGES = 10


def page_rows(repeats: int) -> list[Row]:
    """The overview and a what-if's update against the static file; a first view after a change."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "year.db"
        events = fill(file)
        with served(file) as address, closing(Reader(address)) as reader:
            return [
                *_steady_rows(reader, events, max(LEAST, 10 * repeats)),
                _changed_row(reader, max(CHANGES, repeats)),
            ]


def _steady_rows(reader: Reader, events: int, requests: int) -> list[Row]:
    questions = _questions()
    static, page, update = interleaved(
        (
            Task("a static file", partial(reader.get, STATIC)),
            Task(f"the overview, {events:,} events", partial(reader.get, "/")),
            Task("a what-if's update", lambda: reader.get(next(questions), live=True)),
        ),
        requests,
    )
    bare = slow(static)
    return [
        Row(
            "the overview over a static file, p95",
            slow(page) / bare,
            "at most",
            5.0,
            "×",
            (static, page),
        ),
        Row("a what-if's update over it, p95", slow(update) / bare, "at most", 8.0, "×", (update,)),
    ]


def _changed_row(reader: Reader, times: int) -> Row:
    """The first view after each of some new events, which must be worked out anew."""
    kegs = json.loads(reader.get("/api/v1/status"))["kegs"]
    fullest = max(kegs, key=lambda one: float(one["beer_left_m3"]))["keg"]
    static, first = [], []
    for _ in range(times):
        _pour(reader, fullest)
        first.append(seconds(partial(reader.get, "/")))
        static.append(seconds(partial(reader.get, STATIC)))
    bare = Timed("a static file, between", tuple(static))
    changed = Timed("the first overview after a pour", tuple(first))
    ratio = slow(changed) / slow(bare)
    return Row("first overview after an event, p95", ratio, "at most", None, "×", (bare, changed))


def _pour(reader: Reader, keg: str) -> None:
    at = datetime.now().astimezone().isoformat()
    event = {"kind": "poured", "keg": keg, "volume_m3": 0.0003, "at": at}
    reader.post("/api/v1/events", json.dumps(event))


def _questions() -> Iterator[str]:
    """Questions about a tap, none of them asked before."""
    for number in count():
        asked = {
            "pressure": f"{8 + number % 97 / 16:.4f} psi",
            "line": f"{5 + number % 101 / 16:.4f} ft x 3/16 in",
            "temperature": f"{36 + number % 103 / 16:.4f} degF",
            "pint": "10",
        }
        yield f"/pour?{urlencode(asked)}"


def slow(timed: Timed) -> float:
    """The time that nineteen of twenty keep below (p95, nearest rank), in seconds."""
    ordered = sorted(timed.seconds)
    return ordered[ceil(SHARE * len(ordered)) - 1]


def seconds(work: Work) -> float:
    """How long a piece of work takes."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin
