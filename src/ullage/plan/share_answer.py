"""The question of several beers on few regulators, and the shape of its answer: SI, gauge Pa."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from ullage.plan.answers import Band, Caution, Step
from ullage.units import UnitSystem

STEP_PA: Final[dict[UnitSystem, float]] = {"us": 689.4757293168361, "metric": 1000.0}
"""A tenth of a psi, a hundredth of a bar: no gauge is read more finely, and no answer printed."""
MOST_REGULATORS: Final = 12
Way = Literal["second regulator", "alone"]
LineWay = Literal["as it is", "faucet", "length", "bore", "none"]


@dataclass(frozen=True, slots=True)
class Wish:
    """A keg that is to stay on a regulator."""

    keg: str
    regulator: str


@dataclass(frozen=True, slots=True)
class ShareQuestion:
    """How many regulators, or legs with a pressure of their own; `None`: as many as there are.

    `keep`: kegs that stay where they are told to. `temperature_k`: what if every place with beer
    were as warm; `None`: as they are. `carbonate`: the keg that is to be carbonated while the
    others serve; `None`: those that are flat.
    """

    regulators: int | None = None
    keep: tuple[Wish, ...] = ()
    temperature_k: float | None = None
    carbonate: str | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """What to set one regulator to, and its kegs.

    `gauge_pressure_pa` `None`: it is not needed. Between `low_…` and `high_…` the same beers stay
    within their tolerance; `highest_…` is the lowest rating of all that sees the pressure. All are
    as the gauge shows them, which gives `gauge_offset_pa` more, where that was kept of it.
    """

    regulator: str
    to_buy: bool
    kegs: tuple[str, ...]
    gauge_pressure_pa: float | None
    low_gauge_pressure_pa: float | None
    high_gauge_pressure_pa: float | None
    present_gauge_pressure_pa: float | None
    highest_gauge_pressure_pa: float
    gauge_offset_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class BeerShare:
    """One keg's beer: what pressures keep it, which it gets, and what it comes to.

    `wanted_…`, `low_…` and `high_…`: the gauge pressures that keep its target and the ends of its
    tolerance, 0 where no pressure is needed. `off_vol`: how far above its target it comes to lie.
    `limited`: a rating forbids the pressure that it wants.
    """

    keg: str
    beer: str
    place: str
    temperature_k: float
    target_vol: float
    tolerance_vol: float
    wanted_gauge_pressure_pa: float
    low_gauge_pressure_pa: float
    high_gauge_pressure_pa: float
    regulator: str
    present_regulator: str | None
    gauge_pressure_pa: float
    comes_to_vol: Band
    off_vol: float
    within: bool
    limited: bool


@dataclass(frozen=True, slots=True)
class TapLine:
    """What to do to the line of one tap for its wanted pour at the pressure its keg gets.

    `way`: leave it, turn a flow-control faucet, cut another length, take another bore, or none
    that would do. `length_m` and `bore_m` of the piece to cut, `pint_s` as it then pours; all as
    they are now where nothing is to do. `held_back_pa`: what the faucet must take.
    """

    tap: str
    keg: str
    gauge_pressure_pa: float
    wanted_pint_s: float
    present_pint_s: float
    present_length_m: float
    present_bore_m: float
    material: str
    way: LineWay
    length_m: float
    bore_m: float
    pint_s: float
    held_back_pa: float | None


@dataclass(frozen=True, slots=True)
class TradeOff:
    """The best with so many regulators: how many beers are outside, the worst, and what it costs.

    `worst_off_vol` is that of the beer furthest off by its own tolerance; `loss` the sum over the
    beers of (volumes off / tolerance)². `cost_…` in `currency` is what is to be bought over what
    is there, with `unpriced` parts left out; `None` without prices.
    """

    regulators: int
    asked: bool
    gauge_pressures_pa: tuple[float, ...]
    outside: int
    worst_keg: str
    worst_beer: str
    worst_off_vol: float
    worst_tolerances: float
    loss: float
    cost_low: float | None
    cost_high: float | None
    currency: str | None
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A beer outside its tolerance that would be kept elsewhere, or at another temperature.

    `place` is another place with its own temperature, or the keg's own place at `temperature_k`;
    `upsets`: kegs that stand there and would then leave their tolerance.
    """

    keg: str
    beer: str
    place: str
    moves: bool
    temperature_k: float
    regulator: str
    gauge_pressure_pa: float
    comes_to_vol: float
    upsets: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DriftPoint:
    """The level so many seconds from now."""

    after_s: float
    level_vol: float


@dataclass(frozen=True, slots=True)
class Drift:
    """How one beer drifts from what it holds now at the pressure it gets, by replay.

    `start_vol`: what it holds now; its target where nobody told. Where that is outside its
    tolerance, `enters_s` says when it comes within; `None`: not in the time looked at.

    It is drunk at `drunk_m3_s` (0: nobody pours; `assumed`: nobody told how quickly). `leaves_s`:
    when it leaves its tolerance; `None`: never, until the keg is empty or the time looked at is
    over, at `last_s` with `last_vol`. `moved_vol`: what it gained (or, negative, lost) by
    `moved_s`. `comes_to_vol`: where it would end if it stood for ever.
    """

    keg: str
    beer: str
    target_vol: float
    comes_to_vol: float
    drunk_m3_s: float
    assumed: bool
    leaves_s: float | None
    moved_vol: float
    moved_s: float
    last_vol: float
    last_s: float
    emptied: bool
    course: tuple[DriftPoint, ...]
    start_vol: float
    outside: bool = False
    enters_s: float | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """What one keg went through while another was carbonated, by replay.

    `left_on_vol`: what it would have come to with its gas left open to the high pressure. It was
    poured from meanwhile; `lowest_…` is what that left on it, `pours`: enough to go on pouring.
    `untouched_vol`: the most it would
    have held in that time without any of it; `limit_vol` is no lower than that.
    """

    keg: str
    beer: str
    before_vol: float
    highest_vol: float
    lowest_gauge_pressure_pa: float
    after_vol: float
    untouched_vol: float
    limit_vol: float
    keeps: bool
    pours: bool
    left_on_vol: float


@dataclass(frozen=True, slots=True)
class Lift:
    """One keg carbonated at a high pressure while the others serve: acts with their times.

    `seen` is what replay says of each other keg on its regulator; `reached_vol` what the keg holds
    when it comes back, `highest_vol` the most it ever held. `ready_at`: when it first lies within
    its tolerance. `needs`: what it wants that is not there.
    """

    keg: str
    beer: str
    way: Way
    title: str
    high_gauge_pressure_pa: float
    high_s: float
    steps: tuple[Step, ...]
    ready_at: datetime | None
    reached_vol: float
    highest_vol: float
    limit_vol: float
    seen: tuple[Seen, ...]
    keeps: bool
    needs: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A keg that could not be counted, and why."""

    keg: str
    why: str


@dataclass(frozen=True, slots=True)
class ShareAnswer:
    """Which pressure each regulator gets, which keg hangs on which, and what comes of it.

    `outside` beers lie beyond their tolerance; no other way to hang and set them leaves fewer, or,
    with as many, a less bad worst one, or, with the same worst, a smaller sum of squares.
    """

    system: str
    units: UnitSystem
    regulators: int
    step_pa: float
    settings: tuple[Setting, ...]
    beers: tuple[BeerShare, ...]
    outside: int
    taps: tuple[TapLine, ...]
    trade_offs: tuple[TradeOff, ...]
    elsewhere: tuple[Elsewhere, ...]
    drifts: tuple[Drift, ...]
    lifts: tuple[Lift, ...]
    left_out: tuple[LeftOut, ...]
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
