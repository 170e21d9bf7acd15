"""A log that grows, replayed again after each entry: carried on from where it was before.

The last states of a few logs are kept in memory, the newest and some behind it, since entries dated
back and things taken back are usual. A state counts for another log as far as that begins with the
very same facts, so that the answer is that of a replay from the beginning, to the last bit. Nothing
is kept but what a replay gave: it may be forgotten at any time.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Final

from ullage.cellar.events import Event, in_order
from ullage.cellar.household import Household, assumed, sampled
from ullage.cellar.learnt import Learnt
from ullage.cellar.replay import replay
from ullage.cellar.state import Assumed, CellarState

LAGS: Final = (0, 10, 50, 250)
"""How many facts behind the newest a state is kept, about."""
MOST: Final = 24
"""Logs whose states are kept: some megabytes in all."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is replayed, by what is assumed of it: logs of one sort follow each other."""

    altitude_m: float
    learnt: Learnt
    samples: int
    of: str


@dataclass(frozen=True, slots=True)
class _Kept:
    """Facts in their order, and states by how many of them each has counted."""

    facts: tuple[Event, ...]
    states: dict[int, CellarState]


_kept: Final[OrderedDict[_Asked, _Kept]] = OrderedDict()
_lock: Final = Lock()


def carried(facts: Sequence[Event], home: Household, samples: int = 0, of: str = "") -> CellarState:
    """The cellar after these facts, as `replay` gives it.

    `samples`: so many of what is not known exactly; 0: the best single guess. `of`: which part of a
    log it is, as a keg's name; another log under the same name costs time, and is as right.
    """
    told = tuple(in_order(facts))
    asked = _Asked(home.altitude_m, home.learnt, samples, f"{of} {told[0].id if told else ''}")
    with _lock:
        before = _kept.get(asked, _Kept((), {}))
    same = _common(before.facts, told)
    states = {count: state for count, state in before.states.items() if count <= same}
    states = _carried_on(states, told, sampled(home, samples) if samples else assumed(home))
    with _lock:
        _kept[asked] = _Kept(told, states)
        _kept.move_to_end(asked)
        while len(_kept) > MOST:
            _kept.popitem(last=False)
    return states[len(told)]


def _common(before: Sequence[Event], now: Sequence[Event]) -> int:
    """How many events both begin with."""
    for count, (one, other) in enumerate(zip(before, now, strict=False)):
        if one is not other and one != other:
            return count
    return min(len(before), len(now))


def _carried_on(
    states: dict[int, CellarState], told: Sequence[Event], one: Assumed
) -> dict[int, CellarState]:
    """Those states that stay of worth, with those at the end of these facts and behind it."""
    done = max(states, default=0)
    state = states.get(done, CellarState())
    found = dict(states)
    for count in sorted({len(told) - lag for lag in LAGS if len(told) - lag > done}):
        state = replay(told[done:count], one, begun=state)
        found[count], done = state, count
    found.setdefault(len(told), state)
    return {count: found[count] for count in _worth(sorted(found), len(told))}


def _worth(counts: Sequence[int], end: int) -> set[int]:
    """For each lag the youngest that has it, and the one that will have it next."""
    worth = {end}
    for lag in LAGS:
        worth |= {*[one for one in counts if one <= end - lag][-1:]}
        worth |= {*[one for one in counts if one > end - lag][:1]}
    return worth
