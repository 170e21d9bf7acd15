"""What the scale says of a cylinder, since it was filled: what kegs drew, and what went besides.

shown = held at the start − (1 + handling) · drawn by kegs − leak · time + scale's offset
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from ullage.cellar.cylinder_changes import tells_contents, told_anew
from ullage.cellar.happening import OfCylinder
from ullage.cellar.learn_terms import Reading, Unknown, Values, constant
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped, CylinderWeighed
from ullage.cellar.state import Assumed, CylinderState
from ullage.errors import UnknownName
from ullage.physics.constants import CYLINDER_WEIGHT_READ, RATED_FILL
from ullage.system.cylinder import full_kg

TOLD_SPREAD_KG = 0.5
"""What a cylinder held that was weighed when it was put to use is left to that weighing."""
READ_SHARE = 0.03
"""Standard deviation, as a share, of the gas that a gauge tells of once the liquid is gone."""


@dataclass(frozen=True, slots=True)
class Weighing:
    """A cylinder weighed, or its gauge read once its liquid is gone.

    `held_kg` as read; `drawn_kg`: by kegs since it was filled.
    """

    at: datetime
    held_kg: float
    drawn_kg: float
    by_scale: bool

    @property
    def sd(self) -> float:
        """Standard deviation of what was read."""
        return CYLINDER_WEIGHT_READ.value if self.by_scale else READ_SHARE * self.held_kg


@dataclass(frozen=True)
class CylinderFill:
    """A cylinder from one filling to the next, which holds `rated_kg` when full.

    `told_kg`: as weighed then, `None`: taken as full. `drawn_kg`: by kegs, up to the
    end of what is told of it.
    """

    cylinder: str
    filled_at: datetime
    rated_kg: float
    told_kg: float | None
    weighings: tuple[Weighing, ...]
    drawn_kg: float = 0.0

    @cached_property
    def start(self) -> Unknown:
        """What it held at the start."""
        name = f"{self.cylinder} {self.filled_at.isoformat()}"
        if self.told_kg is None:
            return Unknown(None, name, self.rated_kg, RATED_FILL.value * self.rated_kg)
        return Unknown(None, name, self.told_kg, TOLD_SPREAD_KG)

    @cached_property
    def unknowns(self) -> tuple[Unknown, ...]:
        """What its weighings depend on."""
        return (
            constant("handling"),
            constant("leak", self.cylinder),
            constant("scale", self.cylinder),
            self.start,
        )

    @cached_property
    def _all(self) -> tuple[Weighing, ...]:
        told = self.told_kg
        first = () if told is None else (Weighing(self.filled_at, told, 0.0, True),)
        return (*first, *self.weighings)

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """What was read, its filling's weight first where it was weighed then."""
        name = f"cylinder:{self.cylinder}"
        return tuple(Reading(one.at, name, "contents_kg", one.held_kg, one.sd) for one in self._all)

    def predicted(self, values: Values) -> list[float]:
        """What each would show."""
        return list(self._predicted(values, self._all))

    def _predicted(self, values: Values, weighings: Sequence[Weighing]) -> Iterator[float]:
        lost, leak = values[constant("handling")], values[constant("leak", self.cylinder)]
        offset = values[constant("scale", self.cylinder)]
        for one in weighings:
            seconds = (one.at - self.filled_at).total_seconds()
            held = values[self.start] - (1.0 + lost) * one.drawn_kg - leak * seconds
            yield held + (offset if one.by_scale else 0.0)


@dataclass(slots=True)
class Tapped:
    """A cylinder's filling that is being read."""

    cylinder: str
    filled_at: datetime
    rated_kg: float
    told_kg: float | None
    drawn_kg: float = 0.0
    weighings: list[Weighing] = field(default_factory=list)

    @classmethod
    def of(cls, event: OfCylinder, there: CylinderState | None) -> Tapped | None:
        """One that an event begins: a cylinder put to use, exchanged or refilled."""
        if isinstance(event, CylinderConnected):
            size, share = event.size, event.co2_share
        elif isinstance(event, CylinderSwapped) and there is not None:
            size, share = there.size, event.co2_share or there.co2_share
        else:
            return None
        try:
            rated = full_kg(size, share)
        except UnknownName:
            return None
        return cls(event.cylinder, event.at, rated, event.contents_kg)

    def told(self, event: OfCylinder, there: CylinderState, assumed: Assumed) -> Tapped:
        """The filling after an event, `there` the cylinder as replayed: this one, or a new one."""
        anew = Tapped.of(event, there)
        if anew is not None:
            return anew
        if tells_contents(event, there, assumed):
            known = told_anew(event, there, assumed).cylinder
            assert known is not None
            self.drawn_kg += float(there.drawn_kg)
            by_scale = isinstance(event, CylinderWeighed)
            self.weighings.append(Weighing(event.at, known.known_kg, self.drawn_kg, by_scale))
        return self

    def filling(self, now: CylinderState | None) -> CylinderFill:
        """The filling with what was weighed; `drawn_kg` of it counts up to now."""
        since = 0.0 if now is None else float(now.drawn_kg)
        return CylinderFill(
            self.cylinder,
            self.filled_at,
            self.rated_kg,
            self.told_kg,
            tuple(self.weighings),
            self.drawn_kg + since,
        )

    def ended(self) -> Iterator[CylinderFill]:
        """Tell what its weighings come to, where there are any."""
        if self.weighings:
            yield self.filling(None)
