"""What a build costs three ways, what a pint costs, and kegs against bottles, in own numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from ullage.everyday_units import US_PINT_M3
from ullage.plan.cylinder_fits import kegs_a_filling
from ullage.plan.grow import MOST_TAPS, grown
from ullage.plan.parts_answer import PartLine, PartsList, TubingLine
from ullage.plan.parts_list import parts_list
from ullage.system.model import System
from ullage.system.parts import keg_kind
from ullage.system.price_book import NOTHING, Amount, Bottling, Brewing, Price, PriceBook

Way = Literal["least", "sensible", "comfortable"]
WAYS: Final[tuple[Way, ...]] = ("least", "sensible", "comfortable")
YEAR_S: Final = 365.25 * 86_400.0
HOURS_A_YEAR: Final = 8766.0
SAFER_NEW: Final = ("cylinder ", "regulator", "check-valve", "manifold-")
"""Parts that hold the cylinder's pressure back: new in the sensible way, whatever they cost."""


@dataclass(frozen=True, slots=True)
class WayCost:
    """One way to buy what is missing. `unpriced`: parts the book has no price for, not counted."""

    way: Way
    low: float
    high: float
    bought_used: tuple[str, ...]
    spares: tuple[str, ...]
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Running:
    """Kegs or bottles over the years: money in all, hours in all, from low to high."""

    what: Literal["kegs", "bottles"]
    setup_low: float
    setup_high: float
    yearly_low: float
    yearly_high: float
    total_low: float
    total_high: float
    hours: float
    pint_low: float
    pint_high: float


@dataclass(frozen=True, slots=True)
class TapCost:
    """What one tap more would cost, the sensible way."""

    taps: int
    low: float
    high: float
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MoneyAnswer:
    """The money of a build in the book's currency; what cannot be told is left out and said."""

    system: str
    currency: str
    ways: tuple[WayCost, ...]
    years: float | None
    batches_a_year: float | None
    running: tuple[Running, ...]
    extra_tap: TapCost | None
    remarks: tuple[str, ...]


def money(system: System, book: PriceBook) -> MoneyAnswer:
    """Answer for what the system still lacks, by the household's own price book."""
    listed = parts_list(system)
    ways = tuple(way_cost(listed, book, way) for way in WAYS)
    running = _running(system, book, ways[1])
    return MoneyAnswer(
        system=system.name,
        currency=book.currency,
        ways=ways,
        years=None if book.brewing is None else book.brewing.years,
        batches_a_year=None if book.brewing is None else batches_a_year(book.brewing),
        running=running,
        extra_tap=_extra_tap(system, book, listed),
        remarks=_remarks(book, ways),
    )


def way_cost(listed: PartsList, book: PriceBook, way: Way) -> WayCost:
    """What is missing, bought one way: the least, the sensible or the comfortable one.

    Least: used where a used price is given. Sensible: used too, but new for seals, lines and
    whatever holds the cylinder's pressure back. Comfortable: all new, and one spare of each seal.
    """
    total, used, spares, unpriced = NOTHING, list[str](), list[str](), list[str]()
    for one in listed.parts:
        spare = 1 if way == "comfortable" and one.kind == "seal" and one.needed > 0 else 0
        price, count = book.price(one.part), one.to_buy + spare
        count -= min(0 if price is None else price.on_hand, count)
        if count <= 0:
            continue
        each, is_used = _price(price, one, way)
        if each is None:
            unpriced.append(one.title)
            continue
        total += each.times(count)
        used += [one.title] if is_used else []
        spares += [one.title] if spare else []
    for tube in listed.tubing_to_buy:
        cost = _tubing(book.price(tube.part), tube)
        total += cost or NOTHING
        unpriced += [tube.title] if cost is None else []
    return WayCost(way, total.low, total.high, tuple(used), tuple(spares), tuple(unpriced))


def batches_a_year(brewing: Brewing) -> float:
    """Batches that must be brewed for what is drunk."""
    return brewing.drunk * YEAR_S / brewing.batch


def _price(price: Price | None, one: PartLine, way: Way) -> tuple[Amount | None, bool]:
    """What one of them costs this way, and whether it is a used one."""
    if price is None:
        return None, False
    new_only = one.kind == "seal" or way == "comfortable"
    new_only |= way == "sensible" and one.part.startswith(SAFER_NEW)
    if price.used is not None and not new_only and (price.new is None or _cheaper(price)):
        return price.used, True
    return price.new, False


def _cheaper(price: Price) -> bool:
    assert price.used is not None
    assert price.new is not None
    return price.used.middle < price.new.middle


def _tubing(price: Price | None, tube: TubingLine) -> Amount | None:
    """Line is priced by length, `per` so much of it; without `per`, by the metre."""
    if price is None or price.new is None:
        return None
    return price.new.times(tube.to_buy_m / (price.per or 1.0))


def _running(system: System, book: PriceBook, sensible: WayCost) -> tuple[Running, ...]:
    if book.brewing is None:
        return ()
    found = [_kegs(system, book, book.brewing, Amount(sensible.low, sensible.high))]
    if book.bottles is not None:
        found.append(_bottles(book.bottles, book.brewing))
    return tuple(found)


def _kegs(system: System, book: PriceBook, brewing: Brewing, setup: Amount) -> Running:
    batches = batches_a_year(brewing)
    each = [kegs_a_filling(system, one) for one in system.cylinders]
    fillings = [kegs for kegs in each if kegs is not None]
    refills = batches * _kegs_a_batch(system, brewing) / fillings[0] if fillings else 0.0
    yearly = (
        book.kegs.refill.times(refills)
        + book.kegs.kwh.times(book.kegs.power / 1e3 * HOURS_A_YEAR)
        + book.kegs.upkeep
        + brewing.batch_cost.times(batches)
    )
    return _over_years("kegs", setup, yearly, book.kegs.hours * batches, brewing)


def _kegs_a_batch(system: System, brewing: Brewing) -> float:
    """How many of the system's kegs one batch fills."""
    volumes = [keg_kind(keg.kind).usual_fill_m3 for keg in system.kegs]
    return brewing.batch / (sum(volumes) / len(volumes)) if volumes else 1.0


def _bottles(bottles: Bottling, brewing: Brewing) -> Running:
    batches, full = batches_a_year(brewing), math.ceil(brewing.batch / bottles.bottle - 1e-9)
    wanted = max(full * bottles.batches_stored - bottles.on_hand, 0)
    setup = bottles.bottle_cost.times(wanted) + bottles.tools
    a_batch = (
        bottles.cap.times(full) + bottles.sugar + bottles.bottle_cost.times(bottles.loss * full)
    )
    yearly = (a_batch + brewing.batch_cost).times(batches)
    return _over_years("bottles", setup, yearly, bottles.hours * batches, brewing)


def _over_years(
    what: Literal["kegs", "bottles"],
    setup: Amount,
    yearly: Amount,
    seconds_a_year: float,
    brewing: Brewing,
) -> Running:
    total = setup + yearly.times(brewing.years)
    pints = brewing.drunk * YEAR_S * brewing.years / US_PINT_M3
    return Running(
        what=what,
        setup_low=setup.low,
        setup_high=setup.high,
        yearly_low=yearly.low,
        yearly_high=yearly.high,
        total_low=total.low,
        total_high=total.high,
        hours=seconds_a_year * brewing.years / 3600.0,
        pint_low=total.low / pints,
        pint_high=total.high / pints,
    )


def _extra_tap(system: System, book: PriceBook, listed: PartsList) -> TapCost | None:
    """One tap more, the sensible way; nothing where there is no tap to grow from."""
    taps = len(system.taps) + 1
    if not system.kegs or not system.regulators or taps > MOST_TAPS:
        return None
    before = way_cost(listed, book, "sensible")
    after = way_cost(parts_list(grown(system, taps)), book, "sensible")
    unpriced = tuple(one for one in after.unpriced if one not in before.unpriced)
    return TapCost(
        taps, max(after.low - before.low, 0.0), max(after.high - before.high, 0.0), unpriced
    )


def _remarks(book: PriceBook, ways: Sequence[WayCost]) -> tuple[str, ...]:
    found = []
    if missing := _count(ways[1].unpriced):
        found.append(
            f"{missing} of what is to be bought has no price in the book and is not counted: the "
            "true sum is higher."
        )
    if book.brewing is None:
        found.append("For the cost of a pint and kegs against bottles, give [brewing].")
    elif book.bottles is None:
        found.append("To set bottles against kegs, give [bottles].")
    return tuple(found)


def _count(titles: Iterable[str]) -> int:
    return len(set(titles))
