"""Where taps run dry whatever is brewed: what would help, tried one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Final

from ullage.plan.brewing_answer import Cure
from ullage.plan.brewing_case import BeerKind, Brew, BrewingCase, FermenterCase, KegStock, Schedule
from ullage.plan.brewing_days import DAY_S
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.brewing_search import WINDOW_D, greedy, improved
from ullage.plan.brewing_stock import Stock
from ullage.plan.spoken import part
from ullage.system.model import System

WORTH_D: Final = 0.5
"""A cure that saves less than half a day of dryness is not told; our choice."""
WEDNESDAY: Final = 2
TRIES: Final = 300
"""Changes tried for a cure: it need not be planned to the last day."""
USUAL_BATCH_M3: Final = 0.019
"""A fermenter for one US 5 gal keg, where none is owned. Common practice, no source."""


def cures(
    stock: Stock, known: Schedule, system: System, question: BrewingQuestion
) -> tuple[Cure, ...]:
    """What would leave taps dry for less time, the best first; of the next twelve weeks at most."""
    case = stock.case
    if known.key.dry_d <= 0.0:
        return ()
    end = min(case.horizon_d, case.now_d + WINDOW_D)
    seen = replace(case, horizon_d=end)
    brews = tuple(brew for brew in known.brews if brew.day < end)
    now_d = sum(max(min(one.end_d, end) - one.begin_d, 0.0) for one in known.dry)
    found = [
        Cure(what, _left(changed, brews), (end - case.now_d) * DAY_S)
        for what, changed in _others(stock, seen, system, question)
    ]
    worth = [one for one in found if one.dry_days < now_d - WORTH_D]
    return tuple(sorted(worth, key=lambda one: one.dry_days))


def _left(case: BrewingCase, brews: tuple[Brew, ...]) -> float:
    """The dryness (days) that is left with a change, from the brews as they were without it."""
    begun = greedy(case, case.horizon_d, brews)
    return improved(case, begun, case.horizon_d, TRIES).key.dry_d


def _others(
    stock: Stock, case: BrewingCase, system: System, question: BrewingQuestion
) -> Iterator[tuple[str, BrewingCase]]:
    """Each change in words, and the case with it."""
    yield from _fermenter(case, system)
    fill = max((keg.fill_m3 for keg in case.kegs), default=USUAL_BATCH_M3)
    yield "another keg", replace(case, kegs=(*case.kegs, KegStock("another", fill)))
    if case.most_a_day < len(case.fermenters):
        more = case.most_a_day + 1
        yield f"{more} brews on a brew day", replace(case, most_a_day=more)
    if WEDNESDAY not in question.weekdays:
        yield "brewing on Wednesdays as well", replace(case, slots=_and_wednesdays(stock, case))
    quick = _quick(stock, case)
    if quick is not None:
        yield quick


def _fermenter(case: BrewingCase, system: System) -> Iterator[tuple[str, BrewingCase]]:
    wanted = [one for one in system.fermenters if one.to_buy]
    if wanted:
        for one in wanted:
            new = FermenterCase(one.name, one.volume)
            yield (
                f"buying {part('fermenter', one.name)}",
                replace(case, fermenters=(*case.fermenters, new)),
            )
        return
    volume = max((one.volume_m3 for one in case.fermenters), default=USUAL_BATCH_M3)
    article = "another" if case.fermenters else "a"
    new = FermenterCase("another", volume)
    yield f"{article} fermenter", replace(case, fermenters=(*case.fermenters, new))


def _and_wednesdays(stock: Stock, case: BrewingCase) -> tuple[int, ...]:
    days = range(int(case.now_d) + 1, int(case.horizon_d) + 1)
    more = {day for day in days if (stock.days.today + timedelta(days=day)).weekday() == WEDNESDAY}
    return tuple(sorted({*case.slots, *more}))


def _quick(stock: Stock, case: BrewingCase) -> tuple[str, BrewingCase] | None:
    """Every beer carbonated the quickest way there is, where that is quicker."""
    gained = [
        (lead, kind)
        for lead, kind in zip(stock.leads, case.beers, strict=True)
        if lead.quick_s < kind.carbonates_d * DAY_S - WORTH_D * DAY_S
    ]
    if not gained:
        return None
    kinds = tuple(
        BeerKind(kind.name, kind.ferments_d, min(kind.carbonates_d, lead.quick_s / DAY_S))
        for lead, kind in zip(stock.leads, case.beers, strict=True)
    )
    ways = " or ".join(sorted({lead.quick_way for lead, _ in gained}))
    return f"carbonating more quickly ({ways})", replace(case, beers=kinds)
