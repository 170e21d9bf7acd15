"""Which regulator gets which group, so that few kegs are hung anew; and what one more costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from ullage.plan.money import way_cost
from ullage.plan.parts_list import parts_list
from ullage.plan.share_points import Sharing
from ullage.plan.share_puzzle import Found, Group, Puzzle
from ullage.system.model import Regulator, System
from ullage.system.price_book import Amount, PriceBook


@dataclass(frozen=True, slots=True)
class Hung:
    """Kegs on one regulator at a pressure (Pa gauge); `None`: it stays free."""

    regulator: Regulator
    kegs: tuple[str, ...]
    gauge_pa: float | None


@dataclass(frozen=True, slots=True)
class Cost:
    """What is to be bought, in the book's currency; parts without a price are left out."""

    low: float
    high: float
    currency: str
    unpriced: tuple[str, ...]


def hung(sharing: Sharing, puzzle: Puzzle, found: Found, regulators: int) -> tuple[Hung, ...]:
    """The groups on regulators by name; those that are there and stay free among them.

    Regulators that can do the same may change places: the most kegs stay where they hang, and
    what is there is used before anything is bought.
    """
    there = sharing.regulators[: puzzle.count(regulators)]
    taken: dict[int, Group] = {}
    for alike in _alike(puzzle, len(there)):
        groups = [one for one in found.groups if puzzle.alike or one.regulator in alike]
        taken |= dict(zip(_placed(sharing, groups, alike), groups, strict=True))
    rows = [_hung(sharing, puzzle, one, taken.get(at)) for at, one in enumerate(there)]
    return tuple(one for one in rows if one.kegs or one.regulator in sharing.system.regulators)


def _hung(sharing: Sharing, puzzle: Puzzle, one: Regulator, group: Group | None) -> Hung:
    if group is None:
        return Hung(one, (), None)
    kegs = tuple(sharing.points[keg].keg for keg in group.kegs)
    return Hung(one, kegs, float(puzzle.gauges_pa[group.pressure]))


def _alike(puzzle: Puzzle, count: int) -> list[tuple[int, ...]]:
    """The regulators by index, those that can do the same together."""
    kinds = list(dict.fromkeys(puzzle.kinds[:count]))
    if puzzle.alike:
        return [tuple(range(count))]
    return [tuple(at for at in range(count) if puzzle.kinds[at] == kind) for kind in kinds]


def _placed(sharing: Sharing, groups: Sequence[Group], places: Sequence[int]) -> tuple[int, ...]:
    """A place for each group: the most kegs stay, then the fewest regulators are new."""

    def worth(group: Group, at: int) -> tuple[int, int]:
        one = sharing.regulators[at]
        stay = sum(sharing.points[keg].present == one.name for keg in group.kegs)
        return stay, int(at < sharing.there)

    @cache
    def best(number: int, free: frozenset[int]) -> tuple[int, int, tuple[int, ...]]:
        if number == len(groups):
            return 0, 0, ()
        ways = []
        for at in sorted(free):
            stay, old = worth(groups[number], at)
            later_stay, later_old, rest = best(number + 1, free - {at})
            ways.append((stay + later_stay, old + later_old, (at, *rest)))
        return max(ways, key=lambda way: (way[0], way[1], [-at for at in way[2]]))

    return best(0, frozenset(places))[2]


def rehung(sharing: Sharing, rows: Sequence[Hung]) -> System:
    """The system with its kegs hung so, and the regulators that are new."""
    on = {keg: row.regulator.name for row in rows for keg in row.kegs}
    there = {one.name for one in sharing.system.regulators}
    new = [row.regulator for row in rows if row.regulator.name not in there]
    set_to = {row.regulator.name: row.gauge_pa for row in rows}
    kegs = [
        keg.model_copy(update={"regulator": on.get(keg.name, keg.regulator)})
        for keg in sharing.system.kegs
    ]
    regulators = [
        one.model_copy(update={"pressure": set_to.get(one.name, one.pressure)})
        for one in (*sharing.system.regulators, *new)
    ]
    return sharing.system.model_copy(update={"kegs": tuple(kegs), "regulators": tuple(regulators)})


def cost_of(sharing: Sharing, rows: Sequence[Hung], book: PriceBook) -> Cost:
    """What hanging them so takes over what is there, bought the sensible way."""
    before = way_cost(parts_list(sharing.system), book, "sensible")
    after = way_cost(parts_list(rehung(sharing, rows)), book, "sensible")
    more = Amount(max(after.low - before.low, 0.0), max(after.high - before.high, 0.0))
    unpriced = tuple(title for title in after.unpriced if title not in before.unpriced)
    return Cost(more.low, more.high, book.currency, unpriced)
