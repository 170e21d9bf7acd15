"""What gas went in the past, month by month and by what it did; what a cylinder held by the week.

The log is replayed from mark to mark. What each keg drew between two of them is split by its own
account: what was vented is purging, what the beer gained (and poured away with it) is carbonation,
and the rest took the place of beer: push. What made empty kegs ready is on no keg's account and is
added beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.household import Household, assumed
from ullage.cellar.keg_events import (
    Filled,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Purged,
    Vented,
)
from ullage.cellar.replay import at_moment, only_cylinder, replay
from ullage.cellar.state import CellarState, KegState
from ullage.physics import blend
from ullage.physics.constants import CO2_VOLUME_DENSITY
from ullage.plan.gas_ahead_answer import GasBefore, GasKnown, GasMonth
from ullage.plan.gas_ahead_losses import Between, Known

WEEK: Final = timedelta(days=7)
MOST_MONTHS: Final = 12
ALONE: Final = (Filled, KegCleaned, KegSanitised, KegWeighed, Kicked, Measured, Purged, Vented)
"""Events that change a keg's account by more than time and pouring do: each is a mark."""


@dataclass(frozen=True, slots=True)
class Split:
    """Gas by what it did, in kg."""

    push_kg: float = 0.0
    carbonation_kg: float = 0.0
    purging_kg: float = 0.0

    def __add__(self, other: Split) -> Split:
        """Both together."""
        return Split(
            self.push_kg + other.push_kg,
            self.carbonation_kg + other.carbonation_kg,
            self.purging_kg + other.purging_kg,
        )

    def times(self, factor: float) -> Split:
        """So many times as much of each."""
        if factor == 1.0:
            return self
        return Split(factor * self.push_kg, factor * self.carbonation_kg, factor * self.purging_kg)

    @property
    def all_kg(self) -> float:
        """All of it."""
        return self.push_kg + self.carbonation_kg + self.purging_kg


@dataclass(slots=True)
class Past:
    """The replayed past: by cylinder, what it held by account at moments, and what went when.

    `held`: (moment, kg by account, losses left out); `went`: (from, to, what).
    """

    held: dict[str, list[tuple[datetime, float]]] = field(default_factory=dict)
    went: dict[str, list[tuple[datetime, datetime, Split]]] = field(default_factory=dict)


def past_of(facts: Sequence[Event], at: datetime, home: Household, back: timedelta) -> Past:
    """Replay the facts up to `at` (in order), and keep what `back` before it went and was held."""
    found, one = Past(), assumed(home)
    if not facts:
        return found
    begin = max(facts[0].at, at - back)
    early = [event for event in facts if event.at <= begin]
    cellar = at_moment(replay(early, one), begin, one)
    _hold(found, cellar, begin)
    moment = begin
    for events, until in _chunks(facts[len(early) :], _marks(begin, at)):
        before = cellar
        cellar = replay(events, one, begun=cellar)
        if until is not None:
            cellar = at_moment(cellar, until, one)
            _hold(found, cellar, until)
        ended = until or events[-1].at
        for name, went in _taken(before, cellar):
            found.went.setdefault(name, []).append((moment, ended, went))
        moment = ended
        if events and events[0].stream.startswith("cylinder:"):
            _hold(found, cellar, ended)
    return found


def months_of(name: str, past: Past, known: Known, begin: datetime, at: datetime) -> list[GasMonth]:
    """What went from a cylinder in each month, the oldest first."""
    edges = _months(max(begin, _first(past, name, at)), at)
    return [_month(name, past, known, edge, following) for edge, following in pairwise(edges)][
        -MOST_MONTHS:
    ]


def before_of(name: str, past: Past, known: Known) -> tuple[GasBefore, ...]:
    """What a cylinder held, what usually goes besides counted since it was last known."""
    share = max(known.share.value, 0.0)
    found = []
    for at, held in past.held.get(name, []):
        marks = [mark for mark in known.marks if mark.at <= at]
        if not marks:
            continue
        taken = max(marks[-1].held_kg - held, 0.0)
        found.append(GasBefore(at, marks[-1].held_kg - (1.0 + share) * taken))
    return tuple(found)


def known_points(known: Known, since: datetime) -> tuple[GasKnown, ...]:
    """Every moment since then at which the contents were known."""
    return tuple(
        GasKnown(mark.at, mark.how, mark.held_kg) for mark in known.marks if mark.at >= since
    )


def _marks(begin: datetime, at: datetime) -> list[datetime]:
    weeks = [begin + n * WEEK for n in range(1, int((at - begin) / WEEK) + 1)]
    return sorted({*weeks, *_months(begin, at)[1:], at})


def _months(begin: datetime, at: datetime) -> list[datetime]:
    """The begin, the first of each month after it by the clock here, and now."""
    found, local = [begin], begin.astimezone()
    year, month = local.year, local.month
    while True:
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
        edge = datetime(year, month, 1).astimezone()
        if edge >= at:
            return [*found, at]
        found.append(edge)


def _chunks(
    events: Sequence[Event], marks: Sequence[datetime]
) -> Iterator[tuple[list[Event], datetime | None]]:
    """Events in runs, each that is a mark of its own alone; then each mark in time."""
    run: list[Event] = []
    at = 0
    for mark in marks:
        while at < len(events) and events[at].at <= mark:
            event = events[at]
            at += 1
            if isinstance(event, ALONE) or event.subject_kind == "cylinder":
                if run:
                    yield run, None
                yield [], event.at
                yield [event], None
                run = []
            else:
                run.append(event)
        if run:
            yield run, None
            run = []
        yield [], mark


def _hold(past: Past, cellar: CellarState, at: datetime) -> None:
    for name, one in cellar.cylinders.items():
        past.held.setdefault(name, []).append((at, float(one.known_kg - one.drawn_kg)))


def _taken(before: CellarState, after: CellarState) -> Iterator[tuple[str, Split]]:
    """What each keg drew between two states, and from which cylinder."""
    lone = only_cylinder(after)
    for name, keg in after.kegs.items():
        old = before.kegs.get(name)
        if old is None or old is keg or old.filled_at != keg.filled_at or keg.beer is None:
            continue
        supply = keg.supply or old.supply
        cylinder = (keg.fed_by if supply is None else supply.cylinder) or lone
        went = split_of(old, keg)
        if cylinder is not None and went.all_kg != 0.0:
            share = after.cylinders[cylinder].co2_share if cylinder in after.cylinders else 1.0
            yield cylinder, went.times(blend.kg_per_co2(share))


def split_of(old: KegState, keg: KegState) -> Split:
    """What a keg drew from one state of a filling to a later one, by what it did.

    Less than nothing where a weighing found more beer than was thought: less of it was pushed out.
    """
    drawn = float(keg.ledger.gas_drawn_kg - old.ledger.gas_drawn_kg)
    if drawn <= 0.0:
        return Split(push_kg=drawn)
    vented = float(keg.ledger.gas_vented_kg - old.ledger.gas_vented_kg)
    poured = float(keg.ledger.gas_poured_kg - old.ledger.gas_poured_kg)
    made = float(keg.ledger.gas_made_kg - old.ledger.gas_made_kg)
    gained = _dissolved(keg) - _dissolved(old) + poured - made
    purging = min(max(vented, 0.0), drawn)
    carbonation = min(max(gained, 0.0), drawn - purging)
    return Split(drawn - purging - carbonation, carbonation, purging)


def _dissolved(keg: KegState) -> float:
    return float(keg.beer_m3 * keg.level_vol * CO2_VOLUME_DENSITY.value)


def _first(past: Past, name: str, at: datetime) -> datetime:
    held = past.held.get(name, [])
    return held[0][0] if held else at


def _month(name: str, past: Past, known: Known, begin: datetime, end: datetime) -> GasMonth:
    went = Split()
    for since, until, what in past.went.get(name, []):
        if begin < until <= end or (since == until and begin <= until < end):
            went += what
    went += _beside(known, begin, end)
    lost, weighed = _lost(known, went.all_kg, begin, end)
    return GasMonth(
        begin=begin,
        end=end,
        push_kg=went.push_kg,
        carbonation_kg=went.carbonation_kg,
        purging_kg=went.purging_kg,
        lost_kg=lost,
        is_weighed=weighed,
    )


def _beside(known: Known, begin: datetime, end: datetime) -> Split:
    """What no keg's account bears: making kegs ready."""
    return Split(purging_kg=sum(one.gas_kg for one in known.unbooked if begin < one.at <= end))


def _lost(known: Known, taken_kg: float, begin: datetime, end: datetime) -> tuple[float, bool]:
    """What weighings did not find, spread evenly over each run of them; else the usual share.

    Over a run, not from one weighing to the next, where the scale's errors would be most of it;
    never less than nothing, as a scale's error gives no gas back.
    """
    lost, told_s = 0.0, 0.0
    for run in _runs(known.stretches):
        since, until = run[0].begin.at, run[-1].end.at
        within = (min(end, until) - max(begin, since)).total_seconds()
        if within > 0.0:
            missing = sum(one.missing_kg for one in run)
            lost += missing * within / (until - since).total_seconds()
            told_s += within
    untold = 1.0 - told_s / max((end - begin).total_seconds(), 1.0)
    usual = max(known.share.value, 0.0) * taken_kg * max(untold, 0.0)
    return max(lost + usual, 0.0), untold < 0.5


def _runs(stretches: Sequence[Between]) -> Iterator[list[Between]]:
    """Stretches that follow each other without a new filling between, together."""
    run: list[Between] = []
    for one in stretches:
        if run and run[-1].end.at != one.begin.at:
            yield run
            run = []
        run.append(one)
    if run:
        yield run
