"""What was told of alarms and who heard it, kept as a text beside the log (`DOCUMENT`).

Whoever changes it says which version was read; where someone else was quicker, it is read again and
decided anew, so that two who tell at once tell a thing once.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.store import Store
from ullage.plan.alarms_answer import Alarm
from ullage.plan.alarms_telling import Heard, after_seeing, after_telling, after_unseeing, due
from ullage.plan.kept_text import KeptText
from ullage.system.parts import unknown

DOCUMENT: Final = "alarms heard"
"""The name under which the store keeps it."""
HEARD: Final = KeptText(DOCUMENT, Heard(), "what is kept of heard alarms")


def heard_of(store: Store) -> Heard:
    """What a store keeps. Raises `StoreError` where it cannot be read."""
    return HEARD.read(store)[0]


def see(
    store: Store, found: Sequence[Alarm], key: str, at: datetime, quiet: timedelta | None = None
) -> Alarm:
    """Note that somebody saw one of the alarms that hold, by its key; `quiet`: for how long.

    Raises `UnknownName` where none of that key holds.
    """
    alarm = next((one for one in found if one.key == key), None)
    if alarm is None:
        raise unknown("alarm that holds", key, [one.key for one in found])
    HEARD.change(store, lambda heard: (after_seeing(heard, alarm, at, quiet), None))
    return alarm


def unsee(store: Store, key: str) -> None:
    """Forget that an alarm was seen; nothing happens where it was not."""
    HEARD.change(store, lambda heard: (after_unseeing(heard, key), None))


def tell(store: Store, found: Sequence[Alarm], at: datetime) -> tuple[Alarm, ...]:
    """Note that those which are due are told now, and return them: whoever asks has to tell them.

    It is noted first, so that a stop in between leaves one untold until its next turn, never told
    twice; the page shows it all the while.
    """

    def change(heard: Heard) -> tuple[Heard, tuple[Alarm, ...]]:
        told = due(found, heard, at)
        return (after_telling(heard, told, at) if told else heard), told

    return HEARD.change(store, change)
