"""The cellar replayed from now on, as it will be if the planned steps that wait are done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from ullage.cellar.carried import carried
from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import OfKeg
from ullage.cellar.household import assumed, household, sampled
from ullage.cellar.keg_events import Filled, KegCleaned, KegSanitised, Shaken
from ullage.cellar.other_events import Gathering
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.standing import SAMPLES as STANDING_SAMPLES
from ullage.cellar.standing import Standing
from ullage.cellar.state import Assumed, CellarState
from ullage.plan.drinking import Drinking, drinking
from ullage.plan.gatherings import gatherings
from ullage.plan.to_come import as_planned, as_planned_of, facts
from ullage.system.model import System

SAMPLES: Final = 200
DAY_S: Final = 86_400.0
RENEWING: Final = (Filled, KegCleaned, KegSanitised)
"""What a keg that is drunk empty sees next: none of it is of the beer that it holds now."""


@dataclass(frozen=True, slots=True)
class Followed:
    """The cellar now and at marks ahead (s after `at`): its best guess, and `wide` its samples.

    `coming`: the planned steps that were counted, in their order. `held`: gatherings, past and to
    come.
    """

    at: datetime
    marks_s: list[float]
    now: CellarState
    wide_now: CellarState
    then: list[CellarState]
    wide_then: list[CellarState]
    coming: list[Event]
    drinking: Drinking
    held: tuple[Gathering, ...]
    ambient_pa: float


def followed(
    log: Sequence[Event], at: datetime, horizon: timedelta, system: System | None
) -> Followed:
    """Replay the facts up to `at`, and from there what is planned, to `at` + `horizon`."""
    home = household(log)
    known = facts(log, at)
    held = gatherings(log)
    one, many = assumed(home), sampled(home, SAMPLES)
    now = at_moment(carried(known, home), at, one)
    coming = _of_this_beer(in_order(as_planned(log, at)), now)
    marks_s = _marks(at, horizon, coming)
    wide = at_moment(carried(known, home, SAMPLES), at, many)
    return Followed(
        at=at,
        marks_s=marks_s,
        now=now,
        wide_now=wide,
        then=_states(now, coming, at, marks_s, one),
        wide_then=_states(wide, coming, at, marks_s, many),
        coming=coming,
        drinking=drinking([*known, *(each for each in held if each.planned)], now, at, system),
        held=held,
        ambient_pa=one.ambient_pa,
    )


def followed_on(standing: Standing, horizon: timedelta) -> Followed:
    """The same from how a cellar stands, without what is drunk."""
    at, home = standing.at, standing.home
    coming = _of_this_beer(in_order(as_planned_of(standing.steps, at)), standing.now)
    marks_s = _marks(at, horizon, coming)
    one, many = assumed(home), sampled(home, STANDING_SAMPLES)
    return Followed(
        at=at,
        marks_s=marks_s,
        now=standing.now,
        wide_now=standing.spread,
        then=_states(standing.now, coming, at, marks_s, one),
        wide_then=_states(standing.spread, coming, at, marks_s, many),
        coming=coming,
        drinking=Drinking(kegs={}, taps={}, household=None),
        held=(),
        ambient_pa=one.ambient_pa,
    )


def _of_this_beer(coming: Sequence[Event], now: CellarState) -> list[Event]:
    """The steps that the beer of now will see: a keg that is to be filled anew is emptied first."""
    found, renewed = [], set()
    for event in coming:
        if isinstance(event, OfKeg):
            keg = now.kegs.get(event.keg)
            if isinstance(event, RENEWING) and keg is not None and keg.holds_beer:
                renewed.add(event.keg)
            if event.keg in renewed:
                continue
        found.append(event)
    return found


def _marks(at: datetime, horizon: timedelta, coming: Sequence[Event]) -> list[float]:
    """Seconds ahead: quarters of a day at first, whole days later, and where a step is done."""
    last = horizon.total_seconds()
    regular = np.concatenate(
        [np.arange(0.0, 3.0, 0.25), np.arange(3.0, 14.0), np.arange(14.0, last / DAY_S, 2.0)]
    )
    marks = {*(regular * DAY_S).tolist(), last}
    for event in coming:
        done = (event.at - at).total_seconds()
        marks |= {done, done + event.duration_s} if isinstance(event, Shaken) else {done}
    return sorted(mark for mark in marks if 0.0 <= mark <= last)


def _states(
    cellar: CellarState,
    coming: Sequence[Event],
    at: datetime,
    marks_s: Sequence[float],
    one: Assumed,
) -> list[CellarState]:
    found, done = [], 0
    for mark in marks_s:
        moment = at + timedelta(seconds=mark)
        upto = sum(event.at <= moment for event in coming)
        cellar = at_moment(replay(coming[done:upto], one, begun=cellar), moment, one)
        found.append(cellar)
        done = upto
    return found
