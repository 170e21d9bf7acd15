"""What gauges and thermometers may be off by, as samples: a share of what the beer comes to hold.

So pressures and temperatures of a replay in samples stay single numbers, and it stays quick.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from ullage.physics import solubility
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.physics.numbers import Numbers

USUAL_GAUGE_PA: Final = 80e3
"""What kegs are usually served at, 12 psi; common practice, no source."""
_STEP_K: Final = 0.1


@dataclass(frozen=True, slots=True)
class Misread:
    """How far gauges (Pa) and thermometers (K) may be off beyond what was learnt, in samples.

    `gauge_pa` by the cylinder whose regulator it is on, `thermometer_k` by the place; `any_…` those
    of all others.
    """

    any_gauge_pa: Numbers
    any_thermometer_k: Numbers
    gauge_pa: Mapping[str, Numbers] = field(default_factory=dict)
    thermometer_k: Mapping[str, Numbers] = field(default_factory=dict)

    def warmth(self, place: str, told_k: float) -> Numbers:
        """Times as much that beer holds in a place as it would were its thermometer right."""
        off_k = self.thermometer_k.get(place, self.any_thermometer_k)
        found: Numbers = 1.0 + _per_kelvin(told_k) * off_k
        return found

    def gauge(self, cylinder: str | None, ambient_pa: float) -> Numbers:
        """By what share more beer holds under a regulator; to first order at a usual pressure."""
        off_pa = self.gauge_pa.get(cylinder or "", self.any_gauge_pa)
        found: Numbers = off_pa / (ambient_pa + USUAL_GAUGE_PA)
        return found


@lru_cache(maxsize=256)
def _per_kelvin(temperature_k: float) -> float:
    """Relative change of what beer holds under a pressure, 1/K: about -0.03."""
    usual = STANDARD_ATMOSPHERE.value + USUAL_GAUGE_PA
    low, high = (
        float(solubility.equilibrium_volumes(usual, temperature_k + off))
        for off in (-_STEP_K, _STEP_K)
    )
    return (high - low) / (_STEP_K * (high + low))
