"""Measure, print the table, exit 1 where a bar is missed: `make bench`, or with `--json FILE`."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks import commands, fortnight, replayed
from benchmarks.brewing import brewing_rows
from benchmarks.fit import fit_rows
from benchmarks.learn import learn_rows
from benchmarks.lighthouse import lighthouse_rows
from benchmarks.log import log_rows
from benchmarks.pages import page_rows
from benchmarks.parts import parts_rows
from benchmarks.people import people_rows
from benchmarks.report import Row, as_data, table
from benchmarks.samples import sample_rows
from benchmarks.sharing import sharing_rows
from benchmarks.timing import Task, interleaved
from ullage.cellar.course import follow
from ullage.cellar.draws import draws
from ullage.cellar.track import track

CARBONATE = ("carbonate", "--volumes", "2.5", "--temperature", "38 degF")


def command_rows(repeats: int) -> list[Row]:
    """The two quick commands against the start of NumPy alone."""
    bare, version, carbonate = interleaved(
        (
            Task('python -c "import numpy"', partial(commands.run, commands.NUMPY)),
            Task("ullage --version", partial(commands.run, commands.ullage("--version"))),
            Task("ullage carbonate", partial(commands.run, commands.ullage(*CARBONATE))),
        ),
        repeats,
    )
    return [
        Row(f"{one.name} over NumPy's start", one.middle / bare.middle, "at most", bar, "×", both)
        for one, bar, both in ((version, 2.0, (bare, version)), (carbonate, 4.0, (carbonate,)))
    ]


def course_rows(repeats: int) -> list[Row]:
    """A keg's fortnight: closed form against solver, and samples against one.

    The barred fortnight is like a replayed log: something is done to the keg twice a day, and the
    solver must begin anew each time. The fortnight of a single burst stands below it to compare.
    """
    busy_ode, busy, ode, one, band = interleaved(
        (
            Task("a busy 14 days by LSODA", partial(fortnight.integrate, fortnight.BUSY)),
            Task("a busy 14 days by track", partial(track, fortnight.CASE, fortnight.BUSY), 20),
            Task("14 days of one burst by LSODA", partial(fortnight.integrate, fortnight.BURST)),
            Task(
                "14 days of one burst by track", partial(track, fortnight.CASE, fortnight.BURST), 20
            ),
            Task(
                "14 days of one burst, 2,000 samples",
                partial(follow, fortnight.CASE, fortnight.BURST, draws=draws()),
                4,
            ),
        ),
        repeats,
    )
    worst = max(fortnight.greatest_difference(each) for each in (fortnight.BURST, fortnight.BUSY))
    return [
        Row(
            "track faster than LSODA, 14 days, changed twice a day",
            busy_ode.middle / busy.middle,
            "at least",
            200.0,
            "×",
            (busy_ode, busy),
        ),
        Row("away from LSODA, at most anywhere", worst, "at most", 0.005, "vol"),
        Row("2,000 samples over one", band.middle / one.middle, "at most", 40.0, "×", (band,)),
        Row(
            "track faster than LSODA, 14 days of one burst",
            ode.middle / one.middle,
            "at least",
            None,
            "×",
            (ode, one),
        ),
    ]


def replay_rows(repeats: int) -> list[Row]:
    """The replay of a keg's log against the solver, and of samples against one."""
    ode, one, band = interleaved(
        (
            Task("28 events in 14 days by LSODA", replayed.integrate),
            Task("28 events in 14 days by replay", replayed.replayed, 20),
            Task("28 events in 14 days by replay, 2,000 samples", replayed.replayed_samples, 2),
        ),
        repeats,
    )
    return [
        Row(
            "replay faster than LSODA, 28 events in 14 days",
            ode.middle / one.middle,
            "at least",
            200.0,
            "×",
            (ode, one),
        ),
        Row(
            "replay away from LSODA, at most at any hour",
            replayed.greatest_difference(),
            "at most",
            0.005,
            "vol",
        ),
        Row(
            "replay of 2,000 samples over one",
            band.middle / one.middle,
            "at most",
            40.0,
            "×",
            (band,),
        ),
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and print; 0 where every bar is met, 1 where one is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every time there, too")
    parser.add_argument("--repeats", type=int, default=15, help="how often each is timed")
    options = parser.parse_args(arguments)
    rows = command_rows(options.repeats) + course_rows(3 * options.repeats)
    rows += replay_rows(3 * options.repeats)
    rows += fit_rows(options.repeats)
    rows += sharing_rows(options.repeats)
    rows += brewing_rows(options.repeats)
    rows += log_rows(options.repeats)
    rows += sample_rows(options.repeats)
    rows += learn_rows(options.repeats)
    rows += parts_rows(options.repeats)
    rows += page_rows(options.repeats)
    rows += people_rows()
    rows += lighthouse_rows()
    for line in table(rows):
        print(line)
    if options.json is not None:
        options.json.write_text(json.dumps(as_data(rows), indent=2, ensure_ascii=False) + "\n")
    return 1 if any(row.met is False for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main())
