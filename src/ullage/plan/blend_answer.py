"""What is asked of a blend of CO2 and nitrogen and what is answered. SI, as the names say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ullage.plan.answers import Band, Caution

Outcome = Literal["keeps", "over", "under"]
USUAL_SHARES: Final = (1.0, 0.75, 0.7, 0.6, 0.5, 0.3, 0.25)
"""Shares of CO2 that gas is commonly sold with; common practice, no source."""


@dataclass(frozen=True, slots=True)
class BlendQuestion:
    """A beer served by blended gas. Give `share` (CO2, of 1), `gauge_pa`, or both.

    With one of them the other is found. `from_vol`: what the beer holds when the blend goes on,
    `None`: what is wanted. `tolerance_vol`: by how much it may miss.
    """

    temperature_k: float
    target_vol: float
    share: float | None = None
    gauge_pa: float | None = None
    tolerance_vol: float = 0.2
    from_vol: float | None = None
    altitude_m: float = 0.0
    abv_percent: float | None = None
    keg_kind: str = "ball-lock-5gal"


@dataclass(frozen=True, slots=True)
class BlendRow:
    """One blend that is sold: its CO2 share and the gauge pressure at which it keeps this beer.

    `rated`: whether keg, regulator and line are commonly marked for that pressure.
    """

    share: float
    gauge_pressure_pa: float
    rated: bool


@dataclass(frozen=True, slots=True)
class Stage:
    """A keg with so much beer left that nobody draws from: where it settles in the end."""

    beer_m3: float
    level_vol: float
    nitrogen_vol: float


@dataclass(frozen=True, slots=True)
class FaucetPour:
    """A US pint through a faucet on a metre and a half of 3/16 in line; `None`: no beer comes."""

    faucet: str
    pint_s: float | None


@dataclass(frozen=True, slots=True)
class BlendAnswer:
    """The blend and the pressure, where the beer goes on it, and how fast it leaves its tolerance.

    `straight_gauge_pa`: what pure CO2 would need; below 0 none at all. `equilibrium_vol`: the
    level of beer that meets fresh blend long enough. `leaves_s`: seconds until it is over its
    tolerance at the soonest, `None` where it never is. `nitrogen_vol`: dissolved in the end, in
    litres per litre. `from_flat_vol`: what a full keg of flat beer would come to.
    """

    share: float
    gauge_pressure_pa: float
    straight_gauge_pa: Band
    equilibrium_vol: Band
    target_vol: float
    tolerance_vol: float
    outcome: Outcome
    leaves_s: float | None
    nitrogen_vol: float
    from_flat_vol: float
    stages: tuple[Stage, ...]
    blends: tuple[BlendRow, ...]
    pours: tuple[FaucetPour, ...]
    ambient_pa: float
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
