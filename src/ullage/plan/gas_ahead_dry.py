"""What becomes of the beers when their cylinder runs dry: by replay, with the gas off.

The head that is there still pushes, thinner with each glass; the beer gives some gas back, slowly.
At some point no glass comes any more, and what is left holds less gas than it was meant to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from ullage.cellar.keg_events import GasOff, Poured
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import NO_BEER_M3, Assumed, CellarState, KegState
from ullage.everyday_units import PSI, US_PINT_M3
from ullage.plan.gas_ahead_answer import KegRunsDry

POURS_AT_PA: Final = 2 * PSI
"""Below so much on the gauge beer hardly comes: two feet of lift alone take 1 psi; our choice."""
MOST_GLASSES: Final = 80
AT_ONCE_S: Final = 1_800.0
"""Between two glasses where nobody knows how quickly is drunk: one evening's pace; our choice."""


@dataclass(frozen=True, slots=True)
class Drinker:
    """A glass (m³) every so many seconds; the level wanted and its tolerance, if told."""

    glass_m3: float = US_PINT_M3
    every_s: float = AT_ONCE_S
    least_vol: float | None = None


def runs_dry(
    cellar: CellarState, keg: str, at: datetime, drinker: Drinker, one: Assumed
) -> KegRunsDry:
    """Follow a keg from `at` on with its gas gone, glass by glass, until none comes or it is empty.

    `cellar`: at that moment, single numbers. A keg too warm to be followed is taken as it was.
    """
    begun = replay([GasOff(at=at, keg=keg)], one, begun=cellar)
    first = begun.kegs[keg]
    state, moment, poured = first, at, 0.0
    kicked = False
    for _ in range(MOST_GLASSES):
        if _gauge(state, one) < POURS_AT_PA:
            break
        moment += timedelta(seconds=drinker.every_s)
        glass = min(drinker.glass_m3, float(state.beer_m3) - 2.0 * NO_BEER_M3)
        if glass <= NO_BEER_M3:
            kicked = True
            break
        begun = replay([Poured(at=moment, keg=keg, volume_m3=glass)], one, begun=begun)
        state = begun.kegs[keg]
        poured += glass
    alone = replace(begun, kegs={keg: state})
    settled = at_moment(alone, moment + timedelta(days=1), one).kegs[keg]
    return KegRunsDry(
        keg=keg,
        pours_m3=poured,
        lasts_s=(moment - at).total_seconds(),
        is_kicked=kicked,
        ends_gauge_pa=max(_gauge(state, one), 0.0),
        from_vol=float(np.mean(first.level_vol)),
        level_vol=float(np.mean(settled.level_vol)),
        below_tolerance=drinker.least_vol is not None
        and float(np.mean(settled.level_vol)) < drinker.least_vol,
    )


def _gauge(keg: KegState, one: Assumed) -> float:
    return float(np.mean(keg.head_pa())) - one.ambient_pa
