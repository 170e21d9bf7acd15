"""Twelve kegs on four regulators, each time as if nobody had asked before."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import partial

from benchmarks.report import Row
from benchmarks.timing import Task, interleaved
from ullage.plan import share_sets
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion, Wish
from ullage.plan.share_text import beers_of, system_of
from ullage.system.model import LinePiece, System, Tap

BEERS = (
    "Pale 2.5; Stout 2.1; Wheat 3.0; Lager 2.6; Cider 2.8; Mild 1.9; Bitter 2.0 @ 50 degF; "
    "Amber 2.45; Saison 3.1; Porter 2.2 @ 50 degF; Gose 2.9; Tripel 3.4"
)
COLD_K = 276.483  # 38 °F
START = datetime(2026, 6, 1, 18, tzinfo=UTC)
REGULATORS = 4
ALIKE = ShareQuestion(REGULATORS)
WISHED = ShareQuestion(
    REGULATORS, (Wish("K1", "regulator 1"), Wish("K3", "regulator 2"), Wish("K6", "regulator 3"))
)
ONE_WISH = ShareQuestion(REGULATORS, (Wish("K1", "regulator 1"),))


def _system() -> System:
    """The kegs with a tap each."""
    bare = system_of(beers_of(BEERS), REGULATORS, COLD_K, 0.0, "us")
    line = (LinePiece(length=3.0, bore=0.0047625),)
    taps = (Tap(name=f"tap {keg.name}", keg=keg.name, line=line, rise=0.4) for keg in bare.kegs)
    return bare.model_copy(update={"taps": tuple(taps)})


SYSTEM = _system()


def sharing_rows(repeats: int) -> list[Row]:
    """The whole answer: with regulators that can all do the same, and with wishes."""
    tasks = (
        Task("12 kegs on 4 regulators, all alike", partial(one, ALIKE)),
        Task("12 kegs on 4 regulators, one keg stays", partial(one, ONE_WISH)),
        Task("12 kegs on 4 regulators, three kegs stay", partial(one, WISHED)),
    )
    timed = interleaved(tasks, repeats)
    slowest = max(timed, key=lambda each: each.middle)
    return [
        Row(
            "12 kegs shared by 4 regulators, the slowest",
            slowest.middle,
            "at most",
            0.5,
            "s",
            timed,
        )
    ]


def one(question: ShareQuestion) -> int:
    """Share afresh; how many beers are left outside."""
    share_sets.forget()
    return share(SYSTEM, question, START).outside
