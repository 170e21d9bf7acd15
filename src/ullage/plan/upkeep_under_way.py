"""How a procedure that is begun stands: what is done, what comes next, what must not wait."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.errors import OutOfRange, UnknownName
from ullage.plan.procedures import Procedure, procedure
from ullage.plan.spoken import part
from ullage.plan.upkeep import CELLAR, Task, subjects
from ullage.plan.upkeep_changes import NO_CHANGES, Changes, rule_of
from ullage.plan.upkeep_progress import AllBegun, Begun, form_of
from ullage.system.model import System
from ullage.system.upkeep_rules import Of, Rule

LIES: Final = timedelta(days=1)
"""So long after its last step a procedure is left lying; common practice, no source."""


@dataclass(frozen=True, slots=True)
class StepNow:
    """One step as it stands.

    `since`: since when one that must last runs, once the step before is done; `enough_at`: when it
    has lasted long enough. `short`: it was ended before that.
    """

    number: int
    do: str
    caution: str
    lasts_s: float | None
    done_at: datetime | None
    since: datetime | None
    enough_at: datetime | None
    short: bool


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A procedure that is begun, at a moment. `next_step` is 0 where none is left to do.

    `id`: of this time that it was begun.
    `lies`: it was left for over a day. `holds_cleaner`: by the steps, cleaner is in the part.
    `caution`: what must not wait ("" for nothing). `broken`: why it cannot be gone on with.
    """

    id: str
    task: str
    title: str
    of: Of
    about: str
    begun_at: datetime
    last_at: datetime
    done: int
    next_step: int
    next_do: str
    steps: tuple[StepNow, ...]
    lies: bool
    holds_cleaner: bool
    caution: str
    broken: str


def all_under_way(
    all_begun: AllBegun, system: System, at: datetime, changes: Changes = NO_CHANGES
) -> tuple[UnderWay, ...]:
    """Every procedure that is begun, as it stands; one whose task is gone is left out."""
    found = []
    for begun in all_begun.begun:
        try:
            rule = rule_of(begun.task, changes)
        except UnknownName:
            continue
        found.append(under_way(begun, rule, system, at))
    return tuple(found)


def can_go_on(begun: Sequence[UnderWay]) -> tuple[UnderWay, ...]:
    """Those that are gone on with where they were left, not begun again."""
    return tuple(one for one in begun if not one.broken)


def still_to_begin(tasks: Sequence[Task], begun: Sequence[UnderWay]) -> tuple[Task, ...]:
    """The tasks without those that are gone on with: these are told once, as half done."""
    gone_on = {(one.task, one.about) for one in can_go_on(begun)}
    return tuple(task for task in tasks if (task.task, task.about) not in gone_on)


def under_way(begun: Begun, rule: Rule, system: System, at: datetime) -> UnderWay:
    """How one procedure stands at a moment, its steps in this system's numbers."""
    how, broken = _procedure(begun, rule, system)
    steps = _steps(begun, how)
    left = [one for one in steps if one.done_at is None]
    last_at = max((begun.begun_at, *(one.at for one in begun.ticks)))
    lies = at - last_at > LIES
    holds = how is not None and holds_cleaner(begun, how)
    return UnderWay(
        id=begun.id,
        task=rule.name,
        title=rule.title,
        of=rule.of,
        about=begun.about,
        begun_at=begun.begun_at,
        last_at=last_at,
        done=len(steps) - len(left),
        next_step=left[0].number if left else 0,
        next_do=left[0].do if left else "",
        steps=steps,
        lies=lies,
        holds_cleaner=holds,
        caution=_caution(rule, begun.about, lies=lies, holds=holds),
        broken=broken,
    )


def holds_cleaner(begun: Begun, how: Procedure) -> bool:
    """Whether, by the steps that are done, cleaner went in and is not out again."""
    found = False
    for number, step in enumerate(how.steps, 1):
        if step.solution is not None and begun.ticked(number):
            found = step.solution == "in"
    return found


def _procedure(begun: Begun, rule: Rule, system: System) -> tuple[Procedure | None, str]:
    """The steps it was begun with, and why there are none."""
    if begun.about not in subjects(system, rule.of):
        return None, f"There is no {part(rule.of, begun.about)} any more: drop it."
    if begun.form != form_of(rule):
        return None, "Its steps are no longer those that were begun with: begin again."
    setup = begun.setup
    try:
        how = procedure(rule, begun.about, system, system.units, setup.strength, setup.drive)
    except OutOfRange as wrong:
        return None, f"It cannot be reckoned any more ({wrong}): begin again."
    return how, ""


def _steps(begun: Begun, how: Procedure | None) -> tuple[StepNow, ...]:
    found = []
    before: datetime | None = begun.begun_at
    for number, step in enumerate(how.steps if how else (), 1):
        done_at = begun.ticked(number)
        since = before if step.lasts_s is not None else None
        enough_at = None
        if since is not None and step.lasts_s is not None:
            enough_at = since + timedelta(seconds=step.lasts_s)
        short = done_at is not None and enough_at is not None and done_at < enough_at
        found.append(
            StepNow(number, step.do, step.caution, step.lasts_s, done_at, since, enough_at, short)
        )
        before = done_at
    return tuple(found)


def _caution(rule: Rule, about: str, *, lies: bool, holds: bool) -> str:
    if not holds:
        return "It was left for over a day: what was clean then may not be now." if lies else ""
    where = "the keg" if rule.of == "keg" else "the line"
    if not lies:
        return f"Cleaner is in {where}: nobody drinks from it until it is rinsed."
    named = "" if about == CELLAR else f" ({part(rule.of, about)})"
    return (
        f"It was left for over a day with cleaner in {where}{named}. The solution must not stay "
        "there: it eats at tubing and seals, and the next glass would hold it. Nobody drinks from "
        "it. Gloves and eye protection on, no pressure on it: rinse it now until a pH strip reads "
        "as your tap water does, then begin again."
    )
