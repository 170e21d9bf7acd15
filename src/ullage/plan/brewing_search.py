"""When to brew what: first a brew for each time a tap runs dry, then better ones by small changes.

Least dryness counts first, then the fewest brews, then the freshest beer, then brewing later. Small
cases are searched through (`brewing_exact`). Longer ones are planned window by window: the brews of
a window's first half stay, the rest is planned anew from there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from ullage.plan.brewing_case import (
    CLEANING_D,
    DRY_STEP_D,
    Brew,
    BrewingCase,
    KegStock,
    Schedule,
)
from ullage.plan.brewing_moves import free, one_more, runs, single
from ullage.plan.brewing_run import follow

WINDOW_D: Final = 84.0
STEP_D: Final = 42.0
EARLIER, LATER = 8, 4
"""Slots tried before the one that is just in time for a dry tap, and after it."""
MOST_TRIES: Final = 1500
"""Changes tried on the brews of one window; what is left to gain after that is little."""
Progress = Callable[[float], None]


def unheard(share: float) -> None:
    """Nobody listens to the progress."""
    del share


def search(case: BrewingCase, progress: Progress = unheard) -> Schedule:
    """A good schedule. `progress` is told the share of the horizon that is planned, up to 1."""
    brews: tuple[Brew, ...] = ()
    begin, rest = case.now_d, case
    while True:
        end = min(begin + WINDOW_D, case.horizon_d)
        found = improved(rest, greedy(rest, end), end)
        keep = math.inf if end >= case.horizon_d else begin + STEP_D
        own = found.brews[len(rest.fixed) :]
        brews += tuple(brew for brew in own if brew.day < keep)
        progress(min(keep, case.horizon_d) / case.horizon_d)
        if end >= case.horizon_d:
            break
        begin = keep
        rest = later(case, _known(case, (*case.fixed, *brews)), begin)
    return _known(case, (*case.fixed, *brews))


def greedy(case: BrewingCase, end_d: float, begin: Sequence[Brew] | None = None) -> Schedule:
    """A brew for each dry time in turn, on the day that leaves least of it, the latest such.

    `begin`: brews to begin from, which must fit; `None`: those that are decided already.
    """
    seen = replace(case, horizon_d=end_d)
    now = _known(seen, case.fixed if begin is None else begin)
    given_up: set[tuple[int, float]] = set()
    while True:
        dry = [one for one in now.dry if (one.tap, one.begin_d) not in given_up]
        if not dry:
            return now
        first = min(dry, key=lambda one: one.begin_d)
        best = now
        for brew in _candidates(seen, now, first.tap, first.begin_d, first.end_d):
            found = follow(seen, (*now.brews, brew), best.key.dry_d)
            if found is not None and _beats(found, best):
                best = found
        if best is now:
            given_up.add((first.tap, first.begin_d))
        now = best


def improved(
    case: BrewingCase, found: Schedule, end_d: float, most_tries: int = MOST_TRIES
) -> Schedule:
    """The same after every change that makes it better, until none does.

    While a tap runs dry, a change may need a brew besides: pairs of them are tried as well.
    """
    seen = replace(case, horizon_d=end_d)
    best, left = found, most_tries
    while left > 0:
        better = None
        for brews in _tried(seen, best):
            left -= 1
            tried = follow(seen, brews, best.key.dry_d)
            if tried is not None and _beats(tried, best):
                better = tried
                break
            if left <= 0:
                break
        if better is None:
            return best
        best = better
    return best


def _tried(case: BrewingCase, now: Schedule) -> Iterator[tuple[Brew, ...]]:
    """The changes worth a try, in turn."""
    yield from single(case, now.brews)
    if not now.dry:
        return
    beers = sorted({case.taps[one.tap].beer for one in now.dry})
    yield from runs(case, now.brews)
    yield from one_more(case, now.brews, beers)
    for brews in (*single(case, now.brews), *runs(case, now.brews)):
        yield from one_more(case, brews, beers)


def later(case: BrewingCase, known: Schedule, begin_d: float) -> BrewingCase:
    """The case as it stands on a day of a schedule: kegs as they are then, batches begun."""
    stock = [_stock(case, known, keg, begin_d) for keg in range(len(case.kegs))]
    fixed = tuple(
        batch.brew._replace(volume_m3=batch.volume_m3)
        for batch in known.batches
        if batch.brew.day < begin_d <= batch.packaged_d
    )
    ahead = tuple(brew for brew in case.fixed if brew.day >= begin_d)
    return replace(
        case,
        kegs=tuple(stock),
        slots=tuple(slot for slot in case.slots if slot >= begin_d),
        now_d=begin_d,
        fixed=(*fixed, *ahead),
    )


def _known(case: BrewingCase, brews: Sequence[Brew]) -> Schedule:
    found = follow(case, brews)
    assert found is not None, "brews that were found to fit fit no more"
    return found


def _beats(new: Schedule, old: Schedule) -> bool:
    """Whether it is worth a brew, or, of as many, better."""
    if len(new.brews) > len(old.brews):
        return new.key.dry_d < old.key.dry_d - DRY_STEP_D / 2
    return new.key < old.key


def _candidates(
    case: BrewingCase, now: Schedule, tap: int, begin_d: float, end_d: float
) -> Iterator[Brew]:
    """Brews for a tap that is dry for a time: about the day that is just in time."""
    beer = case.taps[tap].beer
    lead = case.lead_d(beer)
    early = [slot for slot in case.slots if slot + lead <= begin_d][-EARLIER:]
    late = [slot for slot in case.slots if begin_d < slot + lead < end_d][:LATER]
    for slot in (*reversed(early), *late):
        yield from (Brew(slot, one, beer) for one in free(case, now.brews, slot))


def _stock(case: BrewingCase, known: Schedule, keg: int, at_d: float) -> KegStock:
    """What a keg holds at a moment of a schedule."""
    was = case.kegs[keg]
    own = [one for one in known.fillings if one.keg == keg and one.filled_d < at_d]
    last = own[-1] if own else None
    if last is None:
        return was
    if last.kicked_d <= at_d:
        return KegStock(was.name, was.fill_m3, ready_d=last.kicked_d + CLEANING_D)
    if last.tapped_d >= at_d:
        return KegStock(was.name, was.fill_m3, last.beer, last.beer_m3, last.ready_d)
    left = _left(case, last.tap, last.tapped_d, last.beer_m3, at_d)
    return KegStock(was.name, was.fill_m3, last.beer, left, last.ready_d, last.tap)


def _left(case: BrewingCase, tap: int, tapped_d: float, beer_m3: float, at_d: float) -> float:
    """What a tap has left in its keg at a moment."""
    drunk = sum(
        rate * max(min(end, at_d) - max(begin, tapped_d), 0.0)
        for begin, end, rate in case.taps[tap].stretches
        if rate > 0.0
    )
    return max(beer_m3 - drunk, 1e-9)
