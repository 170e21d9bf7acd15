"""Planned steps taken back, as whoever plans anew does with what waits of the plan before."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from ullage.cellar.events import Event
from ullage.cellar.other_events import Undone
from ullage.cellar.recording import record
from ullage.cellar.store import Store


def written(store: Store) -> list[Event]:
    """All events of a store, in the order they were written."""
    return [one.event for one in store.read()]


def undone(events: Iterable[Event], now: datetime) -> list[Event]:
    """The events that take others back, written at `now`."""
    return [Undone(at=now, event=event.id, of=event.stream) for event in events]


def take_back(store: Store, events: Iterable[Event], now: datetime) -> int:
    """Take events back in one go, and say how many; nothing is written where there are none.

    Raises what `record` raises: then none is taken back.
    """
    back = undone(events, now)
    if back:
        record(store, back, now)
    return len(back)
