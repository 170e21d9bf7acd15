"""Cylinders whose test is overdue, told as quickly over a long log as over a short one.

Only the dates in the system file are read, without its units, and what the log says of swaps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Final

from ullage.cellar.events import Event, facts_until
from ullage.cellar.other_events import UpkeepDone
from ullage.cellar.standing import Standing
from ullage.cellar.store import Store
from ullage.plan.begin import tables_of
from ullage.plan.cylinder_stamps import stamps_of
from ullage.plan.upkeep import Task, tasks_of
from ullage.plan.upkeep_changes import Changes, in_force
from ullage.system.cylinder import Cylinder
from ullage.system.model import System

REQUALIFY: Final = "requalify"
"""The task that the status tells of, once its day is past."""

TOLD: Final = ("cylinder_swapped", "cylinder_weighed", "upkeep_done", "undone")
"""What the log says of a cylinder's test, and what is taken back of that."""


def tests_overdue(store: Store, standing: Standing, changes: Changes) -> tuple[Task, ...]:
    """The task of having each cylinder tested whose day is past, as `upkeep` has it; none where it
    is switched off. Raises `StoreError`.
    """
    rules = [one for one in in_force(changes) if one.name == REQUALIFY]
    if not rules:
        return ()
    known = {one.name: one for one in _described(store)}
    log = facts_until(_words(store, {*known, *standing.now.cylinders}), standing.at)
    tested = {one.about for one in log if isinstance(one, UpkeepDone) and one.task == REQUALIFY}
    stamped = {name: stamps.tested for name, stamps in stamps_of(log).items()}
    for name in {**stamped, **dict.fromkeys(sorted(tested))}:
        one = known.get(name) or _cylinder(name)
        told = stamped.get(name) or one.requalified
        known[name] = one.model_copy(update={"requalified": told})
    cylinders = tuple(known.values())
    named = System.model_construct(name="", taps=(), kegs=(), cylinders=cylinders, regulators=())
    found = tasks_of(rules, named, log, standing.at)
    return tuple(one for one in found if one.due_at is not None and one.due_at <= standing.at)


def _words(store: Store, names: Iterable[str]) -> Iterator[Event]:
    """What the log says of each cylinder's test, by its own streams: quick, however long it is."""
    for name in sorted(names):
        for stream in (f"cylinder:{name}", f"cellar:{name}"):
            yield from (one.event for one in store.read(stream, kinds=TOLD))


def _described(store: Store) -> Iterator[Cylinder]:
    """The cylinders of the system file, each with its test date if it has one."""
    for one in tables_of(store, "cylinder"):
        is_wish = one.get("to_buy") is True
        yield _cylinder(str(one["name"]), _date(one.get("requalified")), is_wish)


def _cylinder(name: str, tested: date | None = None, is_wish: bool = False) -> Cylinder:
    return Cylinder.model_construct(
        name=name, size="", place="", requalified=tested, to_buy=is_wish
    )


def _date(told: object) -> date | None:
    """A day as TOML writes it, or as a text; `None` for anything else."""
    if isinstance(told, date):
        return told
    try:
        return date.fromisoformat(told) if isinstance(told, str) else None
    except ValueError:
        return None
