"""Milestones: states of the cellar at moments of the past, from which the present is replayed.

A milestone counts the events that were in the log up to a position, as far as they happened up to
its moment. It holds as long as no event that was written later happened before that moment, and no
event that it counts was taken back. Entries dated back by some days are usual, so milestones of
several ages are kept: the newest, and about a week and a month behind it.

They are snapshots of the store: thrown away at any time, and never relied on to be there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from hashlib import sha256
from typing import Final

from pydantic import TypeAdapter, ValidationError

from ullage.cellar.entries import Stored
from ullage.cellar.events import Event
from ullage.cellar.household import Household
from ullage.cellar.other_events import Undone
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.waiting import Waiting

AGES: Final = (timedelta(days=7), timedelta(days=30))
"""How far behind the newest others are kept."""
_SLOTS: Final = 1 + 2 * len(AGES)
INDEX: Final = "milestones"
"""The stream under which the list of milestones is kept."""
LONG_AGO: Final = datetime(1, 1, 2, tzinfo=UTC)
FAR_AHEAD: Final = datetime(9999, 12, 30, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Milestone:
    """What a kept state has counted, and where its text is.

    `moment`: it counts what happened up to then; `position`: what was written up to there;
    `first`: the position from which on the log must be read to carry on; `ahead`: ids that were
    taken back but are not among what it counts.
    """

    moment: datetime = LONG_AGO
    position: int = 0
    first: int = 1
    altitude_m: float = 0.0
    ahead: tuple[str, ...] = ()
    waiting: Waiting = field(default_factory=Waiting)
    slot: int = 0
    sha256: str = ""

    def counts(self, one: Stored) -> bool:
        """Whether an event is among what it has replayed, unless that was taken back."""
        return self.position >= one.position and one.event.at <= self.moment


BEGINNING: Final = Milestone()
"""Before the first event: nothing is counted, so it always holds."""


@dataclass(frozen=True, slots=True)
class Since:
    """The log from where a milestone needs it up to `top`.

    `others`: events from before that these take back or fulfil, by id.
    """

    rows: tuple[Stored, ...]
    others: Mapping[str, Event]
    top: int

    def later(self, milestone: Milestone) -> list[Stored]:
        """What was written after a milestone."""
        return [one for one in self.rows if one.position > milestone.position]


def holds(milestone: Milestone, since: Since) -> bool:
    """Whether what a milestone counts is still so."""
    later = since.later(milestone)
    if any(is_fact(one.event) and one.event.at < milestone.moment for one in later):
        return False
    here = {one.event.id: one for one in since.rows}
    for name in taken_back(later):
        row, other = here.get(name), since.others.get(name)
        if row is not None and is_fact(row.event) and milestone.counts(row):
            return False
        if other is not None and is_fact(other):
            return False
    return not _waits_again(milestone, later, here, since.others)


def is_of(milestone: Milestone, home: Household) -> bool:
    """Whether it was worked out for such a household: its altitude, and its kept constants."""
    learnt = milestone.waiting.home.learnt
    return milestone.altitude_m == home.altitude_m and learnt == home.learnt


def is_fact(event: Event) -> bool:
    """Whether it happened, and is not itself a taking back."""
    return not event.planned and not isinstance(event, Undone)


def taken_back(rows: Iterable[Stored]) -> list[str]:
    """The ids of what was taken back, whenever that was: a mistake was one from its beginning."""
    return [
        one.event.event for one in rows if isinstance(one.event, Undone) and not one.event.planned
    ]


def ahead_of(moment: datetime, before: Milestone, since: Since) -> tuple[str, ...]:
    """What was taken back though it is not among what happened up to a moment."""
    told = {*before.ahead, *taken_back(since.rows)}
    past = {one.event.id for one in since.rows if one.event.at <= moment}
    return tuple(sorted(told - past - since.others.keys()))


def first_after(moment: datetime, since: Since) -> int:
    """The position of the first event written that happened after a moment."""
    after = (one.position for one in since.rows if not one.event.planned and one.event.at > moment)
    return min(after, default=since.top + 1)


def candidates(known: Iterable[Milestone], at: datetime) -> list[Milestone]:
    """Those that are not after a moment, the newest first."""
    found = [one for one in known if one.moment <= at]
    return sorted(found, key=lambda one: (one.moment, one.position), reverse=True)


def index(listed: Snapshot | None) -> tuple[Milestone, ...]:
    """All milestones that are kept; none where the list of them, under `INDEX`, is damaged."""
    if listed is None:
        return ()
    try:
        return _list().validate_json(listed.body)
    except ValidationError:
        return ()


def stream(milestone: Milestone) -> str:
    """The stream under which the text of a milestone is kept."""
    return f"{INDEX}:{milestone.slot}"


def is_text_of(milestone: Milestone, text: str) -> bool:
    """Whether a text is the milestone's own: another reader may just have put one in its place."""
    return sha256(text.encode()).hexdigest() == milestone.sha256


def kept(
    old: Iterable[Milestone], new: Sequence[tuple[Milestone, str]], form: str
) -> list[Snapshot]:
    """The snapshots that keep new milestones with their texts beside those old ones worth it."""
    texts = {sha256(text.encode()).hexdigest(): text for _, text in new}
    fresh = [replace(one, sha256=sha256(text.encode()).hexdigest()) for one, text in new]
    chosen = _worth([*old, *fresh])
    stay = [one for one in chosen if one.sha256 not in texts]
    free = sorted({*range(_SLOTS)} - {one.slot for one in stay})
    come = [one for one in chosen if one.sha256 in texts]
    come = [replace(one, slot=slot) for one, slot in zip(come, free, strict=False)]
    listed = _list().dump_json((*stay, *come)).decode()
    return [
        Snapshot(INDEX, 0, form, listed),
        *(Snapshot(stream(one), one.position, form, texts[one.sha256]) for one in come),
    ]


def _worth(found: Sequence[Milestone]) -> list[Milestone]:
    """The newest; for each age the youngest that has it, and the one that will have it next."""
    in_order = sorted(found, key=lambda one: (one.moment, one.position))
    newest = in_order[-1]
    worth = {newest.sha256: newest}
    for age in AGES:
        older = [one for one in in_order if one.moment <= newest.moment - age]
        younger = [one for one in in_order if one.moment > newest.moment - age]
        worth |= {one.sha256: one for one in (*older[-1:], *younger[:1])}
    return list(worth.values())


def _waits_again(
    milestone: Milestone,
    later: Iterable[Stored],
    here: Mapping[str, Stored],
    others: Mapping[str, Event],
) -> bool:
    """Whether a fact that fulfilled a step was taken back: the step is not among those kept."""
    for one in later:
        if not isinstance(one.event, Undone):
            continue
        row = here.get(one.event.event)
        target = others.get(one.event.event) if row is None else row.event
        was_before = row is None or row.position <= milestone.position
        if target is not None and was_before and target.does is not None:
            return True
    return False


@cache
def _list() -> TypeAdapter[tuple[Milestone, ...]]:
    return TypeAdapter(tuple[Milestone, ...])
