"""Write down what happened: each event admitted against the log, all of them written or none.

The one way into the log for the terminal, the pages and the API.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar import entries
from ullage.cellar.admit import admit
from ullage.cellar.entries import Added
from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import HouseholdSet, Undone
from ullage.cellar.standing import before
from ullage.cellar.state import CellarState
from ullage.cellar.store import Store
from ullage.errors import Conflict

TRIES: Final = 4
"""How often events are admitted anew because someone else wrote to their streams meanwhile."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What came of it: the events written, those the log had already, and what is odd of them."""

    events: tuple[Event, ...]
    known: tuple[str, ...]
    warnings: tuple[str, ...]


def record(
    store: Store,
    events: Sequence[Event],
    now: datetime,
    expected: Mapping[str, int] | None = None,
) -> Recorded:
    """Admit events in their order and write them, all or none.

    `now`: what counts as the future. `expected`: the number that the newest event of a stream had
    when the caller read it. Raises `EventError` for one that cannot be, and `Conflict` where a
    stream has moved on, or where others keep writing to the same streams.
    """
    changes_all = Undone | HouseholdSet | ConstantsKept
    quick = not any(event.planned or isinstance(event, changes_all) for event in events)
    for attempt in range(TRIES):
        found = _read(store, events, quick, expected or {})
        warnings = _admitted(found, events, now)
        try:
            added = store.append(events, found.numbers)
        except Conflict:
            if attempt == TRIES - 1:
                raise
            continue
        return _outcome(events, added, warnings)
    raise AssertionError("unreachable")


@dataclass(frozen=True, slots=True)
class _Log:
    """What is read before events are taken in: what they are held against, and what they follow.

    `here`: ids of those that are written down already; `numbers`: of each stream's newest event.
    """

    begun: CellarState
    log: tuple[Event, ...]
    settings: tuple[Event, ...]
    here: Collection[str]
    numbers: Mapping[str, int]


def _read(store: Store, events: Sequence[Event], quick: bool, expected: Mapping[str, int]) -> _Log:
    """The whole log, or from a state of not long before on where facts alone are written.

    The numbers are read first: what is written in between is then a conflict.
    """
    with store.reading() as connection:
        numbers = {
            stream: entries.last_number(connection, store.cellar, stream)
            for stream in {*(event.stream for event in events), *expected}
        }
        here = entries.by_ids(connection, store.cellar, {event.id for event in events})
        if len(here) < len({event.id for event in events}):
            entries.check_numbers(numbers, expected)
        if quick and events:
            # from before its own moment on, so that what was recorded for that is among the facts
            first = min(event.at for event in events) - timedelta(microseconds=1)
            found = before(connection, store.cellar, first)
            return _Log(found.begun, found.facts, found.settings, here.keys(), numbers)
        rows = entries.after(connection, store.cellar, 0)
    log = tuple(one.event for one in rows)
    return _Log(CellarState(), log, log, here.keys(), numbers)


def _admitted(found: _Log, events: Sequence[Event], now: datetime) -> tuple[str, ...]:
    log, settings = [*found.log], [*found.settings]
    warnings: list[str] = []
    for event in events:
        if event.id in found.here:
            continue
        home = assumed(household([*settings, event]))
        warnings += admit(event, log, now, home, found.begun)
        log.append(event)
        settings.append(event)
    return tuple(warnings)


def _outcome(events: Sequence[Event], added: Added, warnings: tuple[str, ...]) -> Recorded:
    written = set(added.written)
    return Recorded(
        events=tuple(event for event in events if event.id in written),
        known=tuple(added.known),
        warnings=warnings,
    )
