"""A difference of temperatures and a price of energy, as one types them."""

from __future__ import annotations

import re
from typing import Final

from ullage.errors import UnitError
from ullage.units import Kind, parse, shown

MOST_K: Final = 15.0
JOULES_IN_KWH: Final = 3.6e6
_PRICE: Final = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*([^\W\d_]{0,3}|[$€£])(?:\s*/\s*kwh)?", re.IGNORECASE
)
_NUMBER: Final = re.compile(r"-?\d+(?:[.,]\d+)?")


def difference(text: str) -> float:
    """A difference of temperatures in K, above 0 and up to 15: `2 degF`, `1 K`.

    >>> round(difference("1.8 degF"), 6), difference("1 K")
    (1.0, 1.0)
    """
    found = parse(text, Kind.TEMPERATURE) - parse(_NUMBER.sub("0", text, count=1), Kind.TEMPERATURE)
    if not 0.0 < found <= MOST_K:
        raise UnitError(f"{shown(text)} is no differential; give more than 0, up to 27 degF (15 K)")
    return found


def price_of(text: str) -> tuple[float, str]:
    """A price of a kWh, per joule, and its currency as written.

    >>> price_of("0.36 EUR")
    (1e-07, 'EUR')
    """
    found = _PRICE.fullmatch(text.strip())
    if found is None:
        raise UnitError(f'{shown(text)} is no price of a kWh; write it such as "0.18 USD"')
    return float(found[1].replace(",", ".")) / JOULES_IN_KWH, found[2]
