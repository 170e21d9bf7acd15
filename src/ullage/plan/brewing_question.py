"""What is asked when brewing ahead, and how long a beer takes until it can be poured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

WEEK_S: Final = 7 * 86_400.0
SATURDAY, SUNDAY = 5, 6
LONGEST_WEEKS: Final = 60
MOST_BREWS_A_DAY: Final = 4
LEAST_SURE, MOST_SURE = 0.5, 0.99


@dataclass(frozen=True, slots=True)
class BrewingQuestion:
    """How far ahead to plan (s), and when one may brew.

    `weekdays`: 0 is Monday. `sureness`: how likely the beer must last as long as is counted on:
    0.5 counts the usual drinking, 0.9 that of the quickest week in ten. `beers`: what a tap is to
    pour from now on, where it is not the same again (tap, beer). `quick`: carbonate the quickest
    way there is, not the advised one. `drunk`: how quickly a tap is drunk (tap, m³/s), counted
    instead of what is known of it.
    """

    horizon_s: float = 12 * WEEK_S
    weekdays: tuple[int, ...] = (SATURDAY, SUNDAY)
    most_a_day: int = 1
    sureness: float = 0.9
    beers: tuple[tuple[str, str], ...] = ()
    quick: bool = False
    drunk: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class LeadTime:
    """How long a beer takes from its brew day: s in the fermenter, then s on gas by a way.

    `quick_s` and `quick_way`: by the quickest way that needs nothing that is not there.
    `ferments_told`: whether its time in the fermenter was told; else it is what is usual.
    """

    beer: str
    ferments_s: float
    conditions_s: float
    carbonates_s: float
    way: str
    quick_s: float
    quick_way: str
    ferments_told: bool = True

    @property
    def whole_s(self) -> float:
        """From its brew day to the glass."""
        return self.ferments_s + self.conditions_s + self.carbonates_s
