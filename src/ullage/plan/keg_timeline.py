"""One keg through time: as the facts have it since its filling, and as its plan will have it.

The log is replayed from mark to mark. Where something was done to the keg there are two points of
one moment, before and after, so that a jump of the pressure is a jump.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

import numpy as np

from ullage.cellar.carried import carried
from ullage.cellar.events import Event, in_order
from ullage.cellar.household import assumed, household, sampled
from ullage.cellar.keg_events import Poured, Shaken
from ullage.cellar.other_events import BatchDescribed, CylinderConnected, PlaceSet
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.errors import EventError
from ullage.plan.answers import Band
from ullage.plan.bands import band_of
from ullage.plan.spoken import part
from ullage.plan.to_come import as_planned, facts
from ullage.system.parts import unknown

BACK: Final = timedelta(days=28)
AHEAD: Final = timedelta(days=14)
SAMPLES: Final = 100
STRETCHES: Final = 48
"""Into so many equal stretches the time before now is cut, and half as many the time after."""
ELSEWHERE: Final = (PlaceSet, BatchDescribed, CylinderConnected)
"""Events of other things that a keg feels."""

Quantity = Literal["level_vol", "gauge_pressure_pa", "temperature_k", "beer_m3"]


@dataclass(frozen=True, slots=True)
class KegPoint:
    """A keg at one moment; `gauge_pressure_pa` is that of its head."""

    at: datetime
    level_vol: Band
    gauge_pressure_pa: Band
    temperature_k: float
    beer_m3: Band


@dataclass(frozen=True, slots=True)
class KegReading:
    """What was read of a keg, in the unit that its quantity ends with."""

    at: datetime
    quantity: Quantity
    value: float


@dataclass(frozen=True, slots=True)
class KegTimeline:
    """A keg from its filling (four weeks at most) to now, and ahead as its plan has it.

    `steps`: the moments of the planned steps that were counted. What is drunk ahead is not in it.
    """

    keg: str
    batch: str
    now: datetime
    past: tuple[KegPoint, ...]
    ahead: tuple[KegPoint, ...]
    readings: tuple[KegReading, ...]
    steps: tuple[datetime, ...]
    target_vol: float | None
    tolerance_vol: float | None
    capacity_m3: float


def keg_timeline(
    log: Sequence[Event], keg: str, at: datetime, back: timedelta = BACK, ahead: timedelta = AHEAD
) -> KegTimeline:
    """Follow a keg with beer through the facts up to `at`, and through its planned steps.

    Raises `UnknownName` for a keg that is not there, `EventError` where it holds no beer.
    """
    home = household(log)
    mine = [event for event in log if matters(event, keg)]
    known = in_order(facts(mine, at))
    both = _Both(assumed(home), sampled(home, SAMPLES))
    final = at_moment(carried(known, home, of=keg), at, both.one)
    state = final.kegs.get(keg)
    if state is None:
        raise unknown("keg", keg, final.kegs)
    if not state.holds_beer or state.filled_at is None:
        raise EventError(f"{part('keg', keg)} holds no beer; record its filling first")
    begin = max(state.filled_at, at - back)
    before = [event for event in known if event.at <= begin]
    coming = in_order(as_planned(mine, at))
    start = both.begun(before, state.filled_at, begin)
    past, now = both.followed(start, known[len(before) :], _marks(begin, at, STRETCHES), keg)
    then, _ = both.followed(now, coming, _marks(at, at + ahead, STRETCHES // 2), keg)
    batch = final.batches.get(state.batch or "")
    return KegTimeline(
        keg=keg,
        batch=state.batch or "",
        now=at,
        past=tuple(past),
        ahead=tuple(then),
        readings=tuple(_readings(final, keg, begin)),
        steps=tuple(sorted({event.at for event in coming})),
        target_vol=None if batch is None else batch.target_vol,
        tolerance_vol=None if batch is None else batch.tolerance_vol,
        capacity_m3=state.kind.capacity_m3,
    )


@dataclass(frozen=True, slots=True)
class _States:
    """The cellar's best single guess and its samples."""

    one: CellarState
    many: CellarState


@dataclass(frozen=True, slots=True)
class _Both:
    """What is assumed of nature: the best single guess and samples of it."""

    one: Assumed
    many: Assumed

    def begun(self, events: Sequence[Event], filled_at: datetime, at: datetime) -> _States:
        """The cellar after these events, at a moment; what was before the filling is known."""
        known = replay([event for event in events if event.at < filled_at], self.one)
        since = [event for event in events if event.at >= filled_at]
        return self.moved(_States(known, known), since, at)

    def moved(self, states: _States, events: Sequence[Event], at: datetime) -> _States:
        """The cellar carried on with later events to a moment."""
        return _States(
            at_moment(replay(events, self.one, begun=states.one), at, self.one),
            at_moment(replay(events, self.many, begun=states.many), at, self.many),
        )

    def followed(
        self, states: _States, events: Sequence[Event], marks: Sequence[datetime], keg: str
    ) -> tuple[list[KegPoint], _States]:
        """The keg at every mark, before and after what is done, and the cellar at the end."""
        points = [self._point(states, keg, marks[0])]
        done = 0
        for mark in _with_events(marks, events):
            upto = done + sum(event.at < mark for event in events[done:])
            states = self.moved(states, events[done:upto], mark)
            here = [event for event in events[upto:] if event.at == mark]
            if not here or any(not isinstance(event, Poured) for event in here):
                points.append(self._point(states, keg, mark))
            if here:
                states = self.moved(states, here, mark)
                points.append(self._point(states, keg, mark))
            done = upto + len(here)
        return points, states

    def _point(self, states: _States, keg: str, at: datetime) -> KegPoint:
        return _point(states.one.kegs[keg], states.many.kegs[keg], at, self.one.ambient_pa)


def matters(event: Event, keg: str) -> bool:
    """Whether an event counts for a keg: its own, and those of places, gas and beers."""
    return event.stream == f"keg:{keg}" or isinstance(event, ELSEWHERE) or event.kind == "undone"


def _marks(begin: datetime, end: datetime, stretches: int) -> list[datetime]:
    length = (end - begin) / stretches
    return [begin + i * length for i in range(stretches)] + [end]


def _with_events(marks: Sequence[datetime], events: Sequence[Event]) -> list[datetime]:
    """The marks after the first, and those where something is done or a rocking ends."""
    done = {event.at for event in events if not isinstance(event, Poured)}
    done |= {
        event.at + timedelta(seconds=event.duration_s)
        for event in events
        if isinstance(event, Shaken)
    }
    inside = {moment for moment in done if marks[0] <= moment <= marks[-1]}
    return sorted({*marks[1:], *inside})


def _point(keg: KegState, wide: KegState, at: datetime, ambient_pa: float) -> KegPoint:
    return KegPoint(
        at=max(at, keg.at),  # a rocking that began has taken its time
        level_vol=band_of(keg.level_vol, wide.level_vol),
        gauge_pressure_pa=band_of(keg.head_pa() - ambient_pa, wide.head_pa() - ambient_pa),
        temperature_k=float(np.mean(keg.temperature_k)),
        beer_m3=band_of(keg.beer_m3, wide.beer_m3),
    )


def _readings(cellar: CellarState, keg: str, begin: datetime) -> Iterator[KegReading]:
    known: tuple[Quantity, ...] = ("level_vol", "gauge_pressure_pa", "temperature_k", "beer_m3")
    since = (one for one in cellar.residuals if one.keg == keg and one.at >= begin)
    for one in since:
        for quantity in known:
            if one.quantity == quantity:
                yield KegReading(one.at, quantity, one.read)
