"""What the status tells of upkeep: lines that are to be cleaned, and procedures that are begun."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ullage.cellar.standing import Standing
from ullage.cellar.store import Store
from ullage.plan.present import present_system, told_of
from ullage.plan.upkeep import Task
from ullage.plan.upkeep_changes import changes_of
from ullage.plan.upkeep_of_cylinders import tests_overdue
from ullage.plan.upkeep_of_taps import Describe, lines_to_clean
from ullage.plan.upkeep_progress import begun_of
from ullage.plan.upkeep_under_way import UnderWay, all_under_way, still_to_begin


@dataclass(frozen=True, slots=True)
class UpkeepNow:
    """The task of cleaning each line, due or not, unless that is under way; and what is, the oldest
    first. `tests`: of cylinders whose test is overdue.

    The other tasks are told by `upkeep`, which reads the whole log.
    """

    lines: tuple[Task, ...] = ()
    begun: tuple[UnderWay, ...] = ()
    tests: tuple[Task, ...] = ()


NO_UPKEEP: Final = UpkeepNow()


def upkeep_now(store: Store, standing: Standing, describe: Describe) -> UpkeepNow:
    """What a store tells of upkeep beside how its cellar stands; as quick over a long log.

    `describe` gives what its system file describes; it is asked only where that matters, since to
    read a file in units takes longer than all the rest. Raises `StoreError`.
    """
    changes = changes_of(store)
    lines = lines_to_clean(store, standing, changes, describe)
    tests = tests_overdue(store, standing, changes)
    begun = begun_of(store)
    if not begun.begun:
        return UpkeepNow(lines, tests=tests)
    words = told_of(store, standing, "tapped")
    system = present_system(describe(), standing.now, words)
    under_way = all_under_way(begun, system, standing.at, changes)
    return UpkeepNow(still_to_begin(lines, under_way), under_way, still_to_begin(tests, under_way))
