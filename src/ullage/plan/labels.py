"""What can bear a label: each keg, tap and cylinder that is there, with what its tag says of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal, get_args

from ullage.cellar.events import Event
from ullage.cellar.state import CellarState
from ullage.errors import UnknownName
from ullage.plan.cylinder_stamps import stamps_of
from ullage.plan.present import present_system, told
from ullage.plan.spoken import by_number, part
from ullage.plan.upkeep import Task, upkeep
from ullage.plan.upkeep_changes import NO_CHANGES, Changes
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.system.model import System

LabelKind = Literal["keg", "tap", "cylinder"]
LABEL_KINDS: Final[tuple[LabelKind, ...]] = get_args(LabelKind)
TEST: Final = "requalify"
"""The rule of upkeep that a cylinder's test date is told by."""


@dataclass(frozen=True, slots=True)
class Labelled:
    """One thing and what its tag says of it.

    `what`: its kind or size in the catalogue's words, "" of a tap. `tare_kg`: its empty weight as
    stamped, kg; `tested`, `test_due`: days. `None` where it is not known, or of no such thing.
    """

    kind: LabelKind
    name: str
    what: str = ""
    tare_kg: float | None = None
    tested: date | None = None
    test_due: date | None = None

    @property
    def called(self) -> str:
        """What it is called in a sentence: `keg K1`."""
        return part(self.kind, self.name)


@dataclass(frozen=True, slots=True)
class Written:
    """What is written down by a moment: the log, what it comes to, and how upkeep is kept here."""

    log: Sequence[Event]
    state: CellarState
    changes: Changes = NO_CHANGES


def labelled(
    described: System | None, at: datetime, written: Written | None = None
) -> tuple[Labelled, ...]:
    """Everything that can bear a label: kegs, taps, cylinders, each kind by name.

    `described`: what the system file tells; `written`: what the log tells since, without which the
    file is all there is. With a log only what it knows is there, as only that has a record page.
    """
    if written is None:
        system = described or System(name="none")
        due = upkeep(system, (), at)
    else:
        system = _known(described, written)
        due = upkeep(system, written.log, at, written.changes)
    tests = {one.about: one for one in due.tasks if one.task == TEST}
    log = () if written is None else written.log
    return tuple(_all(system, _tares(described, log), tests))


def _known(described: System | None, written: Written) -> System:
    """The system as it stands, with those kegs and cylinders only that the log knows."""
    system, state = present_system(described, written.state, told(written.log)), written.state
    kegs = tuple(one for one in system.kegs if one.name in state.kegs)
    cylinders = tuple(one for one in system.cylinders if one.name in state.cylinders)
    return system.model_copy(update={"kegs": kegs, "cylinders": cylinders})


def chosen(things: Sequence[Labelled], wanted: Iterable[str]) -> tuple[Labelled, ...]:
    """Those that are wanted, in their own order: `keg`, all of a kind, or `keg:K1`.

    Raises `UnknownName` with what there is.
    """
    asked = set(wanted)
    names = {f"{one.kind}:{one.name}" for one in things}
    for one in sorted(asked - names - set(LABEL_KINDS)):
        kind, _, name = one.partition(":")
        there = [thing.name for thing in things if thing.kind == kind]
        if kind not in LABEL_KINDS:
            raise UnknownName(f'"{one}" is no thing that bears a label: write keg, tap or cylinder')
        raise UnknownName(
            f'there is no {kind} called "{name}"; there are: {", ".join(there) or "none"}'
        )
    return tuple(one for one in things if one.kind in asked or f"{one.kind}:{one.name}" in asked)


def overdue(things: Iterable[Labelled], day: date) -> tuple[Labelled, ...]:
    """The cylinders whose test was due before that day."""
    return tuple(one for one in things if one.test_due is not None and one.test_due < day)


def _all(
    system: System, tares: dict[str, float | None], tests: dict[str, Task]
) -> Iterator[Labelled]:
    for keg in sorted(system.kegs, key=lambda one: by_number(one.name)):
        if not keg.to_buy:
            yield Labelled("keg", keg.name, parts.keg_kind(keg.kind).title)
    for tap in sorted(system.taps, key=lambda one: by_number(one.name)):
        if not tap.to_buy:
            yield Labelled("tap", tap.name)
    for one in sorted(system.cylinders, key=lambda one: by_number(one.name)):
        if not one.to_buy:
            yield _cylinder(one, tares.get(one.name), tests.get(one.name))


def _tares(described: System | None, log: Iterable[Event]) -> dict[str, float | None]:
    """The empty weights that the system file tells, of a cylinder swapped since those then told."""
    filed = {} if described is None else {one.name: one.tare for one in described.cylinders}
    stamps = stamps_of(log)
    return filed | {name: one.tare_kg for name, one in stamps.items() if one.tells_tare}


def _cylinder(one: Cylinder, tare_kg: float | None, test: Task | None) -> Labelled:
    last = None if test is None or test.last_at is None else test.last_at.astimezone().date()
    due = None if test is None or test.due_at is None else test.due_at.astimezone().date()
    tested = max((day for day in (one.requalified, last) if day is not None), default=None)
    title = parts.cylinder_size(one.size).title
    return Labelled("cylinder", one.name, title, tare_kg, tested, due if tested else None)
