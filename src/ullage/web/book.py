"""The log as the pages see it: the cellar as it stands this minute, worked out once.

What was worked out is kept while neither the log nor the minute has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from threading import Lock, RLock
from typing import TYPE_CHECKING, Any, Final, TypeVar

from ullage.cellar.events import Event
from ullage.cellar.recording import Recorded, record
from ullage.cellar.standing import Standing, standing
from ullage.cellar.store import Store
from ullage.errors import SystemFileError
from ullage.plan.begin import SOURCE, SYSTEM_DOCUMENT
from ullage.plan.clock import local_now
from ullage.plan.present import present_system, told
from ullage.plan.status import StatusAnswer, status_of
from ullage.plan.upkeep_now import NO_UPKEEP, UpkeepNow, upkeep_now

if TYPE_CHECKING:
    from ullage.cellar.learnt import Learnt
    from ullage.cellar.state import CellarState
    from ullage.plan.answers import WholeAnswer
    from ullage.system.model import System

Clock = Callable[[], datetime]
Made = TypeVar("Made")


class Present:
    """The cellar at one moment: what the log and the system file come to, each worked out once."""

    def __init__(
        self,
        described: System | None,
        log: Sequence[Event],
        standing: Standing,
        trouble: str = "",
        kept_up: UpkeepNow = NO_UPKEEP,
    ) -> None:
        """Of a log, how it stands at a moment, and what the system file describes.

        `trouble`: why the system file is not understood, "" if it is. `kept_up`: what is told of
        upkeep beside the log.
        """
        self.at: Final = standing.at
        self.described: Final = described
        self.log: Final = tuple(log)
        self.standing: Final = standing
        self.trouble: Final = trouble
        self.kept_up: Final = kept_up
        self._kept: dict[object, Any] = {}
        self._making: dict[object, RLock] = {}
        self._looking = Lock()

    @property
    def empty(self) -> bool:
        """Whether nothing is described and nothing is written down yet."""
        return self.described is None and not self.log and not self.trouble

    @cached_property
    def status(self) -> StatusAnswer:
        """What is where, how carbonated, how much left, and what to do next."""
        return status_of(self.standing, self.kept_up, lambda: self.system)

    @property
    def state(self) -> CellarState:
        """The replayed state, its best single guess, without what readings were off by."""
        return self.standing.now

    @cached_property
    def replayed(self) -> CellarState:
        """The same with what every reading of the log was off by, which takes the whole log."""
        from ullage.plan.keg_now import present  # noqa: PLC0415  (slow to load)

        return present(self.log, self.at)

    @property
    def learnt(self) -> Learnt:
        """The constants of its own that the household kept."""
        return self.standing.home.learnt

    @cached_property
    def system(self) -> System:
        """The system as it stands now."""
        return present_system(self.described, self.state, told(self.log))

    @property
    def system_if_any(self) -> System | None:
        """The same; `None` where nothing is described and nothing written down yet."""
        return None if self.empty else self.system

    @cached_property
    def answer(self) -> WholeAnswer:
        """The whole answer for the system as it stands now."""
        from ullage.plan.whole import whole_answer  # noqa: PLC0415

        return whole_answer(self.system, start=self.at, now=self.at)

    def kept(self, key: object, make: Callable[[], Made]) -> Made:
        """What was made under this key for this moment before; made now if it was not.

        Of many who ask at once one makes it, and the others wait for that.
        """
        with self._looking:
            making = self._making.setdefault(key, RLock())
        with making:
            if key not in self._kept:
                self._kept[key] = make()
            made: Made = self._kept[key]
        return made


@dataclass(frozen=True, slots=True)
class _Mark:
    """What the present depends on."""

    marks: tuple[int, int]
    minute: datetime


class Book:
    """The store behind the pages. Threads may share it."""

    def __init__(self, store: Store, clock: Clock = local_now) -> None:
        """Over an open store; `clock` gives what counts as now."""
        self.store: Final = store
        self.clock: Final = clock
        self._lock = Lock()
        self._last: tuple[_Mark, Present] | None = None
        self._log: list[Event] = []
        self._read_to = 0

    def system_text(self) -> tuple[str, int]:
        """The system file as it was written, and its version; "" and 0 where there is none."""
        found = self.store.get_document(SYSTEM_DOCUMENT)
        return (found.text, found.version) if found else ("", 0)

    def present(self) -> Present:
        """The cellar as it stands this minute."""
        at = self.clock()
        mark = _Mark(self.store.marks(), at.replace(second=0, microsecond=0))
        with self._lock:
            if self._last is None or self._last[0] != mark:
                self._last = (mark, self._worked_out(at))
            return self._last[1]

    def _worked_out(self, at: datetime) -> Present:
        for one in self.store.read(after=self._read_to):  # what was read before never changes
            self._log.append(one.event)
            self._read_to = one.position
        described, trouble = _parsed(self.system_text()[0])
        stands = standing(self.store, at)
        kept_up = upkeep_now(self.store, stands, lambda: described)
        return Present(described, self._log, stands, trouble, kept_up)

    def record(self, *events: Event) -> Recorded:
        """Write down what happened. Raises `EventError`, `Conflict`, `StoreError`."""
        return record(self.store, events, self.clock())


def _parsed(text: str) -> tuple[System | None, str]:
    """The system of a file, and why there is none: one written for another version, say."""
    from ullage.system.file import parse_system  # noqa: PLC0415

    try:
        return (parse_system(text, SOURCE) if text else None), ""
    except SystemFileError as error:
        return None, str(error)
