"""Which beer lines are to be cleaned, told as quickly over a long log as over a short one.

The status must not read the whole log. What upkeep asks of it about a line is little: when the
line was cleaned last, which the replayed state holds; of one never cleaned, the first word about
it. So a short log is put together that says just that, and the rules are asked of it as they are
of the whole one. Only where this household counts litres or kegs is more read: which keg came on
which tap, and what was poured since.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event, facts_until
from ullage.cellar.keg_events import Tapped
from ullage.cellar.other_events import LineCleaned, Undone
from ullage.cellar.standing import Standing
from ullage.cellar.store import Store
from ullage.plan.begin import tables_of
from ullage.plan.present import present_system, told
from ullage.plan.upkeep import Task, subjects, tasks_of
from ullage.plan.upkeep_changes import Changes, in_force
from ullage.system.model import System, Tap
from ullage.system.upkeep_rules import Rule

Describe = Callable[[], System | None]
"""Gives what a store's system file describes; `None` where it keeps none, or it is not understood.
"""
CLEAN_LINE: Final = "clean line"
"""The task that the status tells of; every other one stands on the page and in the command."""

AT_ONCE: Final = 50
"""So many events are looked at in one go for the first of a log."""


def lines_to_clean(
    store: Store, standing: Standing, changes: Changes, describe: Describe
) -> tuple[Task, ...]:
    """The task of cleaning each line, as `upkeep` has it; none where it is switched off.

    `describe` reads the store's system file, which takes long, and is asked only where litres or
    kegs are counted. Raises `StoreError`.
    """
    rules = [one for one in in_force(changes) if one.name == CLEAN_LINE]
    if not rules:
        return ()
    state = standing.now
    named = _named(store)
    taps = subjects(named, "tap", {*state.lines_cleaned, *state.lines_replaced})
    log = [*_words(store, standing, taps)]
    if not any(rule.kegs or rule.litres for rule in rules):
        return tasks_of(rules, named, log, standing.at)
    swaps = [one.event for one in store.read(kinds=("tapped", "undone"))]
    log += [*swaps, *_poured(store, rules, log, standing.at)]
    log = [*{one.id: one for one in log}.values()]  # the first keg on a tap may be among the words
    return tasks_of(rules, present_system(describe(), state, told(swaps)), log, standing.at)


def _named(store: Store) -> System:
    """A system with nothing but the taps that a store's file names, which is read in no time.

    Each with what upkeep asks of it: whether it is there, and whether it came used.
    """
    taps = tuple(
        Tap.model_construct(
            name=str(one["name"]),
            keg="",
            line=(),
            rise=0.0,
            to_buy=one.get("to_buy") is True,
            used=one.get("used") is True,
        )
        for one in tables_of(store, "tap")
    )
    return System.model_construct(name="", taps=taps, kegs=(), cylinders=(), regulators=())


def _words(store: Store, standing: Standing, taps: Sequence[str]) -> Iterator[Event]:
    """What the log says of each line that a date can be counted from."""
    unnamed, came = False, None
    for tap in taps:
        cleaned = standing.now.lines_cleaned.get(tap)
        ticked = store.read(f"cellar:{tap}", since=cleaned, kinds=("upkeep_done",))
        undone = store.read(f"cellar:{tap}", kinds=("undone",))  # whatever moment they bear
        yield from (one.event for one in (*ticked, *undone))
        if cleaned is not None:
            yield LineCleaned(at=cleaned, tap=tap)
            continue
        words = [one.event for one in store.read(f"line:{tap}")]
        yield from words
        if facts_until(words, standing.at):
            continue
        came = came if came is not None else _came(store, standing.at)
        if tap in came:
            yield came[tap]
        else:
            unnamed = True
    if unnamed:
        yield from _first(store, standing.at)


def _came(store: Store, at: datetime) -> dict[str, Tapped]:
    """The first time that a keg came on each tap."""
    swaps = [one.event for one in store.read(kinds=("tapped", "undone"))]
    found: dict[str, Tapped] = {}
    for event in facts_until(swaps, at):
        if isinstance(event, Tapped):
            found.setdefault(event.tap, event)
    return found


def _first(store: Store, at: datetime) -> list[Event]:
    """The fact with which the log begins, by its moment: others may be written before it."""
    for some in store.chunks(AT_ONCE):
        bound = _earliest(store, [one.event for one in some], at)
        if bound is not None:
            before = store.read(until=bound.at, planned=False)
            first = _earliest(store, [one.event for one in before], at)
            return [first or bound]
    return []


def _earliest(store: Store, events: Sequence[Event], at: datetime) -> Event | None:
    """The earliest of them that is a fact and was not taken back."""
    return next((one for one in facts_until(events, at) if not _is_undone(store, one)), None)


def _is_undone(store: Store, event: Event) -> bool:
    """Whether it was taken back, which is written in its own stream."""
    undone = store.read(event.stream, kinds=("undone",))
    return any(isinstance(one.event, Undone) and one.event.event == event.id for one in undone)


def _poured(store: Store, rules: Sequence[Rule], log: Sequence[Event], at: datetime) -> list[Event]:
    """What was poured since the earliest date that is counted from."""
    if not any(rule.litres for rule in rules) or not log:
        return []
    since = min(one.at for one in log)
    return [one.event for one in store.read(kinds=("poured",), since=since, until=at)]
