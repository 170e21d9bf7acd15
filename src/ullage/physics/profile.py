"""The pressure along the way from keg to glass, and where the beer breaks out into foam."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ullage.errors import OutOfRange
from ullage.physics.constants import GRAVITY
from ullage.physics.friction import change_drop, velocity_head
from ullage.physics.hydraulics import Path, Segment, Viscosity, segment_drop, viscosities
from ullage.physics.ranges import positive, within

_Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """Points along a path, in the sense of the flow; all arrays have the same length.

    distance_m: from the foot of the dip tube. seconds: since the beer there. gauge_pouring_pa:
    static pressure over the room's while it pours. gauge_shut_pa: the same with the faucet shut.
    temperature_k: of the beer. segment: index into the path and into `names`. Every segment has a
    point at its beginning and its end, so one place may stand twice, before and after a change.
    """

    distance_m: _Array
    seconds: _Array
    gauge_pouring_pa: _Array
    gauge_shut_pa: _Array
    temperature_k: _Array
    segment: NDArray[np.intp]
    names: tuple[str, ...]


def pressure_profile(
    flow_m3_s: float,
    driving_pa: float,
    path: Path,
    density: float,
    viscosity: Viscosity,
    *,
    loss_scale: float = 1.0,
    points_per_segment: int = 2,
) -> Profile:
    """Give the static pressure along the path, pouring and shut.

    Pouring: p = driving − ρ g h − losses so far − ρ v² / 2. Shut: p = driving − ρ g h.
    The loss of a bore change falls at the change; friction, K and rise of a segment are spread
    evenly over it, and a segment without length makes a step. With the flow that `flow_rate` gives
    for this driving pressure, the last point while pouring is the room's pressure, 0.

    flow_m3_s: m3/s, more than 0; driving_pa: gauge pressure at the foot of the dip tube, Pa;
    density: kg/m3; viscosity: Pa·s, one or one for each segment; loss_scale: factor on the K of
    the segments; points_per_segment: 2 or more. Numbers only, no arrays of samples.
    Range: as `hydraulics.pressure_drop`; behind a sharp edge the jet is narrower and its pressure
    for some bores' length lower than said here. `OutOfRange` for inputs that cannot be.
    Source: D. Bernoulli (1738), with the losses of `hydraulics`.

    >>> line = Segment(length_m=3.0, bore_m=4.7625e-3, rise_m=0.5, name="line")
    >>> profile = pressure_profile(30e-6, 69e3, [line], 1010.0, 2.4e-3)
    >>> [round(float(pascal)) for pascal in profile.gauge_shut_pa]
    [69000, 64048]
    """
    positive("flow", flow_m3_s, "m3/s")
    positive("density", density, "kg/m3")
    within("driving pressure", driving_pa, -1e9, 1e9, "Pa")
    if points_per_segment < 2:
        raise OutOfRange(f"{points_per_segment} points per segment: must be 2 or more")
    mus = viscosities(path, viscosity)
    before = [math.inf, *(piece.bore_m for piece in path[:-1])]
    step = [
        float(change_drop(flow_m3_s, bore, piece.bore_m, density))
        for bore, piece in zip(before, path, strict=True)
    ]
    inside = [
        float(segment_drop(flow_m3_s, piece, density, mu, loss_scale))
        for piece, mu in zip(path, mus, strict=True)
    ]
    head = [float(velocity_head(flow_m3_s, piece.bore_m, density)) for piece in path]
    lost_at_end = np.cumsum(np.add(step, inside))
    lost = _spread(lost_at_end - inside, lost_at_end, points_per_segment)
    height = _along([piece.rise_m for piece in path], points_per_segment)
    shut = driving_pa - density * GRAVITY.value * height
    return Profile(
        distance_m=_along([piece.length_m for piece in path], points_per_segment),
        seconds=_along([_seconds(piece, flow_m3_s) for piece in path], points_per_segment),
        gauge_pouring_pa=shut - lost - np.repeat(head, points_per_segment),
        gauge_shut_pa=shut,
        temperature_k=np.repeat([piece.temperature_k for piece in path], points_per_segment),
        segment=np.repeat(np.arange(len(path)), points_per_segment),
        names=tuple(piece.name for piece in path),
    )


def margin(static_pa: _Array, saturation_pa: _Array) -> _Array:
    """Give how far the pressure lies above that at which the beer holds its gas, in Pa.

    static_pa, saturation_pa: both gauge or both absolute, arrays of one shape. Negative where the
    beer is over-saturated and gas can break out.
    """
    return static_pa - saturation_pa


def breakout_distance(distance_m: _Array, static_pa: _Array, saturation_pa: _Array) -> float | None:
    """Give the place where the pressure first falls below saturation, in m, or None if it does not.

    distance_m: along the path, never falling; static_pa, saturation_pa: as in `margin`; arrays of
    one length. Linear between points. The first place of all if it lies below saturation at once.

    >>> breakout_distance(np.array([0.0, 2.0]), np.array([90e3, 50e3]), np.array([80e3, 80e3]))
    0.5
    """
    above = margin(static_pa, saturation_pa)
    below = np.flatnonzero(above < 0.0)
    if not below.size:
        return None
    second = int(below[0])
    if second == 0:
        return float(distance_m[0])
    share = above[second - 1] / (above[second - 1] - above[second])
    return float(distance_m[second - 1] + share * (distance_m[second] - distance_m[second - 1]))


def seconds_below(seconds: _Array, static_pa: _Array, saturation_pa: _Array) -> float:
    """Give how long the beer on its way is below saturation, in s, all such stretches together.

    seconds: since the foot of the dip tube, as in `Profile`; static_pa, saturation_pa: as in
    `margin`; arrays of one length. Linear between points. Bubbles take time to grow, so this says
    more about foam than the place of the crossing does.

    >>> seconds_below(np.array([0.0, 4.0]), np.array([90e3, 50e3]), np.array([80e3, 80e3]))
    3.0
    """
    above = margin(static_pa, saturation_pa)
    first, second = above[:-1], above[1:]
    deepest, highest = np.minimum(first, second), np.maximum(first, second)
    crossing = (deepest < 0.0) & (highest > 0.0)
    share = np.where(deepest < 0.0, 1.0, 0.0)
    share[crossing] = deepest[crossing] / (deepest[crossing] - highest[crossing])
    return float(np.sum(share * np.diff(seconds)))


def _seconds(segment: Segment, flow_m3_s: float) -> float:
    return segment.length_m * 0.25 * math.pi * segment.bore_m**2 / flow_m3_s


def _along(parts: list[float], points: int) -> _Array:
    ends = np.cumsum(parts)
    return _spread(np.concatenate([[0.0], ends[:-1]]), ends, points)


def _spread(begins: _Array, ends: _Array, points: int) -> _Array:
    return np.ravel(np.linspace(begins, ends, points, axis=1))
