"""The one keg of plain numbers that only absorbs from its regulator: quick without NumPy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import cbrt, exp, sqrt
from typing import TypeAlias

from ullage.cellar.absorbing import (
    DRIFT_VOL,
    KG_K_J,
    SETTLED_K,
    VOLUME_KG_M3,
    Absorbing,
    Piece,
)
from ullage.cellar.falling import fall_one
from ullage.cellar.stretch import SLACK_PA
from ullage.physics.beer_table import LOWEST_K, STEP_K, Row
from ullage.physics.numbers import Numbers

_Now: TypeAlias = "tuple[float, float | None]"
"""The level, and the CO2 in a head that stands above the regulator, `None` where none does."""


@dataclass(slots=True)
class OneAbsorbing(Absorbing):
    """`Absorbing` with a single number for all."""

    factor: float
    speed: float
    level: float
    head_kg: float | None = None
    pace: float = 0.0

    def pass_time(self, until: datetime) -> bool:
        """Bring it to a moment; `False`, and nothing changed, where it does more than absorb."""
        seconds = (until - self.at).total_seconds()
        if seconds <= 0.0:
            return True
        kelvin, level, head_kg = self.place_k, self.level, self.head_kg
        away = self.kelvin - kelvin
        if away > SETTLED_K:
            pieces, kelvin = self.pieces(seconds, away)
            found = (self._open if head_kg is None else self._chilled)(level, pieces)
        elif away < -SETTLED_K:
            pieces, kelvin = self.pieces(seconds, away)
            found = self._warmed(pieces)
        elif head_kg is not None:
            found = self._fallen(level, head_kg, seconds, self.cold, kelvin)
        else:  # settled, its head at the regulator: most of a log, hence written out here
            inverse, virial, per_ratio, vapour, rate, _ = self.cold
            partial = self.pressure_pa - self.air_pa_k * kelvin - vapour
            ratio = partial * exp(virial * partial) * inverse
            held = self.factor * per_ratio * ratio / (1.0 - ratio)
            gap = held - level
            if gap > 0.0:
                slower = 1.0 + rate * seconds * self.pace * cbrt(gap)
                self.level = held - gap / (slower * slower * slower)
            elif gap <= -DRIFT_VOL:
                return False
            self.kelvin, self.at, self.age = kelvin, until, 0.0
            return True
        if found is None:
            return False
        self.kelvin, self.at, self.age = kelvin, until, 0.0
        self.level, above_kg = found
        if above_kg is not head_kg:
            self.stand(above_kg)
        return True

    def _chilled(self, level: float, pieces: Sequence[Piece]) -> _Now | None:
        """Stretch after stretch, each at its mean temperature, from a head above the regulator."""
        head_kg, done = self.head_kg, 0
        while head_kg is not None and done < len(pieces):
            seconds, mean = pieces[done]
            found = self._fallen(level, head_kg, seconds, self.table.at(mean), mean)
            if found is None:
                return None
            level, head_kg = found
            done += 1
        return (level, head_kg) if done == len(pieces) else self._open(level, pieces[done:])

    def _warmed(self, pieces: Sequence[Piece]) -> _Now | None:
        """The same of a keg that warms: the gas in its head comes to stand above the regulator."""
        level, head_kg = self.level, self.head_kg
        if head_kg is None:
            head_kg = self.mass(self.row(), self.kelvin, self.pressure_pa)
        for seconds, mean in pieces:
            row = self.table.at(mean)
            found = self._fallen(level, head_kg, seconds, row, mean)
            if found is None:
                return None
            level, above_kg = found
            head_kg = self.mass(row, mean, self.pressure_pa) if above_kg is None else above_kg
        return level, head_kg

    def _open(self, level: float, pieces: Sequence[Piece]) -> _Now | None:
        """The level after each piece, its head at the regulator; the table is written out here."""
        rows, rises = self.table.rows, self.table.rises
        pressure_pa, air_pa_k, factor, pace = (
            self.pressure_pa,
            self.air_pa_k,
            self.factor,
            self.pace,
        )
        for seconds, mean in pieces:
            place = (mean - LOWEST_K) / STEP_K
            index = int(place)
            w = place - index
            a, b, c, d, e, _ = rows[index]
            u, v, x, y, z, _ = rises[index]
            partial = pressure_pa - air_pa_k * mean - (d + y * w)
            ratio = partial * exp((b + v * w) * partial) * (a + u * w)
            held = factor * (c + x * w) * ratio / (1.0 - ratio)
            gap = held - level
            if gap > 0.0:
                slower = 1.0 + (e + z * w) * seconds * pace * cbrt(gap)
                level = held - gap / (slower * slower * slower)
            elif gap <= -DRIFT_VOL:
                return None
        return level, None

    def _fallen(
        self, level: float, head_kg: float, seconds: float, row: Row, kelvin: float
    ) -> _Now | None:
        """A head above the regulator falls to it, and what is left of the time is open."""
        inverse, virial, per_ratio, vapour, rate, _ = row
        dry = self.pressure_pa - self.air_pa_k * kelvin - vapour
        if dry <= 0.0:
            return None
        ratio = dry * exp(virial * dry) * inverse
        solves = self.factor * per_ratio
        gap = solves * ratio / (1.0 - ratio) - level
        # gas in the head for each pascal of its ideal pressure
        ideal = (self.shape.capacity_m3 - self.beer_m3) * KG_K_J / kelvin
        stands = dry * ideal / (0.5 + 0.5 * sqrt(1.0 + 4.0 * virial * dry))
        own = head_kg / ideal
        own *= 1.0 + virial * own
        ratio = own * exp(virial * own) * inverse
        before = solves * ratio / (1.0 - ratio) - level
        per_vol = self.beer_m3 * VOLUME_KG_M3
        rise = (head_kg - stands) / per_vol if head_kg > stands else 0.0
        found = fall_one(before, gap, rise, rate * seconds * self.pace)
        if found is None:
            return None
        gained, left = found
        if left <= 0.0:
            return level + gained, head_kg - gained * per_vol
        gap -= gained
        slower = 1.0 + left * cbrt(gap)
        return level + gained + gap - gap / (slower * slower * slower), None

    def stand(self, head_kg: Numbers | None) -> None:
        """Have that much in the head, or what the regulator gives where it is not more."""
        if head_kg is not None:
            stands = self.mass(self.row(), self.kelvin, self.pressure_pa + SLACK_PA)
            if head_kg <= stands:
                head_kg = None
        self.head_kg = head_kg  # type: ignore[assignment]
