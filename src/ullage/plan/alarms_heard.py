"""What was told of alarms and who heard it, kept as a text beside the log (`DOCUMENT`).

Whoever changes it says which version was read; where someone else was quicker, it is read again and
decided anew, so that two who tell at once tell a thing once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Final

from pydantic import ValidationError

from ullage.cellar.store import Store
from ullage.errors import Conflict, StoreError
from ullage.plan.alarms_answer import Alarm
from ullage.plan.alarms_telling import Heard, after_seeing, after_telling, after_unseeing, due
from ullage.system.parts import unknown

DOCUMENT: Final = "alarms heard"
"""The name under which the store keeps it."""
TRIES: Final = 50
"""How often a change is made anew because someone else was quicker."""


def heard_of(store: Store) -> Heard:
    """What a store keeps. Raises `StoreError` where it cannot be read."""
    return _read(store)[0]


def see(
    store: Store, found: Sequence[Alarm], key: str, at: datetime, quiet: timedelta | None = None
) -> Alarm:
    """Note that somebody saw one of the alarms that hold, by its key; `quiet`: for how long.

    Raises `UnknownName` where none of that key holds.
    """
    alarm = next((one for one in found if one.key == key), None)
    if alarm is None:
        raise unknown("alarm that holds", key, [one.key for one in found])
    _changed(store, lambda heard: after_seeing(heard, alarm, at, quiet))
    return alarm


def unsee(store: Store, key: str) -> None:
    """Forget that an alarm was seen; nothing happens where it was not."""
    _changed(store, lambda heard: after_unseeing(heard, key))


def tell(store: Store, found: Sequence[Alarm], at: datetime) -> tuple[Alarm, ...]:
    """Note that those which are due are told now, and return them: whoever asks has to tell them.

    It is noted first, so that a stop in between leaves one untold until its next turn, never told
    twice; the page shows it all the while.
    """
    told: tuple[Alarm, ...] = ()

    def change(heard: Heard) -> Heard:
        nonlocal told
        told = due(found, heard, at)
        return after_telling(heard, told, at) if told else heard

    _changed(store, change)
    return told


def _changed(store: Store, change: Callable[[Heard], Heard]) -> None:
    for attempt in range(TRIES):
        here, version = _read(store)
        after = change(here)
        if after == here:
            return
        try:
            store.put_document(DOCUMENT, after.model_dump_json(), version)
        except Conflict:
            if attempt == TRIES - 1:
                raise
            continue
        return


def _read(store: Store) -> tuple[Heard, int]:
    kept = store.get_document(DOCUMENT)
    if kept is None:
        return Heard(), 0
    try:
        return Heard.model_validate_json(kept.text), kept.version
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise StoreError(
            f"what is kept of heard alarms cannot be read at {where or 'its start'}: {first['msg']}"
        ) from None
