"""Two pieces of work timed turn by turn, so that a noisy machine disturbs both alike."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

Work = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Timed:
    """One piece of work: its name and the seconds of each repeat (for one call)."""

    name: str
    seconds: tuple[float, ...]

    @property
    def middle(self) -> float:
        """The median of the repeats, in seconds."""
        return median(self.seconds)


@dataclass(frozen=True, slots=True)
class Task:
    """What is timed. `calls`: how many calls make one repeat, for work that takes microseconds."""

    name: str
    work: Work
    calls: int = 1


def interleaved(tasks: tuple[Task, ...], repeats: int) -> tuple[Timed, ...]:
    """Run A B C, A B C, … after one round that does not count; give each task its times."""
    for task in tasks:
        task.work()
    found: dict[str, list[float]] = {task.name: [] for task in tasks}
    for _ in range(repeats):
        for task in tasks:
            found[task.name].append(_seconds(task))
    return tuple(Timed(name, tuple(seconds)) for name, seconds in found.items())


def _seconds(task: Task) -> float:
    begin = time.perf_counter()
    for _ in range(task.calls):
        task.work()
    return (time.perf_counter() - begin) / task.calls
