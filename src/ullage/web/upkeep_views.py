"""What the page of upkeep prints: what is begun, and tasks in their groups."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType
from typing import Final
from urllib.parse import urlencode

from ullage.draw import procedure_lines
from ullage.draw.upkeep_lines import HEADS, day, sentence
from ullage.plan.calendar import titled
from ullage.plan.upkeep import Task, Upkeep
from ullage.plan.upkeep_together import Together, together
from ullage.plan.upkeep_under_way import UnderWay, still_to_begin
from ullage.web.views import Fact, Page


@dataclass(frozen=True, slots=True)
class Interval:
    """A way to say how often: its label, its unit, and what may be written."""

    label: str
    unit: str
    number: str


INTERVALS: Final[Mapping[str, Interval]] = MappingProxyType(
    {
        "days": Interval("Days", "days", "whole number from 1 to 3650"),
        "years": Interval("Years", "years", "whole number from 1 to 20"),
        "kegs": Interval("Kegs", "kegs", "whole number from 1 to 100"),
        "litres": Interval("Litres poured", "L", "number from 0.1 to 10000"),
    }
)


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed in a form's fields, and what is wrong with each."""

    values: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)

    def wrong(self, name: str, error: str) -> Typed:
        """The same with an error at a field; unchanged for none."""
        return replace(self, errors={**self.errors, name: error}) if error else self


@dataclass(frozen=True, slots=True)
class TaskRow:
    """One task: what it is, of what, how it was counted, and whether one tap does it.

    `said`: as it stands on the page; `title`: with its part, as its button has it. `because`: "" in
    a row that says it of all its tasks.
    """

    name: str
    about: str
    said: str
    title: str
    because: str
    how: str
    can_do: bool


@dataclass(frozen=True, slots=True)
class DayRow:
    """What is due of one part on one day: a task, or several below the part's name, `about`."""

    when: str
    iso: str
    about: str
    because: str
    tasks: tuple[TaskRow, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks that stand alike; `folded` where they need no look now. `count`: of tasks."""

    head: str
    rows: tuple[DayRow, ...]
    count: int
    folded: bool


@dataclass(frozen=True, slots=True)
class BegunRow:
    """A procedure that is begun: how far it is, and what must not wait."""

    task: str
    about: str
    title: str
    how: str
    sentence: str
    caution: str
    danger: bool


@dataclass(frozen=True, slots=True)
class PageView:
    """The upkeep of the whole system, and its calendar's address ("" where there is none)."""

    page: Page
    sentence: str
    begun: tuple[BegunRow, ...]
    groups: tuple[Group, ...]
    off: tuple[str, ...]
    feed: str
    file: str
    title_block: tuple[Fact, ...]


def how_path(task: str, about: str, **more: str) -> str:
    """Where the procedure of a task on a part stands.

    >>> how_path("clean line", "left")
    '/upkeep/how?task=clean+line&about=left'
    """
    return f"/upkeep/how?{urlencode({'task': task, 'about': about, **more})}"


def page_view(
    page: Page,
    answer: Upkeep,
    begun: Sequence[UnderWay],
    how: Callable[[str, str], str],
    feed: str,
    title_block: tuple[Fact, ...],
) -> PageView:
    """The page of everything that is kept up."""
    groups = []
    tasks = still_to_begin(answer.tasks, begun)
    for state, head in HEADS.items():
        found = [task for task in tasks if task.state == state]
        rows = tuple(_row(one, how) for one in together(found))
        if rows:
            groups.append(Group(head, rows, len(found), state in ("waits", "ahead")))
    said = sentence(answer, begun) if answer.tasks else "Nothing to keep up yet."
    file = f"{page.base}/upkeep/ullage.ics"
    half = tuple(_begun(one, how(one.task, one.about), answer.at) for one in begun)
    return PageView(page, said, half, tuple(groups), answer.switched_off, feed, file, title_block)


def _begun(one: UnderWay, how: str, at: datetime) -> BegunRow:
    said = procedure_lines.sentence(one, at)
    return BegunRow(
        task=one.task,
        about=one.about,
        title=procedure_lines.headline(one),
        how="" if one.broken else how,
        sentence=f"{said[:1].upper()}{said[1:]}",
        caution=one.caution,
        danger=one.lies and one.holds_cleaner,
    )


def _when(task: Task) -> str:
    if task.due_at is not None:
        return day(task.due_at)
    return "now" if task.state == "due" else "no day"


def _row(one: Together, how: Callable[[str, str], str]) -> DayRow:
    first, several = one.first, len(one.tasks) > 1
    shared = several and bool(one.because)
    return DayRow(
        when=_when(first),
        iso=first.due_at.date().isoformat() if first.due_at else "",
        about=one.about if several else "",
        because=_because(first) if shared else "",
        tasks=tuple(
            TaskRow(
                name=task.task,
                about=task.about,
                said=task.title if several else titled(task),
                title=titled(task),
                because="" if shared else _because(task),
                how=how(task.task, task.about),
                can_do=task.state != "waits",
            )
            for task in one.tasks
        ),
    )


def _because(task: Task) -> str:
    return f"{task.because[:1].upper()}{task.because[1:]}."
