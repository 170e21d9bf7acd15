"""What is typed of a party: how long, how much, how large a drink. Each raises `UnitError`."""

from __future__ import annotations

from typing import Final

from ullage.errors import UnitError
from ullage.units import Kind, parse, shown

MOST_PARTY_M3: Final = 5.0
MOST_FACTOR: Final = 20.0
SHORTEST_PARTY_S, LONGEST_PARTY_S = 900.0, 3 * 86_400.0
LEAST_DRINK_M3, MOST_DRINK_M3 = 50e-6, 2e-3


def party_factor(text: str) -> float:
    """How many times the usual is drunk, a plain number from 0 to 20."""
    try:
        factor = float(text.replace(",", "."))
    except ValueError:
        factor = -1.0
    if not 0.0 <= factor <= MOST_FACTOR:
        raise UnitError(f"{shown(text)} is no factor; write a number from 0 to 20, as 1.5")
    return factor


def party_length(text: str) -> float:
    """How long a party lasts in s, from a quarter of an hour to 3 days."""
    seconds = parse(text, Kind.DURATION)
    if not SHORTEST_PARTY_S <= seconds <= LONGEST_PARTY_S:
        raise UnitError(f"{shown(text)} is no length of a party; give 15 min to 3 days")
    return seconds


def drink(text: str) -> float:
    """A drink in m³, from 50 mL to 2 L."""
    volume = parse(text, Kind.VOLUME)
    if not LEAST_DRINK_M3 <= volume <= MOST_DRINK_M3:
        raise UnitError(f"{shown(text)} is no drink; give 50 mL to 2 L (2 to 64 fl oz)")
    return volume


def party_beer(text: str) -> float:
    """The beer of a party or a season in m³, from none to 5,000 L."""
    volume = parse(text, Kind.VOLUME)
    if not 0.0 <= volume <= MOST_PARTY_M3:
        raise UnitError(f"{shown(text)} is no amount for a party; give 0 to 5000 L")
    return volume
