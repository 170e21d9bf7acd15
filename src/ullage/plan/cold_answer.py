"""What is asked of keeping kegs cold and what is answered. SI, as the fields' names say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ullage.plan.answers import Band, Caution

Probe = Literal["in the air", "in a small glass of water", "on a keg under foam"]


@dataclass(frozen=True, slots=True)
class ColdQuestion:
    """Kegs to chill and keep. `differential_k` is the controller's swing, `None`: to be chosen.

    `power_w`: electric, while it runs; `energy_j_day`: measured in a day at rest; `cooling_w`: the
    heat it carries out, if rated; `price_per_j`: in `currency`; `tower_k`: of shank and faucet.
    """

    kegs: int
    keg_kind: str
    start_k: float
    target_k: float
    room_k: float
    differential_k: float | None = None
    power_w: float | None = None
    energy_j_day: float | None = None
    cooling_w: float | None = None
    price_per_j: float | None = None
    currency: str = ""
    tower_k: float | None = None
    target_vol: float = 2.5


@dataclass(frozen=True, slots=True)
class ProbePlace:
    """What comes of putting the probe there: how air and beer swing, starts of the machine."""

    place: Probe
    air_low_k: float
    air_high_k: float
    beer_swing_k: float
    starts_per_hour: float
    advised: bool


@dataclass(frozen=True, slots=True)
class Running:
    """What it takes to keep it cold. `measured`: from a day's reading, else from usual sizes."""

    duty: float
    power_w: float
    energy_j_year: float
    cost_year: float | None
    currency: str
    measured: bool


@dataclass(frozen=True, slots=True)
class WarmTower:
    """A tower warmer than the keg: the pressure its beer would need, and how fast it warms."""

    tower_k: float
    holds_gauge_pa: Band
    keg_gauge_pa: Band
    warm_after_s: float
    with_fan_k: float
    with_fan_gauge_pa: Band


@dataclass(frozen=True, slots=True)
class ColdAnswer:
    """How to set the controller, how long chilling takes, what keeping it cold costs."""

    set_k: float
    differential_k: float
    near_k: float
    pull_down_s: Band
    by_air_alone_s: float
    limited_by: Literal["the air", "the machine"]
    cooling_w: float
    probes: tuple[ProbePlace, ...]
    running: Running
    tower: WarmTower | None
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
