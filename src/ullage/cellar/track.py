"""One keg followed through its phases with plain floats: the quick way for a single course.

The same cuts and the same closed form as `ullage.cellar.course` does for samples in NumPy, with the
beer's properties from a table, so a fortnight takes some tens of microseconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import cbrt, exp, log
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import USUAL, Spread
from ullage.physics import absorption
from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.physics.beer_table import beer_table, equilibrium
from ullage.physics.constants import CONVECTION

Contact = Literal["still", "shaken", "stone"]

CHILLED_K = 0.05
CHILL_CUTS = 12
CHILL_SHARE = 0.48
"""Part of its time constant that a chilling keg is followed through at one temperature."""
SETTLED_K = 1e-3
FERMENTED_K = 293.15
"""Warmest since fermentation ended, where nobody told: 20 °C; common practice, no source."""


@dataclass(frozen=True, slots=True)
class KegCase:
    """A keg's beer at the start: what is needed to follow it. Temperatures in kelvin.

    `head_m3` is the gas space above the beer; only vents depend on it. `spread` is what is known of
    this household's constants; pressures are as its gauge shows them. `starts_vol`: samples of
    `start_vol`, where that is not known exactly, in the order of the draws of as many.
    """

    beer: Composition
    beer_m3: float
    depth_m: float
    start_vol: float
    start_k: float
    place_k: float
    tau_s: float
    ambient_pa: float
    head_m3: float = 1e-3
    spread: Spread = USUAL
    starts_vol: NDArray[np.float64] | None = field(default=None, compare=False)

    @property
    def factor(self) -> float:
        """The beer's solubility over water's."""
        return float(beer_physics.solubility_factor(self.beer, self.spread.beer_factor.value))

    @property
    def samples(self) -> int:
        """How many samples of its start there are; 0 where it is known."""
        return 0 if self.starts_vol is None else len(self.starts_vol)

    def starts(self, columns: int) -> NDArray[np.float64]:
        """What so many samples of the beer hold at the start."""
        known = self.starts_vol
        if known is not None and len(known) == columns:
            return known
        return np.full(columns, self.start_vol)

    @property
    def offset_pa(self) -> float:
        """What the regulator gives more than its gauge shows."""
        return self.spread.gauge_offset_pa.value

    def contact(self, contact: Contact) -> float:
        """Times the usual still rate that the beer absorbs at with that contact."""
        if contact == "shaken":
            return self.spread.shaken.value
        if contact == "stone":
            return self.spread.stone.value
        return self.spread.convection.value / CONVECTION.value


@dataclass(frozen=True, slots=True)
class Phase:
    """A time of one gauge pressure and one kind of contact with the gas."""

    seconds: float
    gauge_pa: float
    contact: Contact = "still"


Stretch: TypeAlias = tuple[int, float, float, float, float]
"""Its phase's index, and what holds in it: temperature (K), equilibrium (volumes), rate
(1/(s vol^(1/3))), depletion (1/s). A plain tuple: thousands are made."""


@dataclass(frozen=True, slots=True)
class Track:
    """Where the course went: `time_s` and `level_vol` at n + 1 edges, `stretches` between them."""

    time_s: list[float]
    level_vol: list[float]
    stretches: list[Stretch]


def edges(case: KegCase, phases: Sequence[Phase], marks_s: Sequence[float] = ()) -> list[float]:
    """Where conditions change or a level is wanted, from 0 to the end of the phases, increasing.

    While the beer chills the time is cut where it has gone through equal parts of its way.
    """
    ends, total = [0.0], 0.0
    for phase in phases:
        total += phase.seconds
        ends.append(total)
    ends += marks_s
    ends += chill_cuts(abs(case.start_k - case.place_k), case.tau_s)
    return sorted({end for end in ends if end <= total})


def chill_cuts(away_k: float, tau_s: float) -> list[float]:
    """Times (s) at which a keg that far from its place has gone through equal parts of its way."""
    if away_k <= CHILLED_K:
        return []
    part = tau_s * log(away_k / CHILLED_K) / CHILL_CUTS
    return [part * n for n in range(1, CHILL_CUTS + 1)]


def even_cuts(away_k: float, tau_s: float) -> list[float]:
    """Times (s) at which a keg has gone through equal shares of what is left of its way.

    A keg looked at often on its way is then cut no more finely than one followed at once.
    """
    if away_k <= CHILLED_K:
        return []
    part = CHILL_SHARE * tau_s
    return [part * n for n in range(1, int(log(away_k / CHILLED_K) / CHILL_SHARE) + 1)]


def track(
    case: KegCase,
    phases: Sequence[Phase],
    marks_s: Sequence[float] = (),
    rate_factor: float = 1.0,
) -> Track:
    """Follow the keg; see `ullage.cellar.course.follow` for the meaning of the arguments."""
    cuts = edges(case, phases, marks_s)
    stretches = _stretches(case, phases, cuts, rate_factor)
    levels = [case.start_vol]
    level, age = case.start_vol, 0.0
    for (begin, end), (index, _, held, rate, depletion) in zip(
        pairwise(cuts), stretches, strict=True
    ):
        seconds, gap = end - begin, held - level
        if gap < 0.0 and phases[index].contact == "still":
            older = age + depletion * seconds
            left = float(absorption.kept(older)) / max(float(absorption.kept(age)), 1e-300)
            level, age = held - gap * left, older
        else:
            slower = 1.0 + rate * seconds * cbrt(abs(gap)) / 3.0
            level, age = held - gap / (slower * slower * slower), 0.0
        levels.append(level)
    return Track(cuts, levels, stretches)


def _stretches(
    case: KegCase, phases: Sequence[Phase], cuts: list[float], rate_factor: float
) -> list[Stretch]:
    """The conditions between the cuts; while the beer chills, at its mean temperature there."""
    table, cold_k, tau_s = beer_table(case.beer), case.place_k, case.tau_s
    factor, ambient_pa, offset_pa = case.factor, case.ambient_pa, case.offset_pa
    pressures = [ambient_pa + phase.gauge_pa + offset_pa for phase in phases]
    ways = {phase.contact for phase in phases}
    scales = {way: case.contact(way) * rate_factor / case.depth_m for way in ways}
    per_area = 1.0 / case.depth_m**2
    lag, decay = (case.start_k - cold_k) * tau_s, 1.0
    found: list[Stretch] = []
    index, ends, last = 0, phases[0].seconds, len(phases) - 1
    kelvin, row, chilling = cold_k, table.at(cold_k), abs(lag) > SETTLED_K * tau_s
    settled: dict[float, float] = {}
    for begin, end in pairwise(cuts):
        while begin >= ends and index < last:
            index += 1
            ends += phases[index].seconds
        pressure = pressures[index]
        if chilling:
            later = exp(-end / tau_s)
            kelvin = cold_k + lag * (decay - later) / (end - begin)
            row, decay = table.at(kelvin), later
            chilling = abs(lag) * decay > SETTLED_K * tau_s
            held = equilibrium(row, pressure, factor)
        else:
            if kelvin != cold_k:
                kelvin, row = cold_k, table.at(cold_k)
            if pressure not in settled:  # one pressure holds through many stretches
                settled[pressure] = equilibrium(row, pressure, factor)
            held = settled[pressure]
        scale = scales[phases[index].contact]
        found.append((index, kelvin, held, row[4] * scale, row[5] * per_area))
    return found
