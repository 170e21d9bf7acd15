"""The shapes of the parts list's answers: frozen, typed, SI (see `plan.answers`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ullage.plan.answers import Caution, Finding

Standing = Literal["mates", "closed", "open"]
"""A joint that mates as it is, one that small parts close, one that nothing known closes."""

PartKind = Literal["equipment", "small part", "seal"]


@dataclass(frozen=True, slots=True)
class JointLine:
    """One joint of the system. `mating`: where each of its joints is made; `how`: by hand."""

    where: str
    what: str
    standing: Standing
    mating: tuple[str, ...]
    parts: tuple[str, ...]
    seals: tuple[str, ...]
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """So many of one part: `needed` in all, `have` of them at hand, `to_buy` the rest."""

    part: str
    title: str
    kind: PartKind
    needed: int
    have: int
    to_buy: int
    places: tuple[str, ...]
    wear: str
    source: str


@dataclass(frozen=True, slots=True)
class TubingLine:
    """Line of one kind. `cuts_m`: the lengths to cut from what is bought, the longest first."""

    part: str
    title: str
    material: str
    bore_m: float
    needed_m: float
    have_m: float
    to_buy_m: float
    cuts_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LineChange:
    """A piece of a tap's line that should have another length, for the pour that is wanted.

    `present_pint_s`: how long a US pint takes now, at `gauge_pressure_pa`.
    """

    tap: str
    piece: int
    present_m: float
    advised_m: float
    present_pint_s: float
    wanted_pint_s: float
    gauge_pressure_pa: float
    sense: Literal["too short", "too long"]


@dataclass(frozen=True, slots=True)
class PartsList:
    """What a system is joined with, what to buy for it, what does not mate, what to check.

    `hand_told`: whether the file says which small parts are at hand; where it does not, all of
    them stand as to be bought.
    """

    system: str
    units: Literal["us", "metric"]
    hand_told: bool
    joints: tuple[JointLine, ...]
    parts: tuple[PartLine, ...]
    tubing: tuple[TubingLine, ...]
    lines: tuple[LineChange, ...]
    mismatches: tuple[Finding, ...]
    checks: tuple[Finding, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def to_buy(self) -> tuple[PartLine, ...]:
        """The parts of which some must be bought."""
        return tuple(one for one in self.parts if one.to_buy > 0)

    @property
    def tubing_to_buy(self) -> tuple[TubingLine, ...]:
        """The lines of which some must be bought."""
        return tuple(one for one in self.tubing if one.to_buy_m > 0.0)

    @property
    def open_joints(self) -> tuple[JointLine, ...]:
        """The joints that nothing known closes."""
        return tuple(one for one in self.joints if one.standing == "open")
