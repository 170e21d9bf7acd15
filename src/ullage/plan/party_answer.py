"""What is asked of a party, and what is answered. SI, as the fields' names say."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from ullage.plan.answers import Band, Caution
from ullage.units import UnitSystem

DRINK_M3: Final = 355e-6
"""A drink of 12 US fl oz. Common practice, no source."""
FIRST_HOUR: Final = 2.0
PER_HOUR: Final = 1.0
"""Drinks of a guest who drinks beer: two in the first hour, one in each after it. Common practice,
no source; give your own where you know your guests."""
HOUR_S: Final = 3_600.0

KegStanding = Literal["ready", "in time", "late", "unknown"]


@dataclass(frozen=True, slots=True)
class PartyQuestion:
    """A party: when, how long (s), how many drink beer, and how much.

    `first_hour`, `per_hour`: drinks of a guest in the first hour and in each after it, of
    `drink_m3` each. `beers`: what is to be poured, in equal parts; none: what the taps pour, and
    with `untapped`, where there is a tap, what stands in kegs that none pours yet besides.
    """

    starts: datetime
    lasts_s: float
    guests: int
    first_hour: float = FIRST_HOUR
    per_hour: float = PER_HOUR
    drink_m3: float = DRINK_M3
    beers: tuple[str, ...] = ()
    name: str = "Party"
    untapped: bool = True


@dataclass(frozen=True, slots=True)
class PartyKeg:
    """A keg for the party: what it will hold then, and whether its beer is ready by then.

    `way` and `do`: the way to carbonate it that makes the date, and its first step; `ready_at`:
    when it is ready at the latest likely. `tap`: the one it is to go on, where it is on none
    ("": it is on one, or there is none), once keg `after` is empty ("": the tap is free);
    `disconnect`: what fits it, where that tap's line has another.
    """

    keg: str
    beer: str
    beer_m3: float
    standing: KegStanding
    ready_at: datetime | None
    way: str
    do: str
    tap: str = ""
    after: str = ""
    disconnect: str = ""


@dataclass(frozen=True, slots=True)
class PartyBeer:
    """One beer: how much of it is wanted, the kegs that hold it, what is missing.

    `kegs_needed`: full ones of the usual kind. `brew_by`: the last morning on which a batch can
    be brewed to fill the gap; `None`: none is missing, or it is too late to brew.
    """

    beer: str
    wanted_m3: float
    there_m3: float
    short_m3: float
    kegs_needed: int
    kegs: tuple[PartyKeg, ...]
    brew_by: datetime | None


@dataclass(frozen=True, slots=True)
class Chill:
    """Kegs that stand warm, and how long the fridge takes for them together.

    `into_fridge_by`: put them in no later than this. `in_time`: whether that is still ahead.
    `to_move`: those that do not stand in the cold yet.
    """

    kegs: tuple[str, ...]
    from_k: float
    to_k: float
    takes_s: Band
    limited_by: str
    into_fridge_by: datetime
    in_time: bool
    to_move: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Queue:
    """The taps at the peak, the first hour: drinks asked for and drawn in a second, and the wait.

    `busy`: the share of the time that the taps pour; from 1 on the queue grows by `grows` guests
    in the hour. `wait_s`: the mean wait where it does not.
    """

    taps: int
    glass_s: float
    asked_per_s: float
    drawn_per_s: float
    busy: float
    wait_s: float | None
    grows: float


@dataclass(frozen=True, slots=True)
class PartyGas:
    """A cylinder: what the party takes, with the kegs made ready for it, those to be brewed for it
    too; and what is in it when the party begins.

    `enough`: even at the low end of what it may hold then. `likely`: at the best guess.
    `co2_share`: CO2 in its gas; of a blend only what pushes beer out is counted.
    """

    cylinder: str
    takes_kg: float
    holds_kg: Band
    enough: bool
    likely: bool
    co2_share: float = 1.0


@dataclass(frozen=True, slots=True)
class PartyAnswer:
    """Everything for one party. `drinks` of one guest; `beer_m3` in all.

    `more`: kegs of other beers that no tap pours yet; `short_m3` is what they leave missing, too.
    """

    at: datetime
    starts: datetime
    ends: datetime
    name: str
    guests: int
    units: UnitSystem
    drinks: float
    drink_m3: float
    beer_m3: float
    short_m3: float
    beers: tuple[PartyBeer, ...]
    chill: Chill | None
    queue: Queue | None
    gas: tuple[PartyGas, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
    more: tuple[PartyKeg, ...] = ()

    @property
    def enough(self) -> bool:
        """Whether there is beer for it, ready in time."""
        return self.short_m3 <= 0.0
