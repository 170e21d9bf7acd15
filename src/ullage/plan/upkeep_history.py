"""What the log tells that upkeep is counted from: when tasks were done, fills, litres poured."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, KegCleaned, Kicked, Poured, Tapped
from ullage.cellar.other_events import LineCleaned, UpkeepDone
from ullage.system.model import System
from ullage.system.upkeep_rules import Of, Rule

NAMED_BY: Final[dict[Of, str]] = {
    "tap": "line",
    "keg": "keg",
    "cylinder": "cylinder",
    "regulator": "cellar",
    "place": "place",
    "cellar": "cellar",
}
"""The kind of stream in which the log keeps what happened to such a part."""


def tells(event: Event, rule: Rule) -> bool:
    """Whether an event of the rule's part tells that the task was done."""
    if isinstance(event, UpkeepDone):
        return event.task == rule.name
    if event.kind != rule.done_by:
        return False
    if isinstance(event, KegCleaned):
        return event.stripped or not rule.stripped
    if isinstance(event, LineCleaned):
        return rule.cleaner in event.cleaner.lower()
    return True


class History:
    """The facts of a log by the part they are about; made once for all rules."""

    def __init__(self, system: System, facts: Sequence[Event]) -> None:
        """Of facts by their moment, earlier ones first."""
        self._by_stream: defaultdict[str, list[Event]] = defaultdict(list)
        self._tapped: defaultdict[str, list[datetime]] = defaultdict(list)
        self._poured: defaultdict[str, list[Poured]] = defaultdict(list)
        self._first = facts[0].at if facts else None
        self._empty = {keg.name for keg in system.kegs if keg.beer is None}
        on = {tap.keg: tap.name for tap in system.taps}
        for event in facts:
            self._by_stream[event.stream].append(event)
            if isinstance(event, Tapped):
                on[event.keg] = event.tap
                self._tapped[event.tap].append(event.at)
            elif isinstance(event, Poured) and event.keg in on:
                self._poured[on[event.keg]].append(event)

    def last(self, rule: Rule, about: str) -> Event | None:
        """The newest event that tells that a task was done on a part."""
        streams = {f"{NAMED_BY[rule.of]}:{about}", f"cellar:{about}"}
        told = [one for stream in streams for one in self._told(stream) if tells(one, rule)]
        return max(told, key=lambda one: one.at, default=None)

    def newest(self, kind: str, of: Of, about: str) -> Event | None:
        """The newest event of a kind about a part."""
        told = self._told(f"{NAMED_BY[of]}:{about}")
        return next((one for one in reversed(told) if one.kind == kind), None)

    def begin(self, of: Of, about: str) -> datetime | None:
        """When the log first speaks of a part; of one it never names, when it begins.

        A tap of whose line nothing is told it names when a keg first comes on it.
        """
        told = [one.at for one in self._told(f"{NAMED_BY[of]}:{about}")[:1]]
        if of == "tap" and not told:
            told = self._tapped[about][:1]
        return told[0] if told and of != "cellar" else self._first

    def lines(self) -> tuple[str, ...]:
        """The taps whose lines were cleaned or replaced."""
        streams = (one.partition(":") for one in self._by_stream)
        return tuple(sorted(name for kind, _, name in streams if kind == NAMED_BY["tap"]))

    def fills(self, of: Of, about: str, since: datetime) -> list[datetime]:
        """When a keg was filled since a moment, or, of a tap, when a keg came on it."""
        if of == "tap":
            return [at for at in self._tapped[about] if at > since]
        told = self._told(f"keg:{about}")
        first = bool(told) and told[0].at == since and isinstance(told[0], KegAcquired)
        return [
            one.at
            for one in told
            if isinstance(one, Filled) and (one.at > since or (first and one.at == since))
        ]

    def litres(self, of: Of, about: str, since: datetime) -> float:
        """Litres poured since a moment: from a keg, or through a tap's line."""
        if of == "tap":
            poured = self._poured[about]
        else:
            poured = [one for one in self._told(f"keg:{about}") if isinstance(one, Poured)]
        return 1e3 * sum(one.volume_m3 for one in poured if one.at > since)

    def emptied(self, keg: str) -> datetime | None:
        """When a keg that holds no beer was emptied, or came; `None` while it holds some."""
        told = self._told(f"keg:{keg}")
        for event in reversed(told):
            if isinstance(event, Kicked | KegCleaned | KegAcquired):
                return event.at
            if isinstance(event, Filled):
                return told[-1].at if keg in self._empty else None
        return None

    def _told(self, stream: str) -> list[Event]:
        return self._by_stream.get(stream, [])
