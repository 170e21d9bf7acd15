"""How an empty keg was made ready for its next beer, by the log since its last one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event, facts_until
from ullage.cellar.keg_events import (
    Filled,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    Kicked,
    Purged,
)

ENDS: Final = (Filled, KegAcquired, Kicked)
"""What was done to a keg before one of these was not done for its next beer."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """When an empty keg was cleaned, sanitised and purged since its last beer; `None`: not told.

    `stripped`: taken apart for it. `pushed`: the sanitiser was pushed out with gas, so that it
    holds no air. Opening it to clean it undoes sanitising and purging, sanitising it a purge.
    """

    cleaned_at: datetime | None = None
    stripped: bool = False
    sanitised_at: datetime | None = None
    pushed: bool = False
    purged_at: datetime | None = None


NOT_PREPARED: Final = Prepared()


def prepared(log: Sequence[Event], keg: str, at: datetime) -> Prepared:
    """How a keg stands by the facts of a log up to a moment; a full one is not prepared."""
    found = NOT_PREPARED
    for event in facts_until(log, at):
        if event.stream != f"keg:{keg}":
            continue
        if isinstance(event, ENDS):
            found = NOT_PREPARED
        elif isinstance(event, KegCleaned):
            found = Prepared(event.at, event.stripped or found.stripped)
        elif isinstance(event, KegSanitised):
            found = replace(found, sanitised_at=event.at, pushed=event.pushed, purged_at=None)
        elif isinstance(event, Purged):
            found = replace(found, purged_at=event.at)
    return found
