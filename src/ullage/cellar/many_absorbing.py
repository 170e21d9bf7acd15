"""Samples of a keg that only absorbs from its regulator: few NumPy operations for each stretch.

Where some of the samples hold more than the regulator gives, those alone go another way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.absorbing import DRIFT_VOL, SETTLED_K, VOLUME_KG_M3, Absorbing, Piece
from ullage.cellar.falling import fall
from ullage.cellar.kept_in import KeptIn, kept_in
from ullage.cellar.stretch import SLACK_PA
from ullage.physics.beer import Composition
from ullage.physics.beer_table import Row, equilibrium, exact_row
from ullage.physics.numbers import Numbers

_Now: TypeAlias = "tuple[Numbers, Numbers | None, Numbers]"
"""The level; the CO2 in a head that stands above the regulator in some sample, `None` where none
does; and the age of the depleted layer."""


@dataclass(slots=True)
class ManyAbsorbing(Absorbing):
    """`Absorbing` in samples, of what the beer holds and of what its head does."""

    low: bool = False
    """Whether some head was below the regulator when its numbers were taken: just purged."""

    def pass_time(self, until: datetime) -> bool:
        """Bring it to a moment; `False`, and nothing changed, where it does more than absorb."""
        seconds = (until - self.at).total_seconds()
        if seconds <= 0.0:
            return True
        kelvin = self.place_k
        away = self.kelvin - kelvin
        pieces: Sequence[Piece] = ((seconds, kelvin),)
        now: _Now = (self.level, self.head_kg, self.age)
        warms = away < -SETTLED_K
        if warms or away > SETTLED_K:
            pieces, kelvin = self.pieces(seconds, away)
        if warms and self.head_kg is None:
            now = (self.level, self.mass(self.row(), self.kelvin, self.pressure_pa), self.age)
        for length, mean in pieces:
            row = self.cold if mean == self.place_k else self.table.at(mean)
            found = self._stretch(now, length, row, mean)
            if found is None:
                return False
            now = found
            if warms and now[1] is None:
                now = (now[0], self.mass(row, mean, self.pressure_pa), now[2])
        self.level, head_kg, self.age = now
        self.kelvin, self.at, self.low = kelvin, until, False
        if head_kg is not self.head_kg:
            self.stand(head_kg)
        return True

    def _stretch(self, now: _Now, seconds: float, row: Row, kelvin: float) -> _Now | None:
        """The samples after a stretch; `None` where one would open the keg's relief valve."""
        level, head_kg, age = now
        held = equilibrium(row, self.pressure_pa - self.air_pa_k * kelvin, 1.0) * self.factor
        gap = held - level
        growth = self.pace * (row[4] * seconds)
        if head_kg is None:
            least = np.min(gap)
            if least > -DRIFT_VOL:
                return (
                    _risen(held, gap if least >= 0.0 else np.maximum(gap, 0.0), growth),
                    None,
                    0.0,
                )
        if self.low:
            return None
        beer = self.keg.beer
        assert beer is not None
        still = KeptIn(row, kelvin, self.beer_m3, self.shape.capacity_m3 - self.beer_m3)
        stands = self.mass(row, kelvin, self.pressure_pa)
        above = np.maximum(stands if head_kg is None else head_kg, stands)
        meet = _Meeting(still, beer, stands, level, above, held, self.factor, growth)
        exposed = seconds * (self.shape.area_m2 / self.beer_m3) ** 2
        return meet.parted(None if self.agitated else (age, exposed), self._most_pa(row, kelvin))

    def _most_pa(self, row: Row, kelvin: float) -> float:
        """Pressure of the CO2 in the head at which the keg's relief valve opens."""
        return self.ambient_pa + self.shape.rating_pa - self.air_pa_k * kelvin - row[3]

    def stand(self, head_kg: Numbers | None) -> None:
        """Have that much in the head, or what the regulator gives where it is not more."""
        if head_kg is not None:
            row = self.row()
            below = self.mass(row, self.kelvin, self.pressure_pa - SLACK_PA)
            self.low = bool(np.any(head_kg < below))
            above = head_kg > self.mass(row, self.kelvin, self.pressure_pa + SLACK_PA)
            if np.any(above):
                filled = self.mass(row, self.kelvin, self.pressure_pa)
                self.head_kg = np.where(above, head_kg, filled)[()]
                return
        self.head_kg = None


def _risen(held: Numbers, gap: Numbers, growth: Numbers) -> Numbers:
    """The level after 1 / ∛gap has grown by `growth`."""
    slower = np.cbrt(gap) * growth
    slower += 1.0
    cube = slower * slower
    cube *= slower
    risen: Numbers = held - gap / cube
    return risen


@dataclass(frozen=True, slots=True)
class _Meeting:
    """A stretch with a head that stands above the regulator, or beer that holds too much.

    `stands`: CO2 in the head at the regulator's pressure; `head_kg` is never less. `held`: volumes
    under that pressure; `growth`: r t/3.
    """

    keg: KeptIn
    beer: Composition
    stands: float
    level: Numbers
    head_kg: Numbers
    held: Numbers
    factor: Numbers
    growth: Numbers

    def parted(self, layer: tuple[Numbers, float] | None, most_pa: float) -> _Now | None:
        """Each sample's own way: its head falls to the regulator, or no gas enters it at all.

        `layer`: age of the depleted layer, and seconds for each square metre of depth, where the
        beer rests. `None` where the head's CO2 comes above `most_pa`.
        """
        before = self.keg.held(self.keg.pressure_pa(self.head_kg), self.factor) - self.level
        gap = self.held - self.level
        rise = (self.head_kg - self.stands) / (self.keg.beer_m3 * VOLUME_KG_M3)
        comes = np.minimum(gap - rise, before) > 0.0
        if np.all(comes):
            return *self._fallen(before, gap, rise), 0.0
        there = np.broadcast_shapes(np.shape(comes), np.shape(self.growth))
        if not there:
            return None
        safe = (
            np.where(comes, one, other) for one, other in ((before, 2.0), (gap, 1.0), (rise, 0.0))
        )
        level, head_kg = self._fallen(*safe)
        rest = np.flatnonzero(~np.broadcast_to(comes, there))
        found = self._kept_in(layer, there, rest)
        if np.max(self.keg.pressure_pa(found[1])) > most_pa:
            return None
        wholes = (level, self.stands if head_kg is None else head_kg, 0.0)
        placed = [np.array(np.broadcast_to(whole, there)) for whole in wholes]
        for whole, part in zip(placed, found, strict=True):
            whole[rest] = part
        return placed[0], placed[1], placed[2]

    def _fallen(
        self, before: Numbers, gap: Numbers, rise: Numbers
    ) -> tuple[Numbers, Numbers | None]:
        """Level and head once it has fallen, or as far as it comes; see `falling`."""
        gained, left = fall(before, gap, rise, self.growth)
        risen = _risen(self.held, gap - rise, np.maximum(left, 0.0))
        there = left > 0.0
        if np.all(there):
            return risen, None
        above = self.head_kg - gained * (self.keg.beer_m3 * VOLUME_KG_M3)
        return np.where(there, risen, self.level + gained), np.where(there, self.stands, above)

    def _kept_in(
        self,
        layer: tuple[Numbers, float] | None,
        there: tuple[int, ...],
        rest: NDArray[np.intp],
    ) -> tuple[Numbers, Numbers, Numbers]:
        """Level, head and age of those samples that no gas enters."""

        def some(numbers: Numbers) -> NDArray[np.float64]:
            return np.broadcast_to(numbers, there)[rest]

        exact = replace(self.keg, row=exact_row(self.beer, self.keg.kelvin))
        return kept_in(
            exact,
            some(self.level),
            some(self.head_kg),
            some(self.factor),
            some(self.growth),
            None if layer is None else (some(layer[0]), exact.row[5] * layer[1]),
        )
