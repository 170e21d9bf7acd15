"""What is in which fermenter, told by what was brewed and by what kegs were filled with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import Brewed

PACKAGING: Final = timedelta(days=1)
"""Kegs that are filled within a day of the first are of one batch, which is gone then; our rule."""


@dataclass(frozen=True, slots=True)
class InFermenter:
    """A batch in a fermenter; it is empty once a keg was filled from it, first at `drawn_at`."""

    fermenter: str
    batch: str
    volume_m3: float
    brewed_at: datetime
    event: str
    drawn_at: datetime | None = None
    drawn_m3: float = 0.0


def in_fermenters(log: Sequence[Event], at: datetime) -> tuple[InFermenter, ...]:
    """The batches that are in a fermenter at a moment, by the facts of a log, the oldest first.

    A keg says from which fermenter it was filled; if it does not, it is the one in which its batch
    is longest.
    """
    found: dict[str, InFermenter] = {}
    for event in in_order(log):
        if event.planned or event.at > at:
            continue
        if isinstance(event, Brewed):
            found[event.fermenter] = InFermenter(
                event.fermenter, event.batch, event.volume_m3, event.at, event.id
            )
        elif isinstance(event, Filled):
            source = _source(found, event)
            if source is not None:
                found[source.fermenter] = replace(
                    source,
                    drawn_at=source.drawn_at or event.at,
                    drawn_m3=source.drawn_m3 + (event.volume_m3 or 0.0),
                )
    there = [one for one in found.values() if one.drawn_at is None]
    return tuple(sorted(there, key=lambda one: one.brewed_at))


def _source(found: dict[str, InFermenter], event: Filled) -> InFermenter | None:
    """The fermenter that a keg was filled from."""
    if event.fermenter is not None:
        return found.get(event.fermenter)
    fit = [one for one in found.values() if one.batch == event.batch and _gives(one, event)]
    return min(fit, key=lambda one: (one.drawn_at is None, one.brewed_at), default=None)


def _gives(one: InFermenter, event: Filled) -> bool:
    """Whether anything is in it yet: packaging takes a day, and no more comes than it held."""
    if one.drawn_at is None:
        return True
    return event.at - one.drawn_at <= PACKAGING and one.drawn_m3 < one.volume_m3
