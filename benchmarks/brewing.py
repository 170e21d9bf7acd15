"""Brewing ahead: a year for six taps, the whole answer from the log to the list of brews."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache

from benchmarks.report import Row
from benchmarks.timing import Task, interleaved
from ullage.cellar.events import Event
from ullage.plan.begin import first_events
from ullage.plan.brewing import brewing
from ullage.plan.brewing_answer import BrewingAnswer
from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
from ullage.system.file import parse_system
from ullage.system.model import System

AT = datetime(2026, 6, 1, 9, tzinfo=UTC)
TAPS = 6
SPARE = 4
FERMENTERS = 4
QUESTION = BrewingQuestion(horizon_s=52 * WEEK_S, sureness=0.5)
HEAD = """
name = "Six taps"

[[place]]
name = "cold room"
temperature = "38 degF"

[[cylinder]]
name = "gas"
size = "20 lb"
place = "cold room"

[[regulator]]
name = "reg"
cylinder = "gas"
pressure = "12 psi"
"""


def brewing_rows(repeats: int) -> list[Row]:
    """A year of six taps against its bar, and twelve weeks of the same for information."""
    soon = BrewingQuestion(sureness=0.5)
    timed = interleaved(
        (
            Task("a year of six taps", lambda: planned(QUESTION)),
            Task("twelve weeks of six taps", lambda: planned(soon)),
        ),
        repeats,
    )
    return [
        Row("brewing planned for a year of six taps", timed[0].middle, "at most", 2.0, "s", timed)
    ]


def planned(question: BrewingQuestion) -> BrewingAnswer:
    """The whole answer."""
    system, log = case()
    return brewing(log, AT, system, question)


@cache
def case() -> tuple[System, tuple[Event, ...]]:
    """Six taps with a beer each, ten kegs, four fermenters."""
    system = parse_system("".join([HEAD, *map(_tap, range(TAPS)), *_spare(), *_fermenters()]))
    return system, first_events(system, AT)


def _tap(number: int) -> str:
    return f"""
[[beer]]
name = "Beer {number}"
volumes = "{2.0 + 0.15 * number:.2f} vol"
ferments_in = "{10 + 2 * number} days"

[[keg]]
name = "K{number}"
kind = "ball-lock-5gal"
place = "cold room"
regulator = "reg"
beer = "Beer {number}"
volume = "{2.0 + 0.5 * number} gal"
carbonation = "{2.0 + 0.15 * number:.2f} vol"

[[tap]]
name = "T{number}"
keg = "K{number}"
line = [{{ length = "10 ft", bore = "3/16 in" }}]
rise = "18 in"
drinking = "{4 + number} pints/week"
"""


def _spare() -> list[str]:
    kind = 'kind = "ball-lock-5gal"\nplace = "cold room"\nregulator = "reg"\n'
    return [f'\n[[keg]]\nname = "S{number}"\n{kind}' for number in range(SPARE)]


def _fermenters() -> list[str]:
    return [
        f'\n[[fermenter]]\nname = "F{number}"\nvolume = "5 gal"\n' for number in range(FERMENTERS)
    ]
