"""What is told of each cylinder's gas: now, ahead, when to refill, what it takes, what it costs.

Masses in kg, times with their offset, spans in s, shares of 1, money in the price book's currency.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ullage.plan.answers import Band, Caution
from ullage.plan.forecast import Forecast

Carry = Literal["one hand", "two hands", "a cart"]
Stands = Literal["may fit", "does not fit", "not known"]
Found = Literal["weighed", "read", "connected", "swapped"]


@dataclass(frozen=True, slots=True)
class GasThen:
    """What a cylinder holds at a moment ahead."""

    at: datetime
    contents_kg: Band


@dataclass(frozen=True, slots=True)
class GasBefore:
    """What a cylinder held at a moment, by the log and what usually goes besides."""

    at: datetime
    contents_kg: float


@dataclass(frozen=True, slots=True)
class GasKnown:
    """What a cylinder held when it was weighed, read, put on or swapped."""

    at: datetime
    what: Found
    contents_kg: float


@dataclass(frozen=True, slots=True)
class Refill:
    """The day to have it refilled or swapped by; `None` where it cannot be told.

    `late`: that day lies behind, so it is now. `plan_of` is the keg whose carbonation is planned
    across it, `plan_ends` when that plan ends; `words` say what follows from it.
    """

    by: datetime | None
    late: bool
    plan_of: str | None
    plan_ends: datetime | None
    words: str


@dataclass(frozen=True, slots=True)
class KegRunsDry:
    """What becomes of a keg if its gas ran out now and it is drunk from as before.

    `pours_m3`: beer that comes yet, over `lasts_s`, until the head is down to `ends_gauge_pa` (or
    the keg is kicked, `is_kicked`); its level then is `level_vol`, of `from_vol` now.
    """

    keg: str
    pours_m3: float
    lasts_s: float
    is_kicked: bool
    ends_gauge_pa: float
    from_vol: float
    level_vol: float
    below_tolerance: bool


@dataclass(frozen=True, slots=True)
class Spare:
    """Whether a spare cylinder is worth having: the chance that it runs dry before it is back."""

    worth: bool
    chance: float
    by: datetime | None
    words: str
    kegs: tuple[KegRunsDry, ...]


@dataclass(frozen=True, slots=True)
class SizeCost:
    """One size for this household: how long a filling lasts, what it costs a year, can it be held.

    `cost_low` to `cost_high` a year, `None` where `missing` prices are not known. `price_low`: to
    buy one, likewise.
    """

    size: str
    is_present: bool
    rated_kg: float
    lasts_s: float | None
    fillings_a_year: float | None
    cost_low: float | None
    cost_high: float | None
    price_low: float | None
    price_high: float | None
    missing: tuple[str, ...]
    full_kg: float
    carry: Carry
    stands: Stands
    stands_why: str


@dataclass(frozen=True, slots=True)
class Sizes:
    """The common sizes side by side; `cheapest` is `None` unless two or more can be compared."""

    currency: str
    cheapest: str | None
    words: str
    rows: tuple[SizeCost, ...]


@dataclass(frozen=True, slots=True)
class GasMonth:
    """What went in one month (the first and the last may be part of one): by what it did.

    `lost_kg`: what weighings did not find; where `is_weighed` is false, what usually goes besides.
    """

    begin: datetime
    end: datetime
    push_kg: float
    carbonation_kg: float
    purging_kg: float
    lost_kg: float
    is_weighed: bool


@dataclass(frozen=True, slots=True)
class Leak:
    """How likely it is that gas goes where no beer takes it, and what to do next."""

    probability: float
    likely: bool
    words: str
    next: str


@dataclass(frozen=True, slots=True)
class CylinderGas:
    """All that is told of one cylinder.

    `logged_kg`: by the log alone; `contents_kg` counts what usually goes besides and the scale.
    `days_left_s` is the time until it is empty. `lost_share`: of what the kegs take, lost besides.
    `year_kg`: what a year takes at this rate; `None` where the rate is not known.
    """

    cylinder: str
    size: str
    rated_kg: float
    logged_kg: float
    contents_kg: Band
    empty: Forecast
    days_left_s: Band | None
    refill: Refill
    spare: Spare
    year_kg: Band | None
    lost_share: Band
    ahead: tuple[GasThen, ...]
    before: tuple[GasBefore, ...]
    known: tuple[GasKnown, ...]
    months: tuple[GasMonth, ...]
    sizes: Sizes
    leak: Leak | None


@dataclass(frozen=True, slots=True)
class GasAhead:
    """The gas ahead of every cylinder, from `at` on; `lead_s` before it may be empty is the day."""

    at: datetime
    units: str
    lead_s: float
    cylinders: tuple[CylinderGas, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
