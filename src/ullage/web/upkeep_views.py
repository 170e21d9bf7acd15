"""What the upkeep pages print: tasks in their groups, a procedure, the fields of their forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final
from urllib.parse import urlencode

from ullage.draw.upkeep_lines import HEADS, day, sentence
from ullage.plan.calendar import titled
from ullage.plan.procedures import STRENGTHS, Procedure, ProcedureStep
from ullage.plan.spoken import part
from ullage.plan.upkeep import CELLAR, Task, Upkeep
from ullage.system.upkeep_rules import Rule
from ullage.units import Kind, format_quantity
from ullage.web.fields import FieldView
from ullage.web.views import Fact, Link, Page


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
    """One task: when it is due, of what, how it was counted, and whether one tap does it."""

    name: str
    about: str
    title: str
    when: str
    iso: str
    because: str
    how: str
    can_do: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks that stand alike; `folded` where they need no look now."""

    head: str
    rows: tuple[TaskRow, ...]
    folded: bool


@dataclass(frozen=True, slots=True)
class PageView:
    """The upkeep of the whole system, and its calendar's address ("" where there is none)."""

    page: Page
    sentence: str
    groups: tuple[Group, ...]
    off: tuple[str, ...]
    feed: str
    file: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class HowView:
    """How one task is done on one part, and how often."""

    page: Page
    heading: str
    part: str
    task: str
    about: str
    lead: str
    facts: tuple[Fact, ...]
    strength: FieldView | None
    strengths: tuple[Link, ...]
    steps: tuple[ProcedureStep, ...]
    why: str
    source: str
    every: str
    intervals: tuple[FieldView, ...]
    open: bool
    can_do: bool
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
    how: Callable[[Task], str],
    feed: str,
    title_block: tuple[Fact, ...],
) -> PageView:
    """The page of everything that is kept up."""
    groups = []
    for state, head in HEADS.items():
        rows = tuple(_row(task, how(task)) for task in answer.tasks if task.state == state)
        if rows:
            groups.append(Group(head, rows, state in ("waits", "ahead")))
    said = sentence(answer) if answer.tasks else "Nothing to keep up yet."
    file = f"{page.base}/upkeep/ullage.ics"
    return PageView(page, said, tuple(groups), answer.switched_off, feed, file, title_block)


def how_view(
    page: Page,
    rule: Rule,
    found: Procedure,
    task: Task | None,
    typed: Typed,
    title_block: tuple[Fact, ...],
) -> HowView:
    """The page of one procedure."""
    return HowView(
        page=page,
        heading=found.title,
        part="" if found.about == CELLAR else part(rule.of, found.about),
        task=found.task,
        about=found.about,
        lead=_lead(task),
        facts=_facts(found, page),
        strength=_strength(found, typed) if found.weighs else None,
        strengths=_strengths(found, page) if found.weighs else (),
        steps=found.steps,
        why=rule.why,
        source=rule.source,
        every=task.every if task else "switched off",
        intervals=tuple(_interval(name, rule, typed) for name in _asked(rule)),
        open=bool(set(typed.errors) & set(INTERVALS)),
        can_do=task is not None and task.state != "waits",
        title_block=title_block,
    )


def _row(task: Task, how: str) -> TaskRow:
    return TaskRow(
        name=task.task,
        about=task.about,
        title=titled(task),
        when=day(task.due_at) if task.due_at else "",
        iso=task.due_at.date().isoformat() if task.due_at else "",
        because=f"{task.because[:1].upper()}{task.because[1:]}.",
        how=how,
        can_do=task.state != "waits",
    )


def _lead(task: Task | None) -> str:
    if task is None:
        return "Switched off in this household."
    said = f"{task.because[:1].upper()}{task.because[1:]}."
    return f"Due {day(task.due_at)}. {said}" if task.due_at else said


def _facts(found: Procedure, page: Page) -> tuple[Fact, ...]:
    rows = (
        ("The line holds", found.line_m3, "line and shank"),
        ("Make for it", found.solution_m3, "ten times what it holds, 2 litres at least"),
        ("The keg holds", found.keg_m3, "to the brim"),
    )
    return tuple(
        Fact(name, format_quantity(value, Kind.VOLUME, page.units_now), note)
        for name, value, note in rows
        if value is not None
    )


def _strength(found: Procedure, typed: Typed) -> FieldView:
    shown = typed.values.get("strength", "")
    return FieldView(
        "strength",
        "Strength of the cleaner, by its label",
        shown or f"{100 * found.strength:g}",
        unit="%",
        hint="1 % is 10 g in a litre. The label of what you have comes before any of these.",
        error=typed.errors.get("strength", ""),
    )


def _strengths(found: Procedure, page: Page) -> tuple[Link, ...]:
    return tuple(
        Link(
            f"{100 * one.fraction:g} %: {one.title} ({one.source})",
            page.base + how_path(found.task, found.about, strength=f"{100 * one.fraction:g} %"),
            one.fraction == found.strength,
        )
        for one in STRENGTHS
    )


def _asked(rule: Rule) -> tuple[str, ...]:
    return tuple(INTERVALS) if rule.of in ("keg", "tap") else ("days", "years")


def _interval(name: str, rule: Rule, typed: Typed) -> FieldView:
    own = getattr(rule, name)
    value = typed.values.get(name, "" if own is None else f"{own:g}")
    one = INTERVALS[name]
    return FieldView(name, one.label, value, unit=one.unit, error=typed.errors.get(name, ""))
