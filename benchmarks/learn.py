"""Learning from a year of a cellar with four taps: every keg read twice, every line timed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from functools import partial
from typing import Final

from benchmarks.report import Row
from benchmarks.timing import Task, interleaved
from benchmarks.year import KEGS, KIND, TAPS, year
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, Measured, Tapped
from ullage.plan.learn import learning
from ullage.system.file import parse_system
from ullage.system.model import System

BAR_S: Final = 3.0
REPEATS: Final = 5
PSI: Final = 6894.757293168361


def learn_rows(repeats: int) -> list[Row]:
    """The whole of it: the log read, every constant fitted, the next readings weighed."""
    log = year_with_readings()
    now = log[-1].at + timedelta(hours=1)
    (timed,) = interleaved(
        (Task(f"learning from {len(log):,} events", partial(learning, log, now, system())),),
        min(repeats, REPEATS),
    )
    return [
        Row("learning from a year of log", timed.middle, "at most", BAR_S, "s", (timed,)),
    ]


def year_with_readings() -> list[Event]:
    """The invented year, with what its keeper read of kegs and taps besides, oldest first."""
    log = year()
    return sorted([*log, *_read(log)], key=lambda one: one.at)


def _read(log: Sequence[Event]) -> Iterator[Event]:
    for one in log:
        if isinstance(one, Filled):
            at, keg = one.at, one.keg
            yield Measured(at=at + timedelta(hours=9), keg=keg, temperature_k=284.0)
            yield Measured(at=at + timedelta(days=1.5), keg=keg, level_vol=2.0)
            yield Measured(at=at + timedelta(days=3), keg=keg, level_vol=2.2)
            yield Measured(at=at + timedelta(days=3), keg=keg, gauge_pressure_pa=11.2 * PSI)
        elif isinstance(one, Tapped):
            yield Measured(at=one.at + timedelta(hours=11), keg=one.keg, pint_s=13.0)


def system() -> System:
    """What the invented year is served from."""
    kegs = "".join(
        f'[[keg]]\nname = "{keg}"\nkind = "{KIND}"\nplace = "keezer"\nregulator = "reg"\n'
        for keg in KEGS
    )
    taps = "".join(
        f'[[tap]]\nname = "{tap}"\nkeg = "{keg}"\nrise = "2 ft"\n'
        'line = [{ length = "10 ft", bore = "3/16 in" }]\n'
        for tap, keg in zip(TAPS, KEGS, strict=False)
    )
    return parse_system(f"{HEAD}{kegs}{taps}", "the benchmark")


HEAD: Final = """
format = 1
name = "Year"
[[place]]
name = "keezer"
temperature = "277 K"
[[cylinder]]
name = "main"
size = "10 lb"
place = "keezer"
[[regulator]]
name = "reg"
cylinder = "main"
pressure = "11 psi"
[[beer]]
name = "pale"
volumes = "2.4 vol"
"""
