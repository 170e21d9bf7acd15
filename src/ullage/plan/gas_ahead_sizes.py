"""Which size of cylinder is cheapest for what a household takes, by its own prices.

A year costs its fillings and a fifth of a requalification (every five years). No price is built in:
what is not told is named, and a size with a price missing is not compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from ullage.plan.fit_answer import FitQuestion, Wanted
from ullage.plan.fit_case import Case
from ullage.plan.gas_ahead_answer import Carry, SizeCost, Sizes, Stands
from ullage.system.cylinder import full_kg
from ullage.system.model import Place, System
from ullage.system.parts import CylinderSize, cylinder_sizes
from ullage.system.price_book import Amount, PriceBook
from ullage.system.upkeep_rules import rules

YEAR_S: Final = 365.25 * 86_400.0
ONE_HAND_KG: Final = 12.0
TWO_HANDS_KG: Final = 25.0
"""What one hand, and both, carry over a short way; common practice, no source."""
LONGEST_ROOM_M: Final = 0.9
"""Taller cylinders than this are no home's; our choice."""


@dataclass(frozen=True, slots=True)
class GasPrices:
    """What gas costs here: a refill (or an exchange) by size, a requalification, a new cylinder.

    `own_refill`: of the size that is in use, where `refill` has none for it.
    """

    currency: str = ""
    refill: Mapping[str, Amount] = field(default_factory=dict)
    requalification: Amount | None = None
    cylinder: Mapping[str, Amount] = field(default_factory=dict)
    own_refill: Amount | None = None


NO_PRICES: Final = GasPrices()


def prices_of(book: PriceBook) -> GasPrices:
    """The prices of gas in a price book: parts `refill 5 lb`, `requalification`, `cylinder 5 lb`.

    `refill` of [kegs] is that of the size that is in use.
    """
    refill, cylinder = {}, {}
    for size in cylinder_sizes():
        told, part = book.price(f"refill {size}"), book.price(f"cylinder {size}")
        if told is not None and told.new is not None:
            refill[size] = told.new
        if part is not None and part.new is not None:
            cylinder[size] = part.new
    tested, own = book.price("requalification"), book.kegs.refill
    return GasPrices(
        currency=book.currency,
        refill=refill,
        requalification=None if tested is None else tested.new,
        cylinder=cylinder,
        own_refill=own if own.high > 0.0 else None,
    )


def common_sizes(present: CylinderSize) -> tuple[CylinderSize, ...]:
    """The sizes with the same valve that a home has room for, and the present one, in order."""
    same = (one for one in cylinder_sizes().values() if one.valve == present.valve)
    fine = (one for one in same if one.height_m <= LONGEST_ROOM_M or one is present)
    return tuple(sorted(fine, key=lambda one: one.rated_kg))


@dataclass(frozen=True, slots=True)
class SizesAsked:
    """The cylinder that is there, of what size, what a year takes of its gas (kg), if known."""

    name: str
    present: CylinderSize
    year_kg: float | None
    prices: GasPrices
    system: System | None
    co2_share: float = 1.0


def sizes_of(asked: SizesAsked) -> Sizes:
    """The common sizes with the same valve side by side."""
    rows = tuple(_row(one, asked) for one in common_sizes(asked.present))
    priced = [row for row in rows if row.cost_low is not None]
    cheapest = min(priced, key=_middle).size if len(priced) > 1 else None
    return Sizes(asked.prices.currency, cheapest, _words(asked.year_kg, rows, cheapest), rows)


def _row(one: CylinderSize, asked: SizesAsked) -> SizeCost:
    present, prices = asked.present, asked.prices
    stands = _stands(one, asked.system, asked.name)
    holds = full_kg(one.name, asked.co2_share)
    own = prices.own_refill if one is present else None
    refill, tested = prices.refill.get(one.name, own), prices.requalification
    missing = [] if refill is not None else [f"refill {one.name}"]
    missing += [] if tested is not None else ["requalification"]
    fillings = None if asked.year_kg is None else asked.year_kg / holds
    cost = None
    if refill is not None and tested is not None and fillings is not None:
        cost = refill.times(fillings) + tested.times(1.0 / _years())
    price = prices.cylinder.get(one.name)
    return SizeCost(
        size=one.name,
        is_present=one.name == present.name,
        rated_kg=holds,
        lasts_s=None if not fillings else YEAR_S / fillings,
        fillings_a_year=fillings,
        cost_low=None if cost is None else cost.low,
        cost_high=None if cost is None else cost.high,
        price_low=None if price is None else price.low,
        price_high=None if price is None else price.high,
        missing=tuple(missing),
        full_kg=one.tare_kg + holds,
        carry=_carry(one.tare_kg + holds),
        stands=stands[0],
        stands_why=stands[1],
    )


def _years() -> int:
    """How often a cylinder is tested, by the catalogue's own rule."""
    found = next(one for one in rules() if one.name == "requalify")
    return found.years or 5


def _middle(row: SizeCost) -> float:
    return 0.5 * ((row.cost_low or 0.0) + (row.cost_high or 0.0))


def _carry(full_kg: float) -> Carry:
    if full_kg <= ONE_HAND_KG:
        return "one hand"
    return "two hands" if full_kg <= TWO_HANDS_KG else "a cart"


def _stands(one: CylinderSize, system: System | None, name: str) -> tuple[Stands, str]:
    """Whether it can stand where the cylinder stands now, as far as heights and floor prove."""
    place = None if system is None else _place(system, name)
    if place is None or system is None:
        return "not known", "where it stands is not described"
    if place.inside is None:
        return "not known", f"{place.name} is not measured"
    kegs = tuple(Wanted(keg.name, keg.kind) for keg in system.kegs if keg.place == place.name)
    asked = FitQuestion(place.name, place.inside, kegs, (Wanted(name, one.name),), outside=False)
    case = Case.of(asked)
    refused = case.refused()
    if refused is None:
        return "may fit", f"in {place.name}, beside {len(kegs)} kegs; ullage fit draws it"
    proof = case.proof(refused)
    why = "too tall" if proof.rule == "height" else f"no room beside {len(kegs)} kegs"
    return "does not fit", f"{why} in {place.name}"


def _place(system: System, name: str) -> Place | None:
    cylinder = next((one for one in system.cylinders if one.name == name), None)
    return None if cylinder is None else system.place(cylinder.place)


def _words(year_kg: float | None, rows: tuple[SizeCost, ...], cheapest: str | None) -> str:
    if year_kg is None:
        return "How much a year takes is not known yet, so sizes cannot be compared."
    if cheapest is None:
        return "Give the prices of at least two sizes, and of the test, to compare them."
    now = next((row for row in rows if row.is_present), None)
    if now is not None and now.size == cheapest:
        return f"The {cheapest} that you have is the cheapest of those with a price."
    return f"A {cheapest} would be the cheapest by the year, of those with a price."
