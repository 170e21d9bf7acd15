"""Beer under a blend of CO2 and nitrogen that a regulator keeps at its pressure.

The beer takes CO2 from the head, and what comes in for it is blend, never one gas alone: the
nitrogen that comes along stays, and the CO2 in the head thins. So the gap between what the beer
could hold and what it holds falls nearly in a straight line with its level, down to where
`physics.blend.settled` has both gases in balance, and the law of the four thirds stays closed as it
does for a head that `falling` follows. Nitrogen counts as in balance with the beer at all times.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.falling import LEAST_VOL, fall
from ullage.cellar.head import draw_to
from ullage.cellar.state import NO_BEER_M3, Assumed, KegState
from ullage.physics import blend, co2, solubility, water
from ullage.physics.constants import CO2_MOLAR_MASS, CO2_VOLUME_DENSITY
from ullage.physics.numbers import Numbers

TURNS = 12
"""Of the search for the balance, which comes nearer by a tenth and better with each."""
LEAST_PA = 1.0


@dataclass(frozen=True, slots=True)
class _Gases:
    """Beer and head at one temperature. `full_pa`: what CO2 and nitrogen stand at together."""

    keg: KegState
    kelvin: float
    factor: Numbers
    share: float
    takes: Numbers
    full_pa: Numbers

    def held(self, carbon_pa: Numbers) -> Numbers:
        """Volumes that the beer comes to hold under a pressure of CO2 (Pa)."""
        vapour = water.vapour_pressure(self.kelvin)
        return solubility.equilibrium_volumes(carbon_pa + vapour, self.kelvin, self.factor)

    def head_kg(self, carbon_pa: Numbers) -> Numbers:
        """CO2 (kg) in the head at its pressure."""
        return co2.gas_mass(carbon_pa, self.keg.head_m3, self.kelvin)

    @property
    def per_vol(self) -> Numbers:
        """CO2 (kg) of one volume in this beer."""
        return np.maximum(self.keg.beer_m3, NO_BEER_M3) * CO2_VOLUME_DENSITY.value

    @property
    def opens_pa(self) -> Numbers:
        """Pressure of CO2 below which the regulator lets in, the nitrogen being as it is."""
        return np.maximum(self.full_pa - self.keg.nitrogen_mol / self.takes, LEAST_PA)

    def balance_pa(self, there_kg: Numbers, begin_pa: Numbers) -> Numbers:
        """Pressure of CO2 in the end, `there_kg` of CO2 in beer and head before the gas comes in.

        What comes in has `share` of CO2: (1 − y) (CO2 gained) = y (nitrogen gained), in moles.
        """
        kept, gives = (1.0 - self.share) / CO2_MOLAR_MASS.value, self.share * self.takes
        at = begin_pa
        for _ in range(TURNS):
            gained = kept * (self.head_kg(at) + self.per_vol * self.held(at) - there_kg)
            over = gained - gives * (self.full_pa - at) + self.share * self.keg.nitrogen_mol
            steep = kept * (self.head_kg(at) + self.per_vol * self.held(at)) / at + gives
            at = np.clip(at - over / steep, LEAST_PA, begin_pa)
        return at


def on_blend(
    keg: KegState, growth: Numbers, factor: Numbers, assumed: Assumed
) -> tuple[NDArray[np.bool_], KegState]:
    """Whether the beer takes up gas (in each sample), and the keg after that.

    keg: at the stretch's mean temperature, a blend on it; growth: r t/3 of `physics.absorption`;
    factor: its solubility over water's. Where it takes up none the keg returned means nothing.
    """
    before = draw_to(keg, _true_pa(keg), assumed)
    gases = _gases(before, factor, assumed)
    level, opens = before.level_vol, gases.opens_pa
    carbon = co2.pressure_of_mass(before.head_co2_kg, before.head_m3, gases.kelvin)
    rise = np.maximum(before.head_co2_kg - gases.head_kg(opens), 0.0) / gases.per_vol
    ahead, gap = gases.held(carbon) - level, gases.held(opens) - level
    comes = np.greater(gap - rise, 0.0) & np.greater(ahead, 0.0)
    safe = (np.where(comes, ahead, 2.0), np.where(comes, gap, 1.0), np.where(comes, rise, 0.0))
    gained, left = fall(*safe, growth)
    open_gap = safe[1] - safe[2]
    there = before.head_co2_kg + gases.per_vol * level
    ends = gases.held(gases.balance_pa(there, opens))
    gained = np.where(left > 0.0, safe[2] + _risen(open_gap, ends - level - safe[2], left), gained)
    taken = replace(
        before,
        level_vol=level + gained,
        head_co2_kg=before.head_co2_kg - gases.per_vol * gained,
    )
    return np.asarray(comes), draw_to(taken, _true_pa(keg), assumed)


def comes_to(keg: KegState, factor: Numbers, assumed: Assumed) -> Numbers:
    """What its beer comes to where it stands, nobody drawing from it; volumes.

    keg: with a blend on it. Beer that holds too much gives off into the head, which keeps it: there
    it is what a fresh head's CO2 lets it hold, the least that pouring brings it to.
    """
    cold = replace(keg, temperature_k=keg.place_k)
    full = draw_to(cold, _true_pa(keg), assumed)
    gases = _gases(full, factor, assumed)
    opens = gases.opens_pa
    there = full.head_co2_kg + gases.per_vol * full.level_vol
    ends = gases.held(gases.balance_pa(there, opens))
    fresh = gases.held(np.maximum(gases.share * gases.full_pa, LEAST_PA))
    return np.where(np.greater(ends, full.level_vol), ends, fresh)[()]


def _risen(gap: Numbers, rise: Numbers, growth: Numbers) -> Numbers:
    """What the level gains while the gap falls in a straight line to nothing after `rise`."""
    steep = np.maximum(gap / np.maximum(rise, LEAST_VOL), 1.0)
    slower = 1.0 + steep * np.maximum(growth, 0.0) * np.cbrt(gap)
    gained: Numbers = gap * (1.0 - 1.0 / (slower * slower * slower)) / steep
    return gained


def _gases(keg: KegState, factor: Numbers, assumed: Assumed) -> _Gases:
    assert keg.supply is not None
    kelvin = float(np.mean(keg.temperature_k))
    wet = assumed.ambient_pa + keg.supply.true_pa
    full = wet - water.vapour_pressure(kelvin) - keg.air_pa(kelvin)
    takes = blend.nitrogen_held(keg.beer_m3, keg.head_m3, kelvin)
    share = keg.supply.co2_share
    return _Gases(keg, kelvin, factor, share, takes, np.maximum(full, LEAST_PA))


def _true_pa(keg: KegState) -> float:
    assert keg.supply is not None
    return keg.supply.true_pa
