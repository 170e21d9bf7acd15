"""Prices of gas as one types them: a plain number, a range, and a size with its refill."""

from __future__ import annotations

import re
from typing import Final

from ullage.errors import UnitError
from ullage.system.parts import cylinder_size
from ullage.system.price_book import MOST, Amount
from ullage.units import shown

_AMOUNT: Final = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?))?")


def amount_of(text: str) -> Amount:
    """A price, or one from low to high, in the household's own currency. Raises `UnitError`.

    >>> amount_of("22.5"), amount_of("18 to 25").high
    (Amount(low=22.5, high=22.5), 25.0)
    """
    found = _AMOUNT.fullmatch(text.strip())
    if found is None:
        raise UnitError(f'{shown(text)} is no price; write a plain number such as "22" or "18-25"')
    low = float(found[1].replace(",", "."))
    high = low if found[2] is None else float(found[2].replace(",", "."))
    if not low <= high <= MOST:
        raise UnitError(
            f"{shown(text)} is no price: give the lower one first, and below {MOST:,.0f}"
        )
    return Amount(low, high)


def refill_price(text: str) -> tuple[str, Amount]:
    """A size and what its refill costs: `5 lb=22`. Raises `UnitError`, `UnknownName`.

    >>> refill_price("5 lb = 22")
    ('5 lb', Amount(low=22.0, high=22.0))
    """
    size, equals, price = text.partition("=")
    if not equals:
        raise UnitError(f'{shown(text)} is no size with its price; write it such as "5 lb=22"')
    return cylinder_size(size.strip()).name, amount_of(price)
