"""The best schedule of a small case: every choice of brews, but those that cannot be better.

A brew helps no tap before its lead time has passed. So the dryness until then, with the brews that
are chosen so far, is the least that any choice of later ones can leave: where that is more than the
best that is known, or as much with more brews, nothing further on is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product
from typing import Final

from ullage.plan.brewing_case import DRY_STEP_D, Brew, BrewingCase, Schedule
from ullage.plan.brewing_run import follow
from ullage.plan.brewing_search import Progress, greedy, improved, search, unheard

MOST_CHOICES: Final = 20_000


def best(case: BrewingCase, progress: Progress = unheard) -> tuple[Schedule, bool]:
    """The best schedule that is found, and whether it is known that there is no better one."""
    if not is_small(case):
        return search(case, progress), False
    found = exact(case)
    progress(1.0)
    return found, True


def is_small(case: BrewingCase) -> bool:
    """Whether there are few enough choices of brews to look at all that matter."""
    return choices_of(case) <= MOST_CHOICES


def choices_of(case: BrewingCase) -> float:
    """How many choices of brews there are."""
    a_day = sum(1 for _ in _brews_on(case, 0)) + 1
    return float(a_day) ** len(_useful(case))


def exact(case: BrewingCase) -> Schedule:
    """The best schedule there is."""
    best = improved(case, greedy(case, case.horizon_d), case.horizon_d)
    slots = _useful(case)
    todo: list[tuple[int, tuple[Brew, ...]]] = [(0, case.fixed)]
    while todo:
        begin, brews = todo.pop()
        found = follow(case, brews)
        if found is None:
            continue
        if found.key < best.key:
            best = found
        least = _least_dry(case, found, slots[begin]) if begin < len(slots) else 0.0
        more = found.key.brews + 1
        if least > best.key.dry_d + DRY_STEP_D:
            continue
        if least > best.key.dry_d - DRY_STEP_D and more > best.key.brews:
            continue
        for place in range(begin, len(slots)):
            todo += [(place + 1, (*brews, *new)) for new in _brews_on(case, slots[place])]
    return best


def _useful(case: BrewingCase) -> tuple[int, ...]:
    """The days on which a brew can be ready within the horizon."""
    quickest = min((case.lead_d(tap.beer) for tap in case.taps), default=0.0)
    return tuple(slot for slot in case.slots if slot + quickest < case.horizon_d)


def _brews_on(case: BrewingCase, day: int) -> Iterator[tuple[Brew, ...]]:
    """Every choice of one brew or more on a day."""
    beers = sorted({tap.beer for tap in case.taps})
    for count in range(1, case.most_a_day + 1):
        for places in combinations(range(len(case.fermenters)), count):
            for told in product(beers, repeat=count):
                yield tuple(
                    Brew(day, place, beer) for place, beer in zip(places, told, strict=True)
                )


def _least_dry(case: BrewingCase, found: Schedule, slot: int) -> float:
    """The dryness (days) that no brew from a day on can take away."""
    return sum(
        max(min(one.end_d, slot + case.lead_d(case.taps[one.tap].beer)) - one.begin_d, 0.0)
        for one in found.dry
    )
