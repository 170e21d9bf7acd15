"""Events on their way into the store, column by column: ten thousand are added at a time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import repeat
from typing import Final, Self

from ullage.cellar.events import Event
from ullage.cellar.moments import microseconds
from ullage.errors import EventError

COLUMNS: Final = (
    "cellar",
    "id",
    "stream",
    "number",
    "kind",
    "at",
    "planned",
    "recorded_at",
    "body",
)
"""The columns of the log that `Batch.rows` gives, in its order."""

LONGEST: Final = 100
"""Letters of a stream's name: a thing's name has 80 at most, and its kind comes before it."""
_NAME: Final = re.compile(rf"[^\x00-\x1f\x7f]{{1,{LONGEST}}}")


@dataclass(slots=True)
class Batch:
    """Events to be added, in their order; a number is 0 for an event that has none yet.

    `line`: where the first stands in the file they come from, 0 if they come from none.
    """

    line: int = 0
    ids: list[str] = field(default_factory=list)
    streams: list[str] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    moments: list[int] = field(default_factory=list)
    planned: list[bool] = field(default_factory=list)
    recorded_at: list[str] = field(default_factory=list)
    bodies: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        """Return how many events it holds."""
        return len(self.ids)

    def add(
        self,
        events: Sequence[Event],
        bodies: Iterable[str],
        recorded_at: Iterable[str],
        numbers: Iterable[int],
    ) -> None:
        """Add events with what is kept of each. Raises `EventError` for one that cannot be."""
        self.ids += [event.id for event in events]
        self.streams += [check_name(event.stream) for event in events]
        self.numbers += numbers
        self.kinds += [event.kind for event in events]
        self.moments += [microseconds(event.at) for event in events]
        self.planned += [event.planned for event in events]
        self.recorded_at += recorded_at
        self.bodies += bodies

    def place(self, index: int) -> str:
        """Return where an event of it stands, for messages to begin with: `line 12: `."""
        return f"line {self.line + index}: " if self.line else ""

    def only(self, wanted: Sequence[int]) -> Self:
        """Return the events of these indexes."""
        if len(wanted) == len(self):
            return self
        return type(self)(
            ids=[self.ids[index] for index in wanted],
            streams=[self.streams[index] for index in wanted],
            numbers=[self.numbers[index] for index in wanted],
            kinds=[self.kinds[index] for index in wanted],
            moments=[self.moments[index] for index in wanted],
            planned=[self.planned[index] for index in wanted],
            recorded_at=[self.recorded_at[index] for index in wanted],
            bodies=[self.bodies[index] for index in wanted],
        )

    def rows(self, cellar: str, numbers: Sequence[int]) -> Iterator[tuple[object, ...]]:
        """Yield the rows of the log, with the numbers the events are given there."""
        return zip(
            repeat(cellar),
            self.ids,
            self.streams,
            numbers,
            self.kinds,
            self.moments,
            self.planned,
            self.recorded_at,
            self.bodies,
            strict=False,  # the cellar is the same for all
        )


def single_batch(events: Sequence[Event], bodies: Iterable[str], recorded_at: str) -> Batch:
    """Return events that are recorded now, with no numbers yet. Raises `EventError`."""
    made = Batch()
    made.add(events, bodies, repeat(recorded_at, len(events)), repeat(0, len(events)))
    return made


@lru_cache(maxsize=1024)
def check_name(name: str) -> str:
    """Return a stream's, document's or cellar's name. Raises `EventError` if it cannot be one."""
    if not _NAME.fullmatch(name):
        raise EventError(f"{name[:110]!r} is no name: use 1 to {LONGEST} characters on one line")
    return name
