"""Small changes of a list of brews, each to be tried whether it makes the schedule better."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final

from ullage.plan.brewing_case import Brew, BrewingCase

SHIFTS: Final = (4, 3, 2, 1, -1, -2)
"""By how many brew days a single brew is moved."""
RUN_SHIFTS: Final = (-1, 1, -2, 2, -3, 3)
"""By how many brew days several in turn are moved together."""
Brews = tuple[Brew, ...]


def free(case: BrewingCase, brews: Sequence[Brew], day: int) -> Iterator[int]:
    """The fermenters into which one more may be brewed on a day, whether they are empty or not."""
    on_day = [brew.fermenter for brew in brews if brew.day == day]
    if len(on_day) < case.most_a_day:
        yield from (one for one in range(len(case.fermenters)) if one not in on_day)


def single(case: BrewingCase, brews: Brews) -> Iterator[Brews]:
    """Each brew left out, moved, put into another fermenter, or its beer swapped with the next."""
    head, own = _parted(case, brews)
    for index, brew in enumerate(own):
        others = (*head, *own[:index], *own[index + 1 :])
        yield others
        yield from _shifted(case, others, brew)
        for one in free(case, others, brew.day):
            if one != brew.fermenter:
                yield (*others, brew._replace(fermenter=one))
        yield from _swapped(head, own, index)


def runs(case: BrewingCase, brews: Brews) -> Iterator[Brews]:
    """Several brews in turn, of all or of one fermenter, moved together."""
    head, own = _parted(case, brews)
    groups = [list(range(len(own)))]
    if len(case.fermenters) > 1:
        groups += [
            [index for index, brew in enumerate(own) if brew.fermenter == one]
            for one in range(len(case.fermenters))
        ]
    for group in groups:
        for first, last in combinations(range(len(group)), 2):
            for shift in RUN_SHIFTS:
                yield from _moved(case, (head, own), group[first : last + 1], shift)


def one_more(case: BrewingCase, brews: Brews, beers: Sequence[int]) -> Iterator[Brews]:
    """One more brew of one of the beers, on any day."""
    for day in case.slots:
        for one in free(case, brews, day):
            yield from ((*brews, Brew(day, one, beer)) for beer in beers)


def _parted(case: BrewingCase, brews: Brews) -> tuple[Brews, Brews]:
    """What is decided already, and the others by their days."""
    fixed = len(case.fixed)
    return brews[:fixed], tuple(sorted(brews[fixed:]))


def _shifted(case: BrewingCase, others: Brews, brew: Brew) -> Iterator[Brews]:
    """A brew moved by some brew days, into any fermenter that is free then."""
    place = case.slots.index(brew.day)
    for to in (place + shift for shift in SHIFTS):
        if 0 <= to < len(case.slots):
            for one in free(case, others, case.slots[to]):
                yield (*others, brew._replace(day=case.slots[to], fermenter=one))


def _swapped(head: Brews, own: Brews, index: int) -> Iterator[Brews]:
    """The beer of a brew swapped with that of the next that is of another."""
    brew = own[index]
    for place in range(index + 1, len(own)):
        second = own[place]
        if second.beer != brew.beer:
            rest = (*own[:index], *own[index + 1 : place], *own[place + 1 :])
            yield (
                *head,
                *rest,
                brew._replace(beer=second.beer),
                second._replace(beer=brew.beer),
            )
            return


def _moved(
    case: BrewingCase, parted: tuple[Brews, Brews], which: Sequence[int], shift: int
) -> Iterator[Brews]:
    """Some of the brews moved by so many brew days, where that leaves no day too full."""
    head, own = parted
    place = {day: index for index, day in enumerate(case.slots)}
    new = list(own)
    for index in which:
        to = place[own[index].day] + shift
        if not 0 <= to < len(case.slots):
            return
        new[index] = own[index]._replace(day=case.slots[to])
    days = [brew.day for brew in (*head, *new)]
    if all(days.count(day) <= case.most_a_day for day in set(days)):
        yield (*head, *new)
