"""Prices of parts as one types them, for what one regulator more costs: `regulator=45`."""

from __future__ import annotations

from collections.abc import Mapping

from ullage.errors import UnitError
from ullage.plan.gas_ahead_prices import amount_of
from ullage.plan.share_answer import ShareAnswer
from ullage.system import parts, ports
from ullage.system.price_book import Amount, Price, PriceBook
from ullage.units import shown

REGULATOR = "regulator"


def priced_parts() -> Mapping[str, str]:
    """The parts that a sharing may take more of, as the price book names them, with their titles.

    >>> priced_parts()["regulator"]
    'A CO2 regulator'
    """
    found = {REGULATOR: "A CO2 regulator"}
    for group in (ports.manifolds(), ports.tees(), ports.adapters(), ports.seals()):
        found |= {name: one.title for name, one in group.items()}
    return found | {name: one.title for name, one in parts.disconnects().items()}


def unpriced_parts(answer: ShareAnswer) -> tuple[str, ...]:
    """The parts that are bought for any number of regulators, and have no price yet."""
    named = {title: part for part, title in priced_parts().items()}
    titles = [title for one in answer.trade_offs for title in one.unpriced]
    return tuple(named[title] for title in dict.fromkeys(titles) if title in named)


def typed_book(prices: Mapping[str, Amount]) -> PriceBook | None:
    """A price book of what parts cost new, in a currency that is not told; `None` without any."""
    if not prices:
        return None
    lines = tuple(Price(part=part, new=amount) for part, amount in prices.items())
    return PriceBook.model_construct(currency="", prices=lines)


def part_price(text: str) -> tuple[str, Amount]:
    """A part and what one costs: `regulator=45-60`. Raises `UnitError`, `UnknownName`.

    >>> part_price("regulator = 45")
    ('regulator', Amount(low=45.0, high=45.0))
    """
    part, equals, price = text.partition("=")
    if not equals:
        raise UnitError(f'{shown(text)} is no part with its price; write it such as "regulator=45"')
    name = part.strip()
    if name not in priced_parts():
        raise parts.unknown("part", name, priced_parts())
    return name, amount_of(price)
