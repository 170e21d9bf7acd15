"""What is asked of a fit and what is answered. Lengths in m, angles in radians."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ullage.plan.answers import Caution
from ullage.plan.packing_bounds import Rule
from ullage.system.inside import Inside, Wall

Verdict = Literal["fits", "does not fit", "not found"]
BETWEEN_M = 0.00635
"""A quarter of an inch: rims and rubber differ that much, and kegs have to go in and out."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing that is to stand inside: its name, and its kind or size in the catalogue."""

    name: str
    kind: str


@dataclass(frozen=True, slots=True)
class FitQuestion:
    """What is to stand inside of what. `outside`: the cylinder stands beside, its line goes in.

    `between_m`: the least distance between things, and from things to walls.
    """

    place: str
    inside: Inside
    kegs: tuple[Wanted, ...]
    cylinders: tuple[Wanted, ...] = ()
    outside: bool = True
    between_m: float = BETWEEN_M


@dataclass(frozen=True, slots=True)
class Head:
    """A regulator on its cylinder: where its middle is, its radius, from and to which height."""

    x_m: float
    y_m: float
    radius_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True, slots=True)
class Standing:
    """One thing and where it stands: its middle from the front left corner, the foot's height.

    `height_m` is its own; `top_m`: up to which height it needs room above the floor, with what is
    on top of it and the hand that puts it there.
    """

    name: str
    kind: str
    title: str
    sort: Literal["keg", "cylinder"]
    x_m: float
    y_m: float
    foot_m: float
    diameter_m: float
    height_m: float
    top_m: float
    head: Head | None = None


@dataclass(frozen=True, slots=True)
class StepOutline:
    """The compressor's step seen from above, from the front left corner, and its height."""

    left_m: float
    front_m: float
    right_m: float
    back_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Room:
    """The inside as it counts: `front_m` is where the shut door reaches to, `height_m` is clear."""

    width_m: float
    depth_m: float
    front_m: float
    height_m: float
    opens: Literal["front", "top"]
    rim_m: float
    step: StepOutline | None


@dataclass(frozen=True, slots=True)
class Proof:
    """Why it cannot fit: the rule, the things it is about, what they need, what there is.

    Lengths in m for `height`, `width` and `pair`, m² for `area`, numbers of things for `count`.
    """

    rule: Rule
    things: tuple[str, ...]
    needed: float
    there: float


@dataclass(frozen=True, slots=True)
class Most:
    """How many of a kind stand: `count` found, and whether one more is proved impossible.

    `outside`: with the cylinder outside, or without one. `standing`: how they stand.
    """

    kind: str
    title: str
    count: int
    proved: bool
    outside: bool
    standing: tuple[Standing, ...]
    spare_m: float


@dataclass(frozen=True, slots=True)
class GasLine:
    """Where the gas line comes in. `hole`: the wall of a hole that is there and wide enough."""

    needed: bool
    hole: Wall | None
    advice: str


@dataclass(frozen=True, slots=True)
class FitAnswer:
    """Whether it fits and how it stands.

    `wanted`: the names of all that was to stand inside, `kegs` of them kegs, the cylinders last.
    `spare_m`: how much further apart all could stand than `between_m`.
    """

    place: str
    verdict: Verdict
    wanted: tuple[str, ...]
    kegs: int
    room: Room
    standing: tuple[Standing, ...]
    between_m: float
    spare_m: float
    proof: Proof | None
    most: tuple[Most, ...]
    gas_line: GasLine
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
