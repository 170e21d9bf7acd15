"""The shapes of the answer to "how does the cellar stand": frozen, typed, SI."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ullage.plan.answers import Band
from ullage.plan.fermenting_out import Ending


@dataclass(frozen=True, slots=True)
class KegStatus:
    """One keg now. Gauge pressure is that of its head; `comes_to_vol` what the gas leads to,
    `keeps_gauge_pa` what keeps the target where it stands (negative: nothing does).
    `spunding_gauge_pa`: that of its spunding valve, if one is on. `ferments`: its yeast still has
    something to do; `ending` is what that leads to, `None` with the gas on.
    """

    keg: str
    keg_kind: str
    place: str
    batch: str | None
    style: str
    tap: str | None
    filled_at: datetime | None
    beer_left_m3: Band
    level_vol: Band
    target_vol: float | None
    tolerance_vol: float | None
    temperature_k: float
    gauge_pressure_pa: Band
    supply_gauge_pa: float | None
    comes_to_vol: float | None
    keeps_gauge_pa: float | None
    oxygen_fraction: float
    drawn_kg: float
    carbonated: bool | None
    spunding_gauge_pa: float | None = None
    ferments: bool = False
    ending: Ending | None = None


@dataclass(frozen=True, slots=True)
class CylinderStatus:
    """One cylinder now: what replay leaves in it since it was last known."""

    cylinder: str
    size: str
    contents_kg: Band
    rated_kg: float
    known_at: datetime


@dataclass(frozen=True, slots=True)
class NextStep:
    """A planned step that waits, `event` being its first; `missed` when its moment is long past.

    `gauge_pressure_pa`: what to set, if a pressure is to be set.
    """

    event: str
    at: datetime
    keg: str
    do: str
    missed: bool
    gauge_pressure_pa: float | None = None


Need = Literal[
    "step",
    "weigh",
    "refill",
    "brew",
    "vent",
    "purge",
    "cure",
    "connect",
    "raise",
    "lower",
    "valve",
    "clean line",
]


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do next, and to what: `kind` is keg, cylinder or tap."""

    need: Need
    kind: Literal["keg", "cylinder", "tap"]
    name: str
    text: str


@dataclass(frozen=True, slots=True)
class StatusAnswer:
    """The cellar at `at`: kegs, cylinders, steps that wait, advice in the order of its weight."""

    at: datetime
    units: str
    kegs: tuple[KegStatus, ...]
    cylinders: tuple[CylinderStatus, ...]
    steps: tuple[NextStep, ...]
    advice: tuple[Advice, ...]
    warnings: tuple[str, ...]
