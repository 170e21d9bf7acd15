"""Tasks of one part that fall due on the same day, told together: one way to it does for all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.plan.spoken import headed
from ullage.plan.upkeep import CELLAR, Task


@dataclass(frozen=True, slots=True)
class Together:
    """One task or more of one part, due on the same day, in the order they were in."""

    tasks: tuple[Task, ...]

    @property
    def first(self) -> Task:
        """The task that the others stand with."""
        return self.tasks[0]

    @property
    def about(self) -> str:
        """The part, at the head of a line: `Tap left`."""
        return headed(self.first.of, self.first.about)

    @property
    def because(self) -> str:
        """What their day was counted from, where that is the same of all; else ""."""
        reasons = {task.because for task in self.tasks}
        return self.first.because if len(reasons) == 1 else ""


def together(tasks: Sequence[Task]) -> tuple[Together, ...]:
    """The tasks, those of one part and one day together where the first of them was.

    The day is that of the clock here; tasks that have none stand together too, by what they wait
    for. What is about no single part stands alone.
    """
    found: dict[tuple[str, ...], list[Task]] = {}
    for task in tasks:
        found.setdefault(_place(task), []).append(task)
    return tuple(Together(tuple(each)) for each in found.values())


def _place(task: Task) -> tuple[str, ...]:
    if task.about == CELLAR:
        return (task.task, task.about)
    day = "" if task.due_at is None else task.due_at.astimezone().date().isoformat()
    return (task.of, task.about, task.state, day)
