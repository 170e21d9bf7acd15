"""The shapes of the answers: frozen, typed, SI. Every field's unit is the suffix of its name.

Suffixes: `_pa` absolute pressure, `gauge_…_pa` gauge pressure, `_k` kelvin, `_m`, `_m3`, `_m3_s`,
`_kg`, `_s`, `_vol` volumes of CO2. A band is the 80 % band: one answer in ten lies below `low`, one
in ten above `high`. Times carry their offset.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ullage.plan.acts import Act


@dataclass(frozen=True, slots=True)
class Band:
    """An answer with its 80 % band, all three in the unit that the field's name gives."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Caution:
    """A short warning, shown where the hand is about to do the thing."""

    level: Literal["note", "warning", "danger"]
    text: str


Method = Literal[
    "hold",
    "burst",
    "shake",
    "stone",
    "top up",
    "prime",
    "spund",
    "vent and shake",
    "pour and vent",
    "vent at rest",
]
"""The ways to bring a beer to its level; the last three for beer that holds too much."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing for the hand to do. `gauge_pressure_pa` is what to set, when it changes.

    `acts`: the same in a form that can become planned events; none where there is nothing to do.
    """

    at: datetime
    do: str
    gauge_pressure_pa: float | None
    acts: tuple[Act, ...] = ()


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """The state of the beer at one time of a schedule."""

    at: datetime
    reached_vol: float
    reached_low_vol: float
    reached_high_vol: float
    gauge_pressure_pa: float
    temperature_k: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """One way to carbonate a beer: what to do when, and what it reaches each day.

    `ready_at` is when the level first lies within the tolerance of the target; `None`: not within
    the time looked at. `ready_early` and `ready_late` bound it with 80 % confidence, all that is
    not known exactly counted; `ready_slow` is when a keg is ready that absorbs slowly (one in ten
    slower) while its gauge and thermometer are right. `gas_kg` is what it takes from the cylinder,
    `visits` how often a hand must do something (a quarter of an hour of rocking counts as one),
    `needs` what it wants that is not there.
    """

    method: Method
    title: str
    steps: tuple[Step, ...]
    course: tuple[CoursePoint, ...]
    ready_at: datetime | None
    ready_early: datetime | None
    ready_late: datetime | None
    makes_date: bool | None
    cautions: tuple[Caution, ...]
    remark: str
    gas_kg: float
    visits: int
    needs: tuple[str, ...]
    ready_slow: datetime | None = None


@dataclass(frozen=True, slots=True)
class CarbonationAnswer:
    """What to set for one beer, and the ways to get there. `gauge_pressure_pa` keeps the target.

    `begins_vol`: the band of `start_vol`, where that is not known exactly. Pressures are as the
    keg's gauge shows them: `gauge_offset_pa` is what it shows too little, where that was kept.
    """

    beer: str
    keg: str
    place: str
    target_vol: float
    tolerance_vol: float
    start_vol: float
    temperature_k: float
    gauge_pressure_pa: Band
    equilibrium_vol: Band
    present_gauge_pressure_pa: float | None
    present_equilibrium_vol: Band | None
    schedules: tuple[Schedule, ...]
    advised: Method | None
    wanted_by: datetime | None
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
    begins_vol: Band | None = None
    gauge_offset_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class LinePoint:
    """One place along the way from the beer in the keg to the glass; pressures are gauge.

    `pouring` with the faucet open, `shut` with it closed, `saturation` where this beer at the
    local temperature can just hold its CO2. `distance_m` is measured from the dip tube's foot.
    """

    distance_m: float
    part: str
    gauge_pouring_pa: float
    gauge_shut_pa: float
    gauge_saturation_pa: float
    temperature_k: float


@dataclass(frozen=True, slots=True)
class LineAdvice:
    """A length of line and what it does. `why` is one plain sentence."""

    title: str
    length_m: float
    pint_s: float
    why: str


@dataclass(frozen=True, slots=True)
class PourAnswer:
    """How one tap pours now, what length would pour as wanted, and where foam would start.

    `breakout_m`: where, pouring, the pressure first falls below saturation; `None`: nowhere.
    `shut_margin_pa`: the least pressure above saturation while the faucet is shut; negative means
    gas comes out in the resting line and the first glass foams. `handbook` is the trade's fixed
    restriction per foot, beside the computed length, with the reason why the two differ.
    `length_m` is that of all pieces of line together. `gauge_offset_pa`: what the gauge shows too
    little, where that was kept; `resistance`: of the line over the computed, where that was.
    """

    tap: str
    keg: str
    beer: str
    gauge_pressure_pa: float
    length_m: float
    line: str
    flow_m3_s: Band
    pint_s: Band
    half_litre_s: Band
    speed_m_s: float
    reynolds: float
    full_pint_s: float
    empty_pint_s: float
    wanted_pint_s: float
    advised: LineAdvice | None
    handbook: LineAdvice | None
    profile: tuple[LinePoint, ...]
    breakout_m: float | None
    breakout_part: str | None
    shut_margin_pa: float
    shut_margin_part: str
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
    gauge_offset_pa: float = 0.0
    resistance: float | None = None


@dataclass(frozen=True, slots=True)
class GasUse:
    """What one kind of work takes from the cylinder."""

    what: str
    mass_kg: float


@dataclass(frozen=True, slots=True)
class GasAnswer:
    """A cylinder: what it holds, what its gauge shows, what a keg takes, how long it lasts.

    `liquid_gone_below_kg`: `None` where there can be no liquid, in a blend or above 31 °C.
    """

    cylinder: str
    size: str
    remaining_kg: float
    rated_kg: float
    temperature_k: float
    cylinder_gauge_pa: float
    phase: Literal["liquid and gas", "gas only", "above critical", "liquid full", "blended gas"]
    liquid_gone_below_kg: float | None
    uses: tuple[GasUse, ...]
    kegs_left: Band
    weeks_left: Band | None
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]

    @property
    def what(self) -> str:
        """What is in it, as one says it."""
        return self.phase if self.phase == "blended gas" else "CO2"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something in the system that does not fit or exceeds a rating. `where` names the part."""

    level: Literal["note", "warning", "danger"]
    where: str
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class WholeAnswer:
    """Everything `ullage plan` says of one system."""

    system: str
    units: Literal["us", "metric"]
    made_at: datetime
    start: datetime
    altitude_m: float
    ambient_pa: float
    carbonation: tuple[CarbonationAnswer, ...]
    pours: tuple[PourAnswer, ...]
    gas: tuple[GasAnswer, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
