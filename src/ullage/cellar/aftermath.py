"""What recording or taking back an event does to what follows it: later events that no longer fit.

Nothing is refused for that. Replay follows any log, so the keeper is told in words what became odd
and can put it right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from ullage.cellar.events import Event, in_order
from ullage.cellar.other_events import Undone
from ullage.cellar.replay import replay
from ullage.cellar.state import Assumed, CellarState

SAID_AT_MOST = 3
"""Warnings of what follows that are told one by one."""
_OWN = {"id", "plan", "does", "remark"}


def said_twice(event: Event, facts: Sequence[Event]) -> tuple[str, ...]:
    """A warning where the log says the same of the same moment already."""
    same = event.model_dump(exclude=_OWN)
    for one in in_order(facts):
        if one.at == event.at and one.kind == event.kind and one.model_dump(exclude=_OWN) == same:
            return (
                f"The same is recorded for {event.at:%Y-%m-%d %H:%M} already; take one of them "
                "back if it happened once.",
            )
    return ()


def upset_by(
    event: Event,
    facts: Sequence[Event],
    before_after: tuple[CellarState, CellarState],
    assumed: Assumed,
) -> tuple[str, ...]:
    """Warnings about later events that an event written down after them brings.

    `before_after`: the cellar at the event's moment without it and with it.
    """
    later = [one for one in in_order(facts) if one.at > event.at]
    if not later:
        return ()
    before, after = before_after
    usual = replay(later, assumed, before).warnings[len(before.warnings) :]
    now = replay(later, assumed, after).warnings[len(after.warnings) :]
    return _told("With it, what was recorded later no longer fits", usual, now)


def upset_by_taking_back(
    event: Undone, log: Sequence[Event], assumed: Assumed, begun: CellarState | None
) -> tuple[str, ...]:
    """Warnings about events that lean on the one taken back; `begun` as for `admit`."""
    facts = [one for one in log if not one.planned]
    usual = replay(facts, assumed, begun).warnings
    now = replay([*facts, event], assumed, begun).warnings
    return _told("Without it, what was recorded later no longer fits", usual, now)


def _told(what: str, usual: Iterable[str], now: Iterable[str]) -> tuple[str, ...]:
    """The warnings that are new, the first of them one by one."""
    new = list((Counter(now) - Counter(usual)).elements())
    told = tuple(f"{what}: {text}" for text in new[:SAID_AT_MOST])
    more = len(new) - SAID_AT_MOST
    return (*told, f"{what}: {more} more such.") if more > 0 else told
