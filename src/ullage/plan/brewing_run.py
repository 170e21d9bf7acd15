"""What a list of brews comes to: batches packaged into kegs as these are empty, kegs drunk in turn.

Followed from event to event. The rules are those of a careful hand: a batch is packaged as soon as
it is done and the kegs it wants are empty and clean, of several that of whose beer least is there;
where waiting for a second keg would leave a tap dry, into the kegs there are. A tap takes the keg
of its beer that has been ready longest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from heapq import heapify, heappop, heappush
from itertools import count

from ullage.plan.brewing_case import (
    CLEANING_D,
    DRY_STEP_D,
    LEAST_FILL,
    WORK_D,
    Batch,
    Brew,
    BrewingCase,
    Dry,
    Filling,
    Key,
    Schedule,
)

KICK, BREW, PACK, READY = range(4)
"""Kinds of events, in the order in which those of one moment happen."""


def follow(
    case: BrewingCase, brews: Sequence[Brew], most_dry_d: float = math.inf
) -> Schedule | None:
    """What comes of the brews; `None` where a fermenter would not be free for one of them.

    `None` as well once taps were dry for more than `most_dry_d` days: nobody wants to know more.
    """
    if _too_near(case, brews):
        return None
    run = _Run(case, brews, most_dry_d + DRY_STEP_D)
    if not run.to_the_end():
        return None
    waiting = run.waiting()
    dry = run.dryness()
    own = len(brews) - len(case.fixed)
    short = sum(one.end_d - one.begin_d for one in dry)
    return Schedule(
        brews=tuple(brews),
        batches=tuple(run.batches),
        fillings=tuple(run.fillings),
        dry=dry,
        waiting_d=waiting,
        key=Key(
            round(short / DRY_STEP_D) * DRY_STEP_D,
            own,
            round(waiting, 2),
            -float(sum(brew.day for brew in brews)),
        ),
    )


def _too_near(case: BrewingCase, brews: Sequence[Brew]) -> bool:
    """Whether a fermenter is brewed into while the batch before cannot even be done."""
    free_d: dict[int, float] = {}
    for brew in sorted(brews):
        if free_d.get(brew.fermenter, -math.inf) > brew.day:
            return True
        done = max(brew.day + case.beers[brew.beer].ferments_d, case.now_d)
        free_d[brew.fermenter] = done + CLEANING_D
    return False


@lru_cache(maxsize=256)
def _takes(fills_m3: tuple[float, ...], volume_m3: float) -> float:
    """How much of a volume all kegs together would take."""
    kegs = [(fill, index) for index, fill in enumerate(fills_m3)]
    return sum(amount for _, amount in pick(kegs, volume_m3))


def pick(kegs: Sequence[tuple[float, int]], volume_m3: float) -> list[tuple[int, float]]:
    """Which kegs (what they hold, and which) take a volume, and how much each.

    The smallest that takes all that is left, else the largest, until what is left is too little;
    of two alike the first.
    """
    found: list[tuple[int, float]] = []
    free, left = sorted(kegs), volume_m3
    while free:
        best = next((one for one in free if one[0] >= left - 1e-9), None)
        best = best or max(free, key=lambda one: (one[0], -one[1]))
        if left < LEAST_FILL * best[0]:
            break
        free.remove(best)
        found.append((best[1], min(left, best[0])))
        left -= best[0]
    return found


class _Run:
    """The cellar on its way through the horizon."""

    def __init__(self, case: BrewingCase, brews: Sequence[Brew], most_dry_d: float) -> None:
        self.case = case
        self._dry_left_d = most_dry_d
        self.batches: list[Batch] = []
        self.fillings: list[Filling] = []
        self._number = count()
        self._on = [-1] * len(case.taps)  # the filling on each tap
        self._since = [case.now_d] * len(case.taps)  # dry since, where none is
        self._dry: list[Dry] = []
        self._ready: list[list[int]] = [[] for _ in case.beers]  # fillings that wait, in turn
        self._coming = [0] * len(case.beers)  # fillings that carbonate
        self._clean: set[int] = set()  # empty kegs
        self._busy: dict[int, int] = {}  # batch in each fermenter
        self._free_d: dict[int, float] = {}
        self._done: list[int] = []  # batches that wait to be packaged
        self._events: list[tuple[float, int, int, int]] = []
        self._fills = tuple(keg.fill_m3 for keg in case.kegs)
        for index, brew in enumerate(brews):
            self._push(float(brew.day), BREW, index)
        self._brews = brews
        self._stock()
        heapify(self._events)

    def to_the_end(self) -> bool:
        """Whether every brew finds its fermenter free, and taps are not dry for too long."""
        last = self.case.horizon_d
        while self._events and self._events[0][0] < last:
            if self._dry_left_d < 0.0:
                return False
            at, kind, _, which = heappop(self._events)
            if kind == KICK:
                self._kick(at, which)
            elif kind == READY:
                self._to_tap(at, which)
            elif kind == PACK:
                self._package(at, which)
            elif not self._brew(at, which):
                return False
        return True

    def waiting(self) -> float:
        """Days that beer waited, those still waiting counted to the horizon."""
        last = self.case.horizon_d
        total = 0.0
        for filling in self.fillings:
            if filling.ready_d < last:
                total += max(min(filling.tapped_d, last) - max(filling.ready_d, 0.0), 0.0)
        for batch in self.batches:
            if batch.done_d < last:
                total += min(batch.packaged_d, last) - batch.done_d
        return total

    def dryness(self) -> tuple[Dry, ...]:
        """All times without beer, by tap."""
        last = self.case.horizon_d
        open_ = [
            Dry(tap, since, last)
            for tap, since in enumerate(self._since)
            if self._on[tap] < 0 and since < last
        ]
        return tuple(sorted(one for one in (*self._dry, *open_) if one.end_d > one.begin_d))

    def _push(self, at: float, kind: int, which: int) -> None:
        heappush(self._events, (at, kind, next(self._number), which))

    def _stock(self) -> None:
        """The kegs as they are now."""
        for index, keg in enumerate(self.case.kegs):
            if keg.beer < 0:
                self._push(float(math.ceil(keg.ready_d)), PACK, index)
                continue
            number = len(self.fillings)
            self.fillings.append(
                Filling(index, keg.beer, -1, keg.beer_m3, self.case.now_d, keg.ready_d)
            )
            if keg.tap >= 0 and keg.ready_d <= self.case.now_d:
                self._attach(keg.tap, number, self.case.now_d)
            else:
                self._coming[keg.beer] += 1
                self._push(keg.ready_d, READY, number)

    def _brew(self, at: float, index: int) -> bool:
        brew = self._brews[index]
        if brew.fermenter in self._busy or self._free_d.get(brew.fermenter, -math.inf) > at:
            return False
        volume = brew.volume_m3 or self.case.fermenters[brew.fermenter].volume_m3
        done = brew.day + self.case.beers[brew.beer].ferments_d
        self._busy[brew.fermenter] = len(self.batches)
        self.batches.append(Batch(brew, volume, done))
        self._push(max(float(done), math.ceil(self.case.now_d)), PACK, ~(len(self.batches) - 1))
        return True

    def _package(self, at: float, which: int) -> None:
        """A keg is clean, or a batch (its place turned round) is done: package what can be."""
        if which >= 0:
            self._clean.add(which)
        else:
            self._done.append(~which)
        more = True
        while more and self._done and self._clean:
            more = any(self._filled(at, batch) for batch in sorted(self._done, key=self._need))

    def _need(self, batch: int) -> tuple[int, float, int]:
        """How much is there of a batch's beer: kegs that wait, then when its taps run out."""
        beer = self.batches[batch].brew.beer
        return self._kegs_of(beer), self._lasts(beer), self.batches[batch].done_d

    def _kegs_of(self, beer: int) -> int:
        return len(self._ready[beer]) + self._coming[beer]

    def _lasts(self, beer: int) -> float:
        """When the first tap of a beer has nothing left in its keg."""
        return min(
            (
                self.fillings[on].kicked_d if on >= 0 else -math.inf
                for tap, on in zip(self.case.taps, self._on, strict=True)
                if tap.beer == beer
            ),
            default=math.inf,
        )

    def _filled(self, at: float, index: int) -> bool:
        batch = self.batches[index]
        beer = batch.brew.beer
        into = pick([(self.case.kegs[one].fill_m3, one) for one in self._clean], batch.volume_m3)
        amount = sum(each for _, each in into)
        if not into:
            return False
        if amount < _takes(self._fills, batch.volume_m3) - 1e-9:
            urgent = self._lasts(beer) <= at + self.case.beers[beer].carbonates_d + CLEANING_D
            if self._kegs_of(beer) or not urgent:
                return False
        self._done.remove(index)
        batch.packaged_d, batch.left_over_m3 = at, batch.volume_m3 - amount
        del self._busy[batch.brew.fermenter]
        self._free_d[batch.brew.fermenter] = at + CLEANING_D
        ready = at + WORK_D + self.case.beers[beer].carbonates_d
        for keg, each in into:
            self._clean.discard(keg)
            self._coming[beer] += 1
            self._push(ready, READY, len(self.fillings))
            self.fillings.append(Filling(keg, beer, index, each, at, ready))
        return True

    def _to_tap(self, at: float, number: int) -> None:
        """A keg has its carbonation: on to the tap of its beer that is dry longest, or it waits."""
        beer = self.fillings[number].beer
        self._coming[beer] -= 1
        dry = [
            tap
            for tap, told in enumerate(self.case.taps)
            if told.beer == beer and self._on[tap] < 0
        ]
        if dry:
            self._attach(min(dry, key=lambda tap: self._since[tap]), number, at)
        else:
            self._ready[beer].append(number)

    def _attach(self, tap: int, number: int, at: float) -> None:
        filling = self.fillings[number]
        if self._since[tap] < at and self._on[tap] < 0:
            self._dry.append(Dry(tap, self._since[tap], at))
            self._dry_left_d -= at - self._since[tap]
        self._on[tap] = number
        filling.tap, filling.tapped_d = tap, at
        filling.kicked_d = self.case.taps[tap].gone(at, filling.beer_m3)
        if math.isfinite(filling.kicked_d):
            self._push(filling.kicked_d, KICK, tap)

    def _kick(self, at: float, tap: int) -> None:
        filling = self.fillings[self._on[tap]]
        self._on[tap], self._since[tap] = -1, at
        self._push(float(math.ceil(at + CLEANING_D)), PACK, filling.keg)
        waiting = self._ready[self.case.taps[tap].beer]
        if waiting:
            self._attach(tap, waiting.pop(0), at)
