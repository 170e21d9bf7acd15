"""Beer and a head that no gas enters or leaves, in samples: `shut_keg.absorb_shut` off a table.

Where a beer holds more than its regulator would give, the check valve keeps what it gives off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ullage.physics import absorption, solubility
from ullage.physics.beer_table import Row
from ullage.physics.constants import CO2_MOLAR_MASS, CO2_VOLUME_DENSITY, GAS_CONSTANT
from ullage.physics.numbers import Numbers
from ullage.physics.shut_keg import AT_REST_VOL, SEARCH_TURNS, renewed

_R, _M, _VOLUME = GAS_CONSTANT.value, CO2_MOLAR_MASS.value, CO2_VOLUME_DENSITY.value


@dataclass(frozen=True, slots=True)
class KeptIn:
    """What of a keg is one number: its beer's properties, its amounts, and its temperature."""

    row: Row
    kelvin: float
    beer_m3: float
    room_m3: float

    def held(self, partial_pa: Numbers, factor: Numbers) -> Numbers:
        """Volumes that the beer holds in the end under a pressure (Pa) of CO2."""
        ratio = partial_pa * np.exp(self.row[1] * partial_pa) * self.row[0]
        return factor * self.row[2] * ratio / (1.0 - ratio)

    def gas_m3(self, partial_pa: Numbers) -> Numbers:
        """CO2 of a pressure in the head as m³ at 0 °C and 1 atm."""
        z = 1.0 + np.sqrt(1.0 + 4.0 * self.row[1] * partial_pa)
        return partial_pa * (2.0 * _M * self.room_m3 / (_R * self.kelvin * _VOLUME)) / z

    def pressure_pa(self, head_kg: Numbers) -> Numbers:
        """Pressure of the CO2 in the head."""
        ideal = head_kg * (_R * self.kelvin / (_M * self.room_m3))
        return ideal * (1.0 + self.row[1] * ideal)

    def at_rest(self, level: Numbers, head_kg: Numbers, factor: Numbers) -> Numbers:
        """Volumes that beer and head come to rest at together."""
        total = self.beer_m3 * level + head_kg / _VOLUME
        most = solubility.HARD_PRESSURE_PA - self.row[3]
        partial = np.clip(self.pressure_pa(head_kg), 1.0, most)
        for _ in range(SEARCH_TURNS):
            holds = self.beer_m3 * self.held(partial, factor) + self.gas_m3(partial)
            partial = np.minimum(partial * total / holds, most)
        return (total - self.gas_m3(partial)) / self.beer_m3


def kept_in(
    keg: KeptIn,
    level: Numbers,
    head_kg: Numbers,
    factor: Numbers,
    growth: Numbers,
    layer: tuple[Numbers, float] | None,
) -> tuple[Numbers, Numbers, Numbers]:
    """Level, CO2 in the head and age of the depleted layer after a stretch without gas.

    growth: r t/3; layer: age of the depleted layer and how much it grows, where the beer rests.
    """
    gap = keg.held(keg.pressure_pa(head_kg), factor) - level
    rise = keg.at_rest(level, head_kg, factor) - level
    resting = np.abs(rise) < AT_REST_VOL
    ratio = np.maximum(np.where(resting, 1.0, gap) / np.where(resting, 1.0, rise), 1.0)
    slower = 1.0 + growth * ratio * np.cbrt(np.abs(gap))
    share = 1.0 / (slower * slower * slower)
    older: Numbers = 0.0
    if layer is not None:
        over = gap < 0.0
        slow = np.asarray(absorption.kept(renewed(*layer))) ** ratio
        share = np.where(over, slow, share)
        older = np.where(over, layer[0] + layer[1], 0.0)[()]
    gained = (np.where(resting, 0.0, rise) * (1.0 - share))[()]
    left = np.maximum(head_kg - keg.beer_m3 * _VOLUME * gained, 0.0)
    return level + gained, left, older
