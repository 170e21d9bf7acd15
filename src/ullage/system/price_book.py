"""The price book that a household fills in: TOML in, typed prices out, one line on a mistake.

No price is built in. Amounts are plain numbers in the book's own currency, one or [low, high].
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from os import PathLike
from pathlib import Path as FilePath
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from ullage.errors import PriceBookError
from ullage.system.complaints import place_of
from ullage.system.quantities import FROM_FILE, Count, Name, Quantity, refuse
from ullage.units import Kind

LARGEST_FILE: Final = 200_000
MOST: Final = 1e7
"""No price of a home's parts is higher in any currency; more is a slip of the hand."""


@dataclass(frozen=True, slots=True)
class Amount:
    """Money from `low` to `high`, in the book's currency; both the same where it is known."""

    low: float
    high: float

    def __add__(self, other: Amount) -> Amount:
        """Both together."""
        return Amount(self.low + other.low, self.high + other.high)

    def times(self, count: float) -> Amount:
        """So many times as much."""
        return Amount(self.low * count, self.high * count)

    @property
    def middle(self) -> float:
        """Half way between its ends."""
        return 0.5 * (self.low + self.high)


NOTHING: Final = Amount(0.0, 0.0)


def _amount(value: Any) -> Amount:
    if isinstance(value, Amount):
        return value
    ends = value if isinstance(value, list) else [value, value]
    fine = len(ends) == 2 and all(
        isinstance(end, int | float) and not isinstance(end, bool) and math.isfinite(end)
        for end in ends
    )
    if not fine or not 0 <= ends[0] <= ends[1] <= MOST:
        raise refuse("write a plain number such as 12.5, or a range such as [10, 15], low first")
    return Amount(float(ends[0]), float(ends[1]))


Money = Annotated[Amount, BeforeValidator(_amount)]
Hours = Annotated[float, Quantity(Kind.DURATION, "0 s", "48 h", "the work on one batch")]
Batch = Annotated[float, Quantity(Kind.VOLUME, "0.5 L", "1000 L", "one batch of beer")]
Bottle = Annotated[float, Quantity(Kind.VOLUME, "0.1 L", "5 L", "one bottle")]
Drunk = Annotated[float, Quantity(Kind.FLOW, "0.01 L/week", "1000 L/week", "what is drunk at home")]
Share = Annotated[float, Quantity(Kind.FRACTION, "0 %", "100 %", "of all bottles, at each filling")]
Power = Annotated[float, Quantity(Kind.POWER, "0 W", "5 kW", "a fridge’s mean over a day")]
Piece = Annotated[float, Quantity(Kind.LENGTH, "1 cm", "1 km", "how much line the price is for")]
Years = Annotated[float, Field(strict=True, ge=0.5, le=50.0, allow_inf_nan=False)]


class _Page(BaseModel):
    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_by_name=True, validate_by_alias=True,
        arbitrary_types_allowed=True,
    )  # fmt: skip


class Price(_Page):
    """What one part costs `new` and `used`, and how many are `on_hand`. `per`: m of line.

    Left out, a price is not known.
    """

    part: Name
    new: Money | None = None
    used: Money | None = None
    on_hand: Annotated[int, Field(strict=True, ge=0, le=500)] = 0
    per: Piece | None = None


class Brewing(_Page):
    """How much is brewed and drunk. `batch` in m³, `drunk` in m³/s; `batch_cost`: ingredients."""

    batch: Batch
    drunk: Drunk
    batch_cost: Money = NOTHING
    years: Years = 5.0


class Kegging(_Page):
    """Kegs' running cost: gas a refill, `power` (W) at a price a kWh, upkeep a year, s a batch."""

    refill: Money = NOTHING
    power: Power = 0.0
    kwh: Money = NOTHING
    upkeep: Money = NOTHING
    hours: Hours = 3600.0


class Bottling(_Page):
    """Bottles' cost: each bottle of `bottle` m³, a cap or cork, sugar a batch, s a batch.

    `loss`: bottles broken or given away at each filling. `on_hand`: bottles that are there.
    `tools`: capper, wand and what else is bought once.
    """

    bottle: Bottle
    bottle_cost: Money = NOTHING
    cap: Money = NOTHING
    sugar: Money = NOTHING
    tools: Money = NOTHING
    loss: Share = 0.0
    on_hand: Annotated[int, Field(strict=True, ge=0, le=10_000)] = 0
    batches_stored: Count = 2
    hours: Hours = 4 * 3600.0


class PriceBook(_Page):
    """All that a household knows of prices and of its own brewing."""

    currency: Name
    prices: tuple[Price, ...] = Field(default=(), alias="price", max_length=500)
    brewing: Brewing | None = None
    kegs: Kegging = Kegging()
    bottles: Bottling | None = None

    @model_validator(mode="after")
    def _each_once(self) -> PriceBook:
        names = [one.part for one in self.prices]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise refuse(f'"{twice}" has two prices: give one, as a range if need be')
        return self

    def price(self, part: str) -> Price | None:
        """What the book says of a part; `None` where it says nothing."""
        return next((one for one in self.prices if one.part == part), None)


def load_price_book(path: str | PathLike[str]) -> PriceBook:
    """Read the price book at `path`. Raises `PriceBookError`: one line, whatever is wrong."""
    try:
        content = FilePath(path).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PriceBookError(f"{path}: the price book cannot be read ({reason})") from None
    if len(content) > LARGEST_FILE:
        raise PriceBookError(f"{path}: too large for a price book")
    try:
        return parse_price_book(content.decode("utf-8-sig"), str(path))
    except UnicodeDecodeError:
        raise PriceBookError(f"{path}: not a text in UTF-8, so no price book") from None


def parse_price_book(text: str, source: str = "price book") -> PriceBook:
    """Make a price book of its text. Raises `PriceBookError` with the key and what is expected."""
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise PriceBookError(f"{source}: not valid TOML: {error}") from None
    try:
        return PriceBook.model_validate(
            data, context={FROM_FILE: True}, by_alias=True, by_name=False
        )
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = place_of(first["loc"], data)
        what = f"{where}: {_said(first)}" if where else _said(first)
        raise PriceBookError(f"{source}: {what}") from None


def _said(details: Any) -> str:
    if details["type"] == "ullage":
        return str(details["ctx"]["message"])
    known = {
        "extra_forbidden": "there is no such key in a price book",
        "missing": "this key is missing",
    }
    return known.get(details["type"], str(details["msg"]))
