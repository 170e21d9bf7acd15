"""What learning is made of: unknowns with their priors, readings with their errors, terms of both.

A term says what its readings would show if its unknowns had certain values. Unknowns count in
standard deviations of their priors, so that 0 is what anybody would take and 1 is one off.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Literal, Protocol

from ullage.cellar.learnt import LEARNABLE, ConstantName

Quantity = Literal[
    "level_vol", "gauge_pressure_pa", "temperature_k", "gross_kg", "contents_kg", "pint_s"
]


@dataclass(frozen=True, slots=True)
class Unknown:
    """A number that readings tell of, and what is believed of it before.

    `constant`: `None` for one that only helps, as what a cylinder held when it was put to use.
    `about`: the part that it is of. `spread`: its sd, that of the logarithm where `positive`.
    """

    constant: ConstantName | None
    about: str | None
    centre: float
    spread: float
    positive: bool = False

    def at(self, z: float) -> float:
        """Its value so many standard deviations off."""
        if self.positive:
            return self.centre * math.exp(self.spread * z)
        return self.centre + self.spread * z


@cache
def constant(name: ConstantName, about: str | None = None) -> Unknown:
    """A constant of the household with its prior, of a part where it has one."""
    known = LEARNABLE[name]
    spread = known.log_sd if known.positive else known.prior.sd
    return Unknown(name, about, known.prior.value, spread, known.positive)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read, of what, and the standard deviation of such a reading; SI."""

    at: datetime
    subject: str
    quantity: Quantity
    read: float
    sd: float


Values = Mapping[Unknown, float]


class Term(Protocol):
    """Readings that depend on the same unknowns."""

    @property
    def unknowns(self) -> tuple[Unknown, ...]:
        """What they depend on."""

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What was read."""

    def predicted(self, values: Values) -> Sequence[float]:
        """What they would show, in their order."""


@dataclass(frozen=True, slots=True)
class Linear:
    """One reading that is a number plus multiples of unknowns."""

    reading: Reading
    base: float
    factors: tuple[tuple[Unknown, float], ...]

    @property
    def unknowns(self) -> tuple[Unknown, ...]:
        """What it depends on."""
        return tuple(one for one, _ in self.factors)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The one reading."""
        return (self.reading,)

    def predicted(self, values: Values) -> tuple[float]:
        """What it would show."""
        return (self.base + sum(factor * values[one] for one, factor in self.factors),)
