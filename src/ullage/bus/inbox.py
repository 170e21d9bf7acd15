"""What was heard, taken into the store: many at once, none twice, and none lost on the way.

A message is acknowledged only after the store has committed what it said. If the line is lost in
between, the broker sends it again: one that told its own moment is known by that, any other by its
number and its words, which are remembered for a while.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, TypeAlias

from ullage.bus.broker import Heard
from ullage.cellar.store import Store
from ullage.errors import UnitError
from ullage.payload import Said, read_message
from ullage.plan import sensed
from ullage.plan.sensed import Reading
from ullage.plan.sensed_facts import Watched
from ullage.plan.sensed_follow import Followed

REMEMBERED: Final = 10_000
"""Messages that are known again when they come once more."""
TOLD_FIRST, TOLD_EACH = 3, 100
"""Of what is refused of a sensor the first few are told, then one in a hundred."""
Tell: TypeAlias = Callable[[str], None]
_Mark: TypeAlias = tuple[int, str, bytes]


@dataclass(slots=True)
class Tally:
    """What came of listening so far: readings that are new, known and refused, those that a broker
    had kept for who knows how long, and facts that were written or that the log would not take."""

    new: int = 0
    known: int = 0
    refused: int = 0
    stale: int = 0
    facts: int = 0
    doubts: int = 0


@dataclass(slots=True)
class Inbox:
    """Takes messages into a store; `tell` is told, in a line, what a person should know."""

    store: Store
    tell: Tell
    tally: Tally = field(default_factory=Tally)
    _done: OrderedDict[_Mark, None] = field(default_factory=OrderedDict)
    _refused: dict[str, int] = field(default_factory=dict)

    def take(self, heard: Sequence[Heard], now: datetime) -> Followed:
        """Take messages in: when this returns, the store has them, and they may be acknowledged.

        Raises `UllageError` where the store or the system file cannot be read or written: then
        nothing of it is sure, and the same is to be taken in again.
        """
        sensors = sensed.sensors_of(self.store)
        readings: list[Reading] = []
        bad: list[tuple[str, str]] = []
        known = stale = 0
        each = ((one, by) for one in heard for by in _speakers(one.topic, sensors))
        for one, watched in each:
            try:
                said = _said(one, watched)
                if said.at is None and one.again and _mark(one) in self._done:
                    known += 1
                elif said.at is None and one.kept:
                    stale += 1
                else:
                    readings.append(_reading(said, one, watched))
            except UnitError as wrong:
                bad.append((watched.sensor.name, str(wrong)))
        done = sensed.take_in(self.store, readings, now)
        for one in heard:
            self._remember(one)
        self.tally.new += done.new
        self.tally.known += done.known + known
        self.tally.stale += stale
        for source, why in [*bad, *((one.source, one.why) for one in done.refused)]:
            self._refuse(source, why)
        return done.followed

    def _remember(self, one: Heard) -> None:
        self._done[_mark(one)] = None
        self._done.move_to_end(_mark(one))
        if len(self._done) > REMEMBERED:
            self._done.popitem(last=False)

    def _refuse(self, source: str, why: str) -> None:
        count = self._refused.get(source, 0) + 1
        self._refused[source] = count
        self.tally.refused += 1
        if count <= TOLD_FIRST or count % TOLD_EACH == 0:
            self.tell(f"{source}: {why} ({count} refused so far)")


def _speakers(topic: str, sensors: Mapping[str, Watched]) -> list[Watched]:
    """The sensors that speak on a topic: several, where a message holds several numbers."""
    return [one for one in sensors.values() if one.sensor.topic == topic]


def _said(one: Heard, watched: Watched) -> Said:
    return read_message(one.payload, watched.sensor.value, watched.sensor.time)


def _reading(said: Said, one: Heard, watched: Watched) -> Reading:
    sensor, value = watched.sensor, said.value
    si = sensor.si_of_text(value) if isinstance(value, str) else sensor.si_of_number(value)
    return Reading(sensor.name, said.at or one.at, si)


def _mark(one: Heard) -> _Mark:
    return one.mid, one.topic, one.payload
