"""The shapes of the answer to "how does the cellar stand": frozen, typed, SI."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from ullage.cellar.happening import SubjectKind
from ullage.cellar.state import EMPTY_M3
from ullage.plan.answers import Band
from ullage.plan.fermenting_out import Ending, TooMuchSugar
from ullage.plan.forecast import Forecast
from ullage.plan.upkeep_under_way import UnderWay
from ullage.plan.weakest import Weakest

FORTNIGHT: Final = timedelta(days=14)


EMPTY_SHARE: Final = 0.005
"""Gas found in a cylinder over what it is rated for, from which no keg gets any: what is left of it
stands at about a bar."""


@dataclass(frozen=True, slots=True)
class KegStatus:
    """One keg now. Gauge pressure is that of its head; `comes_to_vol` what the gas leads to,
    `keeps_gauge_pa` what keeps the target where it stands (negative: nothing does).
    `spunding_gauge_pa`: that of its spunding valve, if one is on. `ferments`: its yeast still has
    something to do; `ending` is what that leads to, `None` with the gas on. `ready`: when it comes
    to its level, where it lacks gas and that was asked. `sugar`: that it holds more of than its
    level bears, gas on or cold though it is. `dry_cylinder`: the one its gas is set on from, where
    that was found empty, so that it gets none.

    `limit`: what stands the least of all that sees its gas, told where its head or what keeps its
    level comes near that, else `None`. `tends_gauge_pa`: what a head that stands at what its keg is
    marked for would come to if nothing opened, else `None`: replay takes a relief valve to open
    there.
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
    ready: Forecast | None = None
    sugar: TooMuchSugar | None = None
    limit: Weakest | None = None
    tends_gauge_pa: float | None = None
    dry_cylinder: str | None = None

    @property
    def wants_too_much(self) -> bool:
        """Whether what keeps its level may not be set: a rating does not allow it."""
        keeps = self.keeps_gauge_pa
        return keeps is not None and self.limit is not None and self.limit.forbids(keeps)

    @property
    def is_empty(self) -> bool:
        """Whether it was filled, and no glass is drawn from it any more."""
        return self.batch is not None and self.beer_left_m3.value <= EMPTY_M3

    @property
    def lacks_gas(self) -> bool:
        """Whether its beer holds less than it should, its tolerance counted; an empty one: no."""
        return (
            not self.is_empty
            and self.carbonated is False
            and self.level_vol.value < (self.target_vol or 0.0)
        )


@dataclass(frozen=True, slots=True)
class CylinderStatus:
    """One cylinder now: what replay leaves in it since it was last known.

    `rated_kg`: what it holds when full; `co2_share`: CO2 in its gas, the rest nitrogen. `is_dry`:
    at `known_at` it was found empty, and nobody swapped it since.
    """

    cylinder: str
    size: str
    contents_kg: Band
    rated_kg: float
    known_at: datetime
    co2_share: float = 1.0
    is_dry: bool = False

    @property
    def what(self) -> str:
        """What is in it, as one says it."""
        return "CO2" if self.co2_share >= 1.0 else "blended gas"


@dataclass(frozen=True, slots=True)
class NextStep:
    """A planned step that waits, `event` being its first; `missed` when its moment is long past.

    `gauge_pressure_pa`: what to set, if a pressure is to be set. `keg`: the thing it is done to,
    which may be a fermenter (`subject_kind`). `renews`: it fills a keg anew. `forbidden`: it sets
    more than a rating allows, as `do` says.
    """

    event: str
    at: datetime
    keg: str
    do: str
    missed: bool
    gauge_pressure_pa: float | None = None
    subject_kind: SubjectKind = "keg"
    renews: bool = False
    forbidden: bool = False

    def is_far(self, at: datetime) -> bool:
        """Whether it is a brew, or its packaging, more than a fortnight ahead: nothing for now."""
        return (self.renews or self.subject_kind == "fermenter") and self.at > at + FORTNIGHT


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
    "colder",
    "clean line",
    "test",
    "describe",
]


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do next, and to what."""

    need: Need
    kind: Literal["keg", "cylinder", "tap", "fermenter"]
    name: str
    text: str


@dataclass(frozen=True, slots=True)
class StatusAnswer:
    """The cellar at `at`: kegs, cylinders, steps that wait, advice in the order of its weight.

    `begun`: procedures of upkeep that are under way. `alarms`: how many hold; `None`: not looked.
    """

    at: datetime
    units: str
    kegs: tuple[KegStatus, ...]
    cylinders: tuple[CylinderStatus, ...]
    steps: tuple[NextStep, ...]
    advice: tuple[Advice, ...]
    warnings: tuple[str, ...]
    begun: tuple[UnderWay, ...] = ()
    alarms: int | None = None

    @property
    def to_do(self) -> int:
        """How many things are to be done now: what is advised, and steps whose moment is here."""
        due = sum(not one.missed and one.at <= self.at for one in self.steps)
        return len(self.advice) + due

    def keg(self, name: str) -> KegStatus | None:
        """A keg as it stands; `None` where there is none of that name."""
        return next((one for one in self.kegs if one.keg == name), None)

    def cylinder(self, name: str) -> CylinderStatus | None:
        """A cylinder as it stands; `None` where there is none of that name."""
        return next((one for one in self.cylinders if one.cylinder == name), None)
