"""Procedures that are begun and not finished: which steps are done, and since when.

Kept as a text beside the log (`DOCUMENT`), so that they outlast a restart and stand in every
browser. Whoever changes it says which version was read; where someone else was quicker, it is read
again and the change is made anew, so that no tick is lost.
"""

from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from ullage.cellar.events import Event
from ullage.cellar.happening import Id, Moment, Name, new_id
from ullage.cellar.recording import Recorded, record
from ullage.cellar.store import Store
from ullage.errors import OutOfRange
from ullage.plan.clean_drive import Drive
from ullage.plan.kept_text import KeptText
from ullage.plan.procedures import USUAL_DRIVE
from ullage.plan.upkeep import done
from ullage.system.upkeep_rules import Rule

DOCUMENT: Final = "procedures begun"
"""The name under which the store keeps them."""
MOST_BEGUN: Final = 200
Number = Annotated[int, Field(ge=1, le=99)]
Share = Annotated[float, Field(gt=0.0, le=1.0, allow_inf_nan=False)]


class Setup(BaseModel):
    """What a procedure was begun with: strength of the cleaner, if said, and what moves it."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    strength: Share | None = None
    drive: Drive = USUAL_DRIVE


USUAL: Final = Setup()


class Tick(BaseModel):
    """A step that was done, and when."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    step: Number
    at: Moment


class Begun(BaseModel):
    """A procedure on a part, under way.

    `id`: that of the event which will tell that it was done, so that it is told once however many
    finish it. `form`: of the steps that the numbers belong to.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Id = Field(default_factory=new_id)
    task: Name
    about: Name
    begun_at: Moment
    form: str
    setup: Setup = USUAL
    ticks: tuple[Tick, ...] = ()

    def ticked(self, step: int) -> datetime | None:
        """When a step was done; `None` while it is not."""
        return next((one.at for one in self.ticks if one.step == step), None)

    def of(self, task: str, about: str) -> bool:
        """Whether it is this task on this part."""
        return (self.task, self.about) == (task, about)


class AllBegun(BaseModel):
    """Every procedure under way, the oldest first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    version: Literal[1] = 1
    begun: Annotated[tuple[Begun, ...], Field(max_length=MOST_BEGUN)] = ()

    def find(self, task: str, about: str) -> Begun | None:
        """The one of a task on a part; `None` where it is not begun."""
        return next((one for one in self.begun if one.of(task, about)), None)

    def without(self, task: str, about: str) -> tuple[Begun, ...]:
        """All but the one of a task on a part."""
        return tuple(one for one in self.begun if not one.of(task, about))


KEPT: Final = KeptText(DOCUMENT, AllBegun(), "what is kept of begun procedures")


def form_of(rule: Rule) -> str:
    """What the numbers of a rule's steps belong to: another where its steps are others."""
    told = "\x1f".join(step.do for step in rule.steps)
    return sha256(told.encode()).hexdigest()[:16]


def begun_of(store: Store) -> AllBegun:
    """What a store keeps. Raises `StoreError` where it cannot be read."""
    return KEPT.read(store)[0]


def tick(
    store: Store,
    rule: Rule,
    about: str,
    steps: tuple[int, ...],
    at: datetime,
    setup: Setup | None = None,
    seen: str = "",
) -> Begun | None:
    """Note that steps (1, 2 …) were done at a moment; the first one begins it.

    `setup`: what it is gone on with; `None`: what it was begun with.

    `seen`: the id of what whoever ticks sees as begun; where that is finished or dropped meanwhile,
    nothing is noted, and `None` given, so that a late tick begins nothing new.
    One that is noted already keeps its moment. Raises `OutOfRange` for a step there is not, or
    where the steps are no longer those that were begun with.
    """
    _check(rule, steps)

    def changed(here: AllBegun) -> tuple[AllBegun, Begun | None]:
        kept = here.find(rule.name, about)
        if seen and (kept is None or kept.id != seen):
            return here, None
        found = kept or _fresh(rule, about, at, setup or USUAL)
        _same_steps(found, rule)
        found = found.model_copy(update={"setup": setup or found.setup})
        new = tuple(Tick(step=one, at=at) for one in dict.fromkeys(steps) if not found.ticked(one))
        told = sorted((*found.ticks, *new), key=lambda one: one.step)
        return _with(here, found.model_copy(update={"ticks": tuple(told)}))

    return KEPT.change(store, changed)


def untick(store: Store, rule: Rule, about: str, step: int) -> Begun | None:
    """Note that a step was not done after all; `None` where nothing is begun."""
    _check(rule, (step,))

    def changed(here: AllBegun) -> tuple[AllBegun, Begun | None]:
        found = here.find(rule.name, about)
        if found is None:
            return here, None
        kept = tuple(one for one in found.ticks if one.step != step)
        return _with(here, found.model_copy(update={"ticks": kept}))

    return KEPT.change(store, changed)


def begin(store: Store, rule: Rule, about: str, at: datetime, setup: Setup = USUAL) -> Begun:
    """Begin a procedure, anew where it was begun already: nothing of it is done."""

    def changed(here: AllBegun) -> tuple[AllBegun, Begun]:
        return _with(here, _fresh(rule, about, at, setup))

    return KEPT.change(store, changed)


def drop(store: Store, task: str, about: str) -> None:
    """Forget a procedure that was begun; nothing happens where it was not."""
    KEPT.change(store, lambda here: (AllBegun(begun=here.without(task, about)), None))


def finish(store: Store, rule: Rule, about: str, now: datetime) -> Recorded | None:
    """Write a procedure down as done once every step is, and forget it; `None` before that.

    The event has the id and the moment of what was begun, so two who finish it at once, or one who
    comes back after a crash in between, write it once. Raises `EventError`: then it stays begun.
    """
    found = begun_of(store).find(rule.name, about)
    if found is None or not is_finished(found, rule):
        return None
    told = record(store, [_event(found, rule)], now)
    KEPT.change(store, lambda here: (_forgotten(here, found.id), None))
    return told


def is_finished(begun: Begun, rule: Rule) -> bool:
    """Whether every step of the rule is done."""
    return all(begun.ticked(number) for number in range(1, len(rule.steps) + 1))


def _event(begun: Begun, rule: Rule) -> Event:
    last = max(one.at for one in begun.ticks)
    return done(rule, begun.about, last).model_copy(update={"id": begun.id})


def _fresh(rule: Rule, about: str, at: datetime, setup: Setup) -> Begun:
    return Begun(task=rule.name, about=about, begun_at=at, form=form_of(rule), setup=setup)


def _with(here: AllBegun, one: Begun) -> tuple[AllBegun, Begun]:
    kept = here.without(one.task, one.about)
    if len(kept) >= MOST_BEGUN:
        raise OutOfRange(f"{MOST_BEGUN} procedures are begun already: finish or drop one of them")
    return AllBegun(begun=tuple(sorted((*kept, one), key=lambda each: each.begun_at))), one


def _forgotten(here: AllBegun, name: str) -> AllBegun:
    return AllBegun(begun=tuple(one for one in here.begun if one.id != name))


def _check(rule: Rule, steps: tuple[int, ...]) -> None:
    last = len(rule.steps)
    for one in steps:
        if not 1 <= one <= last:
            raise OutOfRange(f"{rule.title}: there is no step {one}; its steps are 1 to {last}")


def _same_steps(begun: Begun, rule: Rule) -> None:
    if begun.form != form_of(rule):
        raise OutOfRange(
            f"{rule.title}: its steps are no longer those that were begun with: begin again"
        )
