"""How the cellar stands at a moment, from the log: quickly, however long the log is.

`standing` reads the newest milestone that still holds and the events since, and leaves a newer one
behind where these were many. `standing_of` does the same from a whole log in memory. Both replay
the same events in the same order, so their answers are the same to the last bit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from typing import Final

from sqlalchemy import Connection

from ullage.cellar import entries, milestones, snapshots, state_text
from ullage.cellar.events import Event, facts_until
from ullage.cellar.household import Household, assumed, household, sampled
from ullage.cellar.milestones import AGES, BEGINNING, Milestone, Since
from ullage.cellar.other_events import Undone
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState
from ullage.cellar.store import Store
from ullage.cellar.waiting import Waiting, carried_on

SAMPLES: Final = 400
"""Samples of what is not known exactly, for the bands of a standing."""
LONG: Final = 40
"""So many facts since the last milestone are worth a new one."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The cellar at `at`: its best single guess, its samples, and what of the log matters beside.

    `steps`: planned steps that wait, by their moment. The states are without residuals, which grow
    with the log: whoever learns from readings replays them all.
    """

    at: datetime
    home: Household
    steps: tuple[Event, ...]
    now: CellarState
    spread: CellarState


@dataclass(frozen=True, slots=True)
class Before:
    """A state not after some moment, the household's settings, and every fact since."""

    settings: tuple[Event, ...]
    begun: CellarState
    facts: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class _States:
    """The nominal and the sampled state of one moment."""

    now: CellarState
    spread: CellarState

    def after(self, events: Sequence[Event], one: Assumed, many: Assumed) -> _States:
        """Carried on with later events."""
        now, spread = replay(events, one, self.now), replay(events, many, self.spread)
        return _States(replace(now, residuals=()), replace(spread, residuals=()))


@dataclass(frozen=True, slots=True)
class _Found:
    """Where to begin, and what of the log comes after."""

    begin: Milestone
    states: _States
    since: Since
    waiting: Waiting
    others: tuple[Milestone, ...]


def standing(store: Store, at: datetime) -> Standing:
    """How a store's cellar stands at a moment. Raises `StoreError`.

    A milestone is left behind where that is worth it and the store lets it be done at once.
    """
    with store.reading() as connection:
        found = _found(connection, store.cellar, at)
    facts = facts_since(found.begin, found.since, at)
    home = found.waiting.home
    one, many = assumed(home), sampled(home, SAMPLES)
    marks = _marks(facts) if len(facts) > LONG else []
    passed, states = _passed(found.states, facts, marks, lambda s, e: s.after(e, one, many))
    if passed:
        _leave_behind(store, found, passed)
    return _at(states, at, found.waiting)


def before(connection: Connection, cellar: str, at: datetime) -> Before:
    """From what state, by which facts, a log leads to a moment and on, all that stands counted."""
    found = _found(connection, cellar, at)
    facts = facts_since(found.begin, found.since, milestones.FAR_AHEAD)
    return Before(found.waiting.settings, found.states.now, tuple(facts))


def standing_of(log: Sequence[Event], at: datetime) -> Standing:
    """The same from a whole log in memory, in its order."""
    home = household(log)
    facts = facts_until((event for event in log if not event.planned), at)
    states = _States(CellarState(), CellarState())
    states = states.after(facts, assumed(home), sampled(home, SAMPLES))
    return _at(states, at, carried_on(Waiting(), log, ()))


def facts_since(begin: Milestone, since: Since, at: datetime) -> list[Event]:
    """What happened after a milestone up to `at` and was not taken back, in order."""
    gone = {*begin.ahead, *milestones.taken_back(since.rows)}
    facts = [
        one.event
        for one in since.rows
        if milestones.is_fact(one.event)
        and one.event.at <= at
        and one.event.id not in gone
        and not begin.counts(one)
    ]
    return sorted(facts, key=lambda event: event.at)


def _form() -> str:
    return f"{SAMPLES}:{state_text.fingerprint()}"


def _found(connection: Connection, cellar: str, at: datetime) -> _Found:
    """The newest milestone that is not after `at` and holds."""
    form = _form()
    known = milestones.index(snapshots.load(connection, cellar, form, milestones.INDEX))
    broken: list[Milestone] = []
    for one in (*milestones.candidates(known, at), BEGINNING):
        since = _since(connection, cellar, one)
        waiting = carried_on(
            one.waiting, [row.event for row in since.later(one)], since.others.keys()
        )
        states = _states(connection, cellar, form, one)
        fits = one is BEGINNING or milestones.is_of(one, waiting.home)
        if fits and states is not None and milestones.holds(one, since):
            others = tuple(other for other in known if other not in broken)
            return _Found(one, states, since, waiting, others)
        broken.append(one)
    raise AssertionError("unreachable: the beginning always holds")


def _since(connection: Connection, cellar: str, begin: Milestone) -> Since:
    rows = entries.after(connection, cellar, begin.first - 1)
    here = {one.event.id for one in rows}
    wanted = {one.event.event for one in rows if isinstance(one.event, Undone)}
    wanted |= {one.event.does for one in rows if one.event.does is not None}
    others = entries.by_ids(connection, cellar, wanted - here)
    return Since(rows, others, rows[-1].position if rows else begin.position)


def _states(connection: Connection, cellar: str, form: str, begin: Milestone) -> _States | None:
    """The states of a milestone, `None` where its text was thrown away or replaced."""
    if begin is BEGINNING:
        return _States(CellarState(), CellarState())
    kept = snapshots.load(connection, cellar, form, milestones.stream(begin))
    if kept is None or not milestones.is_text_of(begin, kept.body):
        return None
    return _States(*state_text.from_text(kept.body))


def _marks(facts: Sequence[Event]) -> list[datetime]:
    """The moments worth a milestone: of the newest fact, and of the last ones older by an age."""
    newest = facts[-1].at
    moments = [fact.at for fact in facts]
    ends = [max((at for at in moments if at <= newest - age), default=None) for age in AGES]
    return sorted({at for at in ends if at is not None} | {newest})


def _passed(
    states: _States,
    facts: Sequence[Event],
    marks: Sequence[datetime],
    after: Callable[[_States, Sequence[Event]], _States],
) -> tuple[list[tuple[datetime, _States]], _States]:
    """The states at each mark on the way through the facts, and at their end."""
    passed: list[tuple[datetime, _States]] = []
    for low, high in pairwise([milestones.LONG_AGO, *marks]):
        states = after(states, [fact for fact in facts if low < fact.at <= high])
        passed.append((high, states))
    return passed, states if marks else after(states, facts)


def _leave_behind(
    store: Store,
    found: _Found,
    passed: Sequence[tuple[datetime, _States]],
) -> None:
    """Keep milestones of the moments that were passed, if the store lets us."""
    since = found.since
    new = [
        (
            Milestone(
                moment=moment,
                position=since.top,
                first=milestones.first_after(moment, since),
                altitude_m=found.waiting.home.altitude_m,
                ahead=milestones.ahead_of(moment, found.begin, since),
                waiting=found.waiting,
            ),
            state_text.to_text(states.now, states.spread),
        )
        for moment, states in passed
    ]
    store.offer_snapshots(*milestones.kept(found.others, new, _form()))


def _at(states: _States, at: datetime, waiting: Waiting) -> Standing:
    home = waiting.home
    return Standing(
        at=at,
        home=home,
        steps=waiting.steps,
        now=at_moment(states.now, at, assumed(home)),
        spread=at_moment(states.spread, at, sampled(home, SAMPLES)),
    )
