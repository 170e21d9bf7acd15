"""How quickly the beer is drunk: of a keg, a tap, a household, from what was written down.

What leaves a keg is known by the pours, and by weighings and the kick for what nobody wrote down:
that much is spread evenly over the time since the keg was last known. The rate is the amount over
the time, newer weeks counting more. Its spread is that of drinking in servings at random: the
variance of the amount is the sum of the squares of the (weighted) servings, and a gamma
distribution of that mean and variance gives the band.

Parties are not the usual: where what was drunk at one is told, its time and its beer are left out.
A season in which twice as much is drunk counts as twice the time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.beer_out import KNOWN_AGAIN_S, LEAST_DRUNK_M3
from ullage.cellar.draws import HIGH, LOW
from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import (
    Filled,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Poured,
    Tapped,
)
from ullage.cellar.other_events import Gathering
from ullage.cellar.state import CellarState
from ullage.plan.answers import Band
from ullage.plan.draughts import Draught, Open, without
from ullage.plan.gatherings import gatherings
from ullage.plan.spoken import part
from ullage.system.model import System

HALF_LIFE_S: Final = 28 * 86_400.0
"""What was drunk four weeks ago counts half as much; our choice."""
SERVING_M3: Final = 0.4e-3
"""A glass, for what was drunk without being written down; common practice, no source."""
FEWEST_SERVINGS: Final = 3.0
SHORTEST_S: Final = 3 * 86_400.0
GIVEN_SHAPE: Final = 6.0
"""Shape of the gamma for a rate that was given, not learnt: a band of about ± 50 %; our choice."""
DAY_S: Final = 86_400.0


@dataclass(frozen=True, slots=True)
class Rate:
    """Beer drunk in m³/s with its 80 % band, and in a sentence from what it was learnt.

    `shape` is that of the gamma distribution whose mean is the rate; `servings_m3` the usual glass.
    """

    drunk_m3_s: Band
    shape: float
    serving_m3: float
    learnt: str


@dataclass(frozen=True, slots=True)
class Drinking:
    """The rates of everything that is drunk from; `None`: not enough written down."""

    household: Rate | None
    kegs: dict[str, Rate | None]
    taps: dict[str, Rate | None]


def drinking(
    facts: Sequence[Event], cellar: CellarState, at: datetime, system: System | None = None
) -> Drinking:
    """The rates at `at`, learnt from the facts up to then and the cellar they were replayed to.

    Where a tap has none of its own, it is as the system says (`drinking` of the tap), if it does;
    a keg with none is drunk as its tap is. Gatherings count though they were only planned.
    """
    held = [one for one in gatherings(facts) if one.at < at]
    spans = without(held, _spans(facts, cellar, at))
    told = {} if system is None else {tap.name: tap.drinking for tap in system.taps}
    kegs_on = ((keg.tap, keg.tap_before) for keg in cellar.kegs.values())
    on = {tap for pair in kegs_on for tap in pair if tap is not None}
    taps = {
        name: _learnt([one for one in spans if one.tap == name], at, part("tap", name), held)
        or _given(told.get(name), name)
        for name in sorted(on | {name for name, flow in told.items() if flow is not None})
    }
    kegs = {
        name: _learnt(
            [one for one in spans if _is_present(one, name, cellar)], at, part("keg", name), held
        )
        or taps.get(keg.tap or "")
        for name, keg in sorted(cellar.kegs.items())
        if keg.holds_beer
    }
    return Drinking(_learnt(spans, at, "the household", held), kegs, taps)


def _is_present(span: Open, name: str, cellar: CellarState) -> bool:
    """Whether it is a time of what the keg holds now, not of an earlier filling."""
    filled = cellar.kegs[name].filled_at
    return span.keg == name and filled is not None and span.begin >= filled


def _spans(facts: Sequence[Event], cellar: CellarState, at: datetime) -> list[Open]:
    """The times at which there was beer to drink, with what was drunk in each."""
    found: list[Open] = []
    streams: dict[str, list[Event]] = {}
    for event in in_order(facts):
        if not event.planned and event.at <= at:
            streams.setdefault(event.stream, []).append(event)
    missing = {
        (one.keg, one.at): one.replayed - one.read
        for one in cellar.residuals
        if one.quantity == "beer_m3"
    }
    for name in cellar.kegs:
        fillings = _Fillings(name, missing, at)
        for event in streams.get(f"keg:{name}", []):
            fillings.take(event)
        fillings.close(at)
        found += fillings.found
    return found


class _Fillings:
    """The fillings of one keg while its events go by, each from when its beer could be drunk.

    Cleaning and filling take it off its tap where it held beer; beer that leaves it tells that it
    is on there again.
    """

    def __init__(
        self, name: str, missing: Mapping[tuple[str, datetime], float], at: datetime
    ) -> None:
        """Begin with an empty keg; `missing`: beer that a weighing found gone (m3) by its time."""
        self.found: list[Open] = []
        self._name, self._missing = name, missing
        self._filled: datetime | None = None
        self._open_since = self._known = at
        self._tap: str | None = None
        self._before: str | None = None
        self._held = False
        self._draughts: list[Draught] = []

    def take(self, event: Event) -> None:
        """Count one event of the keg."""
        if isinstance(event, Filled):
            self._empty(event.at, held=True)
            self._filled = self._open_since = self._known = event.at
        elif isinstance(event, KegCleaned | KegSanitised):
            self._empty(event.at, held=False)
        elif isinstance(event, Tapped):
            self._tap, self._before = event.tap, None
            if self._filled is not None and not self._draughts:
                self._open_since = event.at
        elif self._filled is None:
            return
        elif isinstance(event, Poured):
            self._tap = self._tap or self._before
            self._draughts.append(Draught(event.at, event.at, event.volume_m3, event.volume_m3))
        elif isinstance(event, KegWeighed | Kicked):
            self._measured(event)

    def close(self, end: datetime) -> None:
        """End the filling that is in it."""
        if self._filled is not None and end > self._open_since:
            begin = max(self._open_since, _first_drunk(self._draughts, self._open_since))
            self.found.append(Open(self._name, self._tap, begin, end, tuple(self._draughts)))
        self._filled, self._draughts = None, []

    def _empty(self, at: datetime, held: bool) -> None:
        self.close(at)
        if self._held:
            self._before = self._tap or self._before
            self._tap = None
        self._held = held

    def _measured(self, event: KegWeighed | Kicked) -> None:
        """Beer that left it unwritten since it was last known how much was in it."""
        unwritten = self._missing.get((self._name, event.at), 0.0)
        since = max(self._known, self._open_since)
        again = (event.at - since).total_seconds() >= KNOWN_AGAIN_S
        if again or self._known != self._filled:
            if unwritten > LEAST_DRUNK_M3:
                self._tap = self._tap or self._before
            self._draughts.append(Draught(since, event.at, unwritten, SERVING_M3))
        self._known = event.at
        if isinstance(event, Kicked):
            self.close(event.at)


def _first_drunk(draughts: Sequence[Draught], opened: datetime) -> datetime:
    """When drinking began: a usual gap before the first pour, as beer may wait until it is ready.

    Where the first that is known is a weighing, it is when the keg was opened.
    """
    pours = [one.begin for one in draughts if one.begin == one.end]
    if len(pours) < 2 or draughts[0].begin != draughts[0].end:
        return opened
    return pours[0] - (pours[-1] - pours[0]) / (len(pours) - 1)


def _learnt(
    spans: Sequence[Open], at: datetime, whose: str, held: Sequence[Gathering] = ()
) -> Rate | None:
    """The weighted amount over the weighted time, if there is enough of both."""
    seconds = _weighted_time(spans, at, held)
    amount = spread = glasses = 0.0
    for span in spans:
        for drunk in span.draughts:
            weight = _mean_weight(drunk.begin, drunk.end, at)
            amount += weight * drunk.volume_m3
            spread += weight**2 * abs(drunk.volume_m3) * drunk.serving_m3
            glasses += weight * abs(drunk.volume_m3) * drunk.serving_m3
    if seconds < _weight_of(SHORTEST_S) or amount <= 0.0 or spread <= 0.0:
        return None
    if amount**2 / spread < FEWEST_SERVINGS:
        return None
    return _rate(amount / seconds, amount**2 / spread, glasses / amount, _words(spans, at, whose))


def _given(flow: float | None, tap: str) -> Rate | None:
    if flow is None or flow <= 0.0:
        return None
    return given_rate(flow, f"as the system file says of {part('tap', tap)}")


def given_rate(flow_m3_s: float, learnt: str) -> Rate:
    """A rate that somebody told (m³/s, above zero), and in a sentence from where it is known."""
    return _rate(flow_m3_s, GIVEN_SHAPE, SERVING_M3, learnt)


def _rate(mean_m3_s: float, shape: float, serving_m3: float, learnt: str) -> Rate:
    from scipy.special import gammaincinv  # noqa: PLC0415  (slow to load)

    low, high = (float(gammaincinv(shape, share)) * mean_m3_s / shape for share in (LOW, HIGH))
    return Rate(
        Band(mean_m3_s, min(low, mean_m3_s), max(high, mean_m3_s)), shape, serving_m3, learnt
    )


def _words(spans: Sequence[Open], at: datetime, whose: str) -> str:
    drunk = [one for span in spans for one in span.draughts]
    pours = sum(one.begin == one.end for one in drunk)
    days = (at - min(span.begin for span in spans)).total_seconds() / DAY_S
    what = " and ".join(
        f"{count} {noun}{'' if count == 1 else 's'}"
        for count, noun in ((pours, "pour"), (len(drunk) - pours, "weighing or kick"))
        if count
    ).replace("weighing or kicks", "weighings or kicks")
    newer = ", newer ones counting more" if days > HALF_LIFE_S / DAY_S / 2 else ""
    return f"learnt from {what} of {whose} in {days:.0f} days{newer}"


def _weighted_time(spans: Sequence[Open], at: datetime, held: Sequence[Gathering]) -> float:
    """The integral of the weights over all times together, each moment counted once (s).

    Times of gatherings count by their factor, those whose beer was told not at all.
    """
    total, until = 0.0, None
    for span in sorted(spans, key=lambda one: one.begin):
        begin = span.begin if until is None or span.begin > until else until
        if span.end > begin:
            total += _weight_between(begin, span.end, at)
            total += sum(_more(one, begin, span.end, at) for one in held)
            until = span.end
    return total


def _more(one: Gathering, begin: datetime, end: datetime, at: datetime) -> float:
    """What a gathering adds to the weighted time between two moments; less than nothing, mostly."""
    first, last = max(begin, one.at), min(end, one.ends)
    return (one.factor or 0.0) * _weight_between(first, last, at) - _weight_between(first, last, at)


def _weight_between(begin: datetime, end: datetime, at: datetime) -> float:
    if end <= begin:
        return 0.0
    return _weight_of(_ago(begin, at)) - _weight_of(_ago(end, at))


def _mean_weight(begin: datetime, end: datetime, at: datetime) -> float:
    """The weight of a moment, or the mean of those between two."""
    seconds = (end - begin).total_seconds()
    if seconds <= 0.0:
        return math.pow(0.5, _ago(end, at) / HALF_LIFE_S)
    return (_weight_of(_ago(begin, at)) - _weight_of(_ago(end, at))) / seconds


def _weight_of(seconds: float) -> float:
    """The integral of the weights from so long ago until now (s)."""
    return HALF_LIFE_S / math.log(2.0) * (1.0 - math.pow(0.5, seconds / HALF_LIFE_S))


def _ago(moment: datetime, at: datetime) -> float:
    return max((at - moment).total_seconds(), 0.0)
