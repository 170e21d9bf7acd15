"""The cellar replayed from now on, as it will be if the planned steps that wait are done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from ullage.cellar.events import Event, in_order
from ullage.cellar.household import assumed, household, sampled
from ullage.cellar.keg_events import Shaken
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState
from ullage.plan.drinking import Drinking, drinking
from ullage.plan.to_come import as_planned, facts
from ullage.system.model import System

SAMPLES: Final = 200
DAY_S: Final = 86_400.0


@dataclass(frozen=True, slots=True)
class Followed:
    """The cellar now and at marks ahead (s after `at`): its best guess, and `wide` its samples.

    `coming`: the planned steps that were counted, in their order.
    """

    at: datetime
    marks_s: list[float]
    now: CellarState
    wide_now: CellarState
    then: list[CellarState]
    wide_then: list[CellarState]
    coming: list[Event]
    drinking: Drinking
    ambient_pa: float


def followed(
    log: Sequence[Event], at: datetime, horizon: timedelta, system: System | None
) -> Followed:
    """Replay the facts up to `at`, and from there what is planned, to `at` + `horizon`."""
    home = household(log)
    coming = in_order(as_planned(log, at))
    known = facts(log, at)
    marks_s = _marks(at, horizon, coming)
    one, many = assumed(home), sampled(home, SAMPLES)
    now = at_moment(replay(known, one), at, one)
    wide = at_moment(replay(known, many), at, many)
    return Followed(
        at=at,
        marks_s=marks_s,
        now=now,
        wide_now=wide,
        then=_states(now, coming, at, marks_s, one),
        wide_then=_states(wide, coming, at, marks_s, many),
        coming=coming,
        drinking=drinking(known, now, at, system),
        ambient_pa=one.ambient_pa,
    )


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
