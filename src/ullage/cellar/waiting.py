"""What counts of a whole log whatever its moment: the household as set, and steps that wait.

It can be carried on with the events that were written since, without those before.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from ullage.cellar.events import Event
from ullage.cellar.household import Household, household
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import HouseholdSet, Undone

AnyEvent = Annotated[Event, Field(discriminator="kind")]
"""An event that is read by its kind where this is part of a text."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """Settings of the household and planned steps that wait, as they stand in the log.

    `undone` and `done`: ids of events that were taken back or fulfilled before they were in the log
    (as it can be where two logs were merged).
    """

    settings: tuple[AnyEvent, ...] = ()
    planned: tuple[AnyEvent, ...] = ()
    undone: tuple[str, ...] = ()
    done: tuple[str, ...] = ()

    @property
    def home(self) -> Household:
        """The household as set last."""
        return household(self.settings)

    @property
    def steps(self) -> tuple[Event, ...]:
        """Planned steps that no fact fulfilled and that were not taken back, by their moment."""
        return tuple(sorted(self.planned, key=lambda event: event.at))


def carried_on(before: Waiting, new: Sequence[Event], known: Collection[str]) -> Waiting:
    """The same after more events of the log.

    `known`: the ids, of those that the events take back or fulfil, that the log had before.
    Whoever takes back an event of before that fulfilled a step must begin anew: that step waits
    again.
    """
    gone = {*before.undone, *(event.event for event in new if isinstance(event, Undone))}
    counted = [event for event in new if not isinstance(event, Undone) and event.id not in gone]
    done = {*before.done, *(event.does for event in counted if event.does is not None)}
    here = {*known, *(event.id for event in (*new, *before.planned, *before.settings))}
    settings = [event for event in counted if isinstance(event, HouseholdSet | ConstantsKept)]
    planned = [event for event in counted if event.planned]
    return Waiting(
        settings=(*_without(before.settings, gone), *settings),
        planned=_without((*before.planned, *planned), gone | done),
        undone=tuple(sorted(gone - here)),
        done=tuple(sorted(done - here)),
    )


def _without(events: Iterable[Event], ids: Collection[str]) -> tuple[Event, ...]:
    return tuple(event for event in events if event.id not in ids)
