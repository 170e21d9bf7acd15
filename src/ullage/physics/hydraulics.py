"""The way of the beer from the keg to the glass: pressure lost, flow, line length.

The way is a path: a sequence of `Segment`, from the foot of the dip tube to the mouth of the
faucet. In front of it stands still beer at the driving pressure, behind it the room.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ullage.errors import OutOfRange
from ullage.physics.constants import GRAVITY, PLASTIC_TUBE_ROUGHNESS
from ullage.physics.friction import (
    HIGHEST_RELATIVE_ROUGHNESS,
    change_drop,
    friction_factor,
    reynolds,
    velocity_head,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within

_NO_BORE = math.inf
"""The bore of the keg before the path and of the room behind it."""
MOST_STEPS = 100
MANY = 32
CLOSE = 1e-9
SLOPES = (1.0, 3.0)


@dataclass(frozen=True, slots=True)
class Segment:
    """One piece of the way: dip tube, disconnect, a run of line, shank, faucet.

    length_m, bore_m, roughness_m: metres. rise_m: how far its end lies above its beginning,
    negative downwards. loss_coefficient: K of what is in it beyond the straight tube, on its own
    velocity head ρ v²/2; a fitting may be all K and no length. temperature_k: of the beer in it.

    `OutOfRange` for a bore or roughness that is no tube, a negative length or K.

    >>> Segment(length_m=3.0, bore_m=4.76e-3, rise_m=0.6, name="line").loss_coefficient
    0.0
    """

    length_m: float
    bore_m: float
    rise_m: float = 0.0
    roughness_m: float = PLASTIC_TUBE_ROUGHNESS.value
    loss_coefficient: float = 0.0
    temperature_k: float = 276.483
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no tube."""
        of = f"of segment {self.name!r}"
        positive(f"bore {of}", self.bore_m, "m")
        not_negative(f"length {of}", self.length_m, "m")
        not_negative(f"loss coefficient {of}", self.loss_coefficient, "")
        within(f"rise {of}", self.rise_m, -1000.0, 1000.0, "m")
        roughest = HIGHEST_RELATIVE_ROUGHNESS * self.bore_m
        within(f"roughness {of}", self.roughness_m, 0.0, roughest, "m")


Path: TypeAlias = Sequence[Segment]
_Array: TypeAlias = NDArray[np.float64]
Viscosity: TypeAlias = Numbers | Sequence[Numbers]
"""One dynamic viscosity for the whole path, or a list or tuple with one for each segment, Pa·s."""


def segment_drop(
    flow_m3_s: Numbers,
    segment: Segment,
    density: Numbers,
    viscosity: Numbers,
    loss_scale: Numbers = 1.0,
) -> Numbers:
    """Give the total pressure lost to friction and K inside one segment, in Pa, without lift.

    Δp = (f L / d + s K) ρ v² / 2 (Darcy and Weisbach), with s the loss scale.

    flow_m3_s: m3/s; density: kg/m3; viscosity: Pa·s; loss_scale: factor on K, for a band. Numbers
    or arrays that broadcast together.

    >>> tube = Segment(length_m=1.0, bore_m=4e-3)
    >>> round(128 * 1e-3 * 1e-6 / (math.pi * 4e-3**4), 6)  # Poiseuille, water at 1 mL/s
    159.154943
    >>> round(float(segment_drop(1e-6, tube, 1000.0, 1e-3)), 6)
    159.154943
    """
    number = reynolds(flow_m3_s, segment.bore_m, density, viscosity)
    factor = friction_factor(number, segment.roughness_m / segment.bore_m)
    coefficient = factor * (segment.length_m / segment.bore_m)
    coefficient = coefficient + loss_scale * segment.loss_coefficient
    return coefficient * velocity_head(flow_m3_s, segment.bore_m, density)


def static_lift(path: Path, density: Numbers) -> Numbers:
    """Give the pressure that stands between the ends of the path at rest, ρ g Σ rise, in Pa.

    density: kg/m3, a number or an array; the answer has its shape. Negative when the path falls.
    """
    return density * (GRAVITY.value * sum(segment.rise_m for segment in path))


def viscosities(path: Path, viscosity: Viscosity) -> tuple[Numbers, ...]:
    """Give one viscosity for each segment, Pa·s, whether one or one for each was given.

    `OutOfRange` when there are not as many as segments, or one is not positive.
    """
    each = tuple(viscosity) if isinstance(viscosity, Sequence) else (viscosity,) * len(path)
    if not path or len(each) != len(path):
        raise OutOfRange(f"{len(each)} viscosities for {len(path)} segments: give one for each")
    for mu in each:
        positive("viscosity", mu, "Pa·s")
    return each


def _losses(
    flow_m3_s: Numbers,
    path: Path,
    density: Numbers,
    viscosity: Sequence[Numbers],
    loss_scale: Numbers,
) -> Numbers:
    total = _changes(path, density) * flow_m3_s**2
    for segment, mu in zip(path, viscosity, strict=True):
        total = total + segment_drop(flow_m3_s, segment, density, mu, loss_scale)
    return total


def _changes(path: Path, density: Numbers) -> Numbers:
    """Loss of all changes of bore over the flow squared, Pa·s²/m6: each goes with the square."""
    bores = [_NO_BORE, *(segment.bore_m for segment in path), _NO_BORE]
    total: Numbers = 0.0
    for before, after in pairwise(bores):
        total = total + change_drop(1.0, before, after, density)
    return total


def _joined(path: Path, viscosity: Sequence[Numbers]) -> tuple[list[Segment], list[Numbers]]:
    """Segments of one bore, roughness and viscosity as one: their friction is looked up once."""
    found: dict[tuple[float, float, float], tuple[Segment, Numbers]] = {}
    for segment, mu in zip(path, viscosity, strict=True):
        which = id(mu) if np.ndim(mu) else float(mu)
        key = (segment.bore_m, segment.roughness_m, which)
        before = found.get(key)
        found[key] = (segment if before is None else _both(before[0], segment), mu)
    return [one for one, _ in found.values()], [mu for _, mu in found.values()]


def _both(one: Segment, other: Segment) -> Segment:
    return replace(
        one,
        length_m=one.length_m + other.length_m,
        loss_coefficient=one.loss_coefficient + other.loss_coefficient,
    )


def pressure_drop(
    flow_m3_s: Numbers,
    path: Path,
    density: Numbers,
    viscosity: Viscosity,
    loss_scale: Numbers = 1.0,
) -> Numbers:
    """Give the driving pressure that a flow needs, in Pa: static lift and all losses.

    Δp = ρ g Σ rise + Σ (f L / d + s K) ρ v² / 2 + the changes of bore, the sharp inlet from the
    keg (K = 0.5) and the outlet into the room (K = 1) among them.

    flow_m3_s: m3/s, 0 or more; density: kg/m3; viscosity: Pa·s, one or one for each segment;
    loss_scale: s, factor on the K of the segments, for a band. Numbers or arrays that broadcast
    together; the answer has their common shape.
    Range: one liquid without bubbles, steady flow; `OutOfRange` for a negative flow.
    Source: J. Weisbach (1845), H. Darcy (1857).

    >>> line = Segment(length_m=3.0, bore_m=4.7625e-3, rise_m=0.5)
    >>> round(float(pressure_drop(0.0, [line], 1010.0, 2.4e-3)))  # at rest: 1010 · 9.80665 · 0.5
    4952
    """
    not_negative("flow", flow_m3_s, "m3/s")
    each = viscosities(path, viscosity)
    return static_lift(path, density) + _losses(flow_m3_s, path, density, each, loss_scale)


def flow_rate(
    driving_pa: Numbers,
    path: Path,
    density: Numbers,
    viscosity: Viscosity,
    loss_scale: Numbers = 1.0,
) -> Numbers:
    """Give the flow that a driving pressure pours, in m3/s: `pressure_drop` turned round.

    driving_pa: gauge pressure at the foot of the dip tube, Pa: the head's gauge pressure and
    ρ g times the level of the beer above the foot. The rest as in `pressure_drop`; numbers or
    arrays that broadcast together. 0 where the pressure does not lift the beer.

    In the logarithms of flow and loss the losses are nearly a straight line, whose slope lies
    between 1 (laminar) and 3 (where the flow turns turbulent); a secant held to these slopes goes
    down it from the flow that would lose all at the outlet alone (many elements: from the flow of
    their means), for all elements at once.
    Range: as `pressure_drop`; `OutOfRange` where an input is not a number.

    >>> line = Segment(length_m=3.0, bore_m=4.7625e-3, rise_m=0.5)
    >>> round(1e6 * float(flow_rate(69e3, [line], 1010.0, 2.4e-3)), 1)  # mL/s
    39.2
    """
    each = viscosities(path, viscosity)
    positive("density", density, "kg/m3")
    not_negative("loss scale", loss_scale, "")
    within("driving pressure", driving_pa, -1e9, 1e9, "Pa")
    excess = np.maximum(driving_pa - static_lift(path, density), 0.0)
    flows = np.asarray(excess) > 0.0
    want = np.where(flows, excess, 1.0)
    start = 0.25 * math.pi * path[-1].bore_m ** 2 * np.sqrt(2.0 * want / density)
    known = (driving_pa, density, loss_scale, *each)
    if max(np.size(one) for one in known) > MANY:
        driving, rho, scale, *mu = (float(np.mean(one)) for one in known)
        middle = float(flow_rate(driving, path, rho, mu, scale))
        start = np.full_like(start, middle) if middle > 0.0 else start

    changes = _changes(path, density)
    segments, viscous = _joined(path, each)

    def too_much(log_flow: _Array) -> _Array:
        flow = np.exp(log_flow)
        lost = changes * flow**2
        for segment, mu in zip(segments, viscous, strict=True):
            lost = lost + segment_drop(flow, segment, density, mu, loss_scale)
        return np.asarray(np.log(lost / want), dtype=np.float64)

    answer: Numbers = np.where(flows, np.exp(_secant(too_much, np.log(start))), 0.0)
    return answer


def _secant(wrong: Callable[[_Array], _Array], start: _Array) -> _Array:
    """Give where a rising function with slopes from 1 to 3 is 0, for each element.

    A secant's error is about the product of its last two steps, so after a step below `CLOSE`
    only rounding is left.
    """
    here, error, slope = start, wrong(start), np.full_like(start, 2.0)
    for _ in range(MOST_STEPS):
        step = -error / slope
        here = here + step
        if np.max(np.abs(step)) < CLOSE:
            return here
        before, error = error, wrong(here)
        moved = np.where(np.abs(step) < CLOSE, 1.0, step)
        found = np.where(np.abs(step) < CLOSE, slope, (error - before) / moved)
        slope = np.clip(found, *SLOPES)
    raise OutOfRange("no flow was found that loses just the driving pressure; check the path")


def length_for_flow(
    flow_m3_s: Numbers,
    driving_pa: Numbers,
    path: Path,
    index: int,
    density: Numbers,
    viscosity: Viscosity,
    loss_scale: Numbers = 1.0,
) -> Numbers:
    """Give the length of segment `index` with which the driving pressure pours the flow, in m.

    What is left of the pressure after the lift and every other loss, over the friction of one
    metre of that segment. Its rise stays as it is: the line is coiled, not stretched.

    flow_m3_s: m3/s, more than 0; the rest as in `flow_rate`; numbers or arrays that broadcast.
    `OutOfRange` when even no length at all loses too much, or the pressure does not lift the beer.
    In an array this must hold for every element; single elements without an answer give 0.
    """
    positive("flow", flow_m3_s, "m3/s")
    mu = viscosities(path, viscosity)[index]
    kept = [replace(piece, length_m=0.0) if n == index else piece for n, piece in enumerate(path)]
    need = pressure_drop(flow_m3_s, kept, density, viscosity, loss_scale)
    metre = replace(path[index], length_m=1.0, loss_coefficient=0.0)
    answer = (driving_pa - need) / segment_drop(flow_m3_s, metre, density, mu)
    if np.all(answer < 0.0):
        raise OutOfRange(
            f"a flow of {1e6 * np.mean(flow_m3_s):.1f} mL/s needs {np.mean(need) / 1e3:.1f} kPa"
            f" with no {path[index].name or 'line'} at all, and the driving pressure is"
            f" {np.mean(driving_pa) / 1e3:.1f} kPa: raise it or pour more slowly"
        )
    longest: Numbers = np.maximum(answer, 0.0)
    return longest
