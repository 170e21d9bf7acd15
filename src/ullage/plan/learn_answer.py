"""What a log taught of a household's constants: the shapes of the answer. All in SI units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ullage.cellar.learn_terms import Quantity
from ullage.cellar.learnt import ConstantName
from ullage.plan.answers import Band, Caution
from ullage.units import UnitSystem


@dataclass(frozen=True, slots=True)
class ConstantLearnt:
    """One constant before and after the readings, each with its 80 % band, in `unit`.

    `name` is what it is kept by; `about`: the part that it is of. `narrower`: by what share its
    spread shrank. `readings`: how many touch it. `kept`: the band that answers go by now, if it was
    kept. `bore_m`: of a line, the bore that would resist as it does.
    """

    name: str
    constant: ConstantName
    about: str | None
    unit: str
    before: Band
    after: Band
    narrower: float
    readings: int
    kept: Band | None
    bore_m: float | None = None


@dataclass(frozen=True, slots=True)
class Lesson:
    """One reading, in the unit that `quantity` ends with.

    `expected`: what it should have shown by all the others and itself; `off`: how far it lies from
    that, in standard deviations of such a reading. `weight`: 1 for one that is where it should be.
    `share`: of all that the readings tell. `teaches`: the constant it narrows most, `None` for one
    that tells of none.
    """

    at: datetime
    subject: str
    quantity: Quantity
    read: float
    expected: float
    off: float
    weight: float
    share: float
    teaches: str | None
    looks_wrong: bool


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading yet to be taken: of what, how, and what it would teach.

    `narrows`: the constant; `narrower`: by what share its band would shrink on average. `gain`: by
    how much its variance, as a share of what anybody's is.
    """

    subject: str
    quantity: Quantity
    narrows: str
    narrower: float
    gain: float
    how: str
    caution: str


@dataclass(frozen=True, slots=True)
class Learning:
    """What a log taught: nothing of it counts until it is kept."""

    at: datetime
    units: UnitSystem
    constants: tuple[ConstantLearnt, ...]
    lessons: tuple[Lesson, ...]
    next_readings: tuple[NextReading, ...]
    left_out: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def wrong(self) -> tuple[Lesson, ...]:
        """Readings that look wrong."""
        return tuple(one for one in self.lessons if one.looks_wrong)

    @property
    def taught(self) -> tuple[ConstantLearnt, ...]:
        """Constants that the readings say something of, the most narrowed first."""
        return tuple(one for one in self.constants if one.narrower >= TAUGHT)


TAUGHT = 0.05
"""A constant whose spread shrank by less than this share was not taught anything."""
