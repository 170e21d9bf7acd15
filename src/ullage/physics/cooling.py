"""What a fridge can do: chilling limited by its power, its duty, how it swings about a set point.

Warm things in a fridge are chilled by its air (`thermal`), but not faster than the machine can
carry the heat out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within
from ullage.physics.thermal import time_to_reach

_LOWEST_K, _HIGHEST_K = 200.0, 400.0


def pull_down_time(
    start_k: float,
    air_k: float,
    target_k: float,
    heat_j_k: Numbers,
    conductance_w_k: Numbers,
    power_w: float = math.inf,
) -> Numbers:
    """Give the time in which warm things are chilled to a target, in s.

    While the machine is the limit it carries out all it can, and the things cool evenly:
    t₁ = C (T₀ − Tₓ) / P down to Tₓ = Ta + P / G, where still air at Ta takes no more than that.
    From there on Newton's law holds: t₂ = (C / G) ln((Tₓ − Ta) / (T − Ta)).

    start_k, air_k, target_k: kelvin, the air as the controller keeps it; heat_j_k: heat capacity C
    of all things together, J/K; conductance_w_k: G = h A of all of them, W/K; power_w: heat that
    the machine carries out beyond what leaks in, W. C and G may be arrays that broadcast. Infinite
    where the target does not lie between start and air. `OutOfRange` for what is not positive, or
    outside 200 to 400 K.

    >>> round(float(pull_down_time(293.0, 276.0, 278.0, 80e3, 2.1)) / 3600, 1)  # one 5 gal keg
    22.6
    >>> round(float(pull_down_time(293.0, 276.0, 278.0, 80e3, 2.1, 20.0)) / 3600, 1)
    24.8
    """
    for what, value in (("start", start_k), ("air", air_k), ("target", target_k)):
        within(f"{what} temperature", value, _LOWEST_K, _HIGHEST_K, "K")
    positive("heat capacity", heat_j_k, "J/K")
    positive("conductance", conductance_w_k, "W/K")
    if not power_w > 0.0:
        raise OutOfRange(f"power: {power_w:g} W was given; it must be greater than zero W")
    if not air_k < target_k <= start_k:
        return np.full(np.broadcast(heat_j_k, conductance_w_k).shape, math.inf)[()]
    crossing = np.maximum(np.minimum(air_k + power_w / conductance_w_k, start_k), target_k)
    limited = heat_j_k * (start_k - crossing) / power_w if math.isfinite(power_w) else 0.0
    free: Numbers = time_to_reach(crossing, air_k, target_k, heat_j_k / conductance_w_k)
    answer: Numbers = limited + free
    return answer


def duty(leak_w: Numbers, cooling_w: Numbers) -> Numbers:
    """Give the share of the time that a machine runs to carry out what leaks in, 0 to 1.

    leak_w: heat that comes in, 0 or more; cooling_w: heat it carries out while it runs, W. 1 where
    it cannot keep up. Numbers or arrays that broadcast.

    >>> duty(30.0, 120.0)
    0.25
    """
    not_negative("heat that leaks in", leak_w, "W")
    positive("cooling power", cooling_w, "W")
    if isinstance(leak_w, float) and isinstance(cooling_w, float):
        return min(leak_w / cooling_w, 1.0)
    answer: Numbers = np.minimum(np.asarray(leak_w) / cooling_w, 1.0)
    return answer


@dataclass(frozen=True, slots=True)
class Cabinet:
    """A fridge as three lumps: its air with the lining, what stands in it, the probe.

    air_j_k, load_j_k: heat capacities, J/K; leak_w_k: from the room to the air, W/K; load_w_k:
    from the load to the air, W/K; cooling_w: heat carried out while it runs, W; room_k: kelvin.
    """

    air_j_k: float
    load_j_k: float
    leak_w_k: float
    load_w_k: float
    cooling_w: float
    room_k: float


@dataclass(frozen=True, slots=True)
class Cycle:
    """What a controller makes of a cabinet: the least and the most of air and load, K; starts.

    starts_per_hour: of the machine.
    """

    air_low_k: float
    air_high_k: float
    load_low_k: float
    load_high_k: float
    starts_per_hour: float


def cycling(
    cabinet: Cabinet,
    set_k: float,
    differential_k: float,
    probe: Literal["air", "load"] | float,
    *,
    hours: float = 72.0,
    step_s: float = 10.0,
) -> Cycle:
    """Follow a cabinet under an on-off controller and give its second half's swings.

    The machine starts when the probe reads set_k + differential_k / 2 and stops half of it below.
    probe: reads the air, the load, or a thing of its own whose time constant (s) is given. Steps of
    `step_s` by the explicit rule, which is stable while that is small against air_j_k / (leak_w_k +
    load_w_k). `OutOfRange` for what is not positive.

    >>> small = Cabinet(12e3, 240e3, 1.8, 6.3, 130.0, 294.0)
    >>> 3.0 < cycling(small, 276.0, 2.0, "air").starts_per_hour < 5.0
    True
    """
    for what in fields(cabinet):
        positive(what.name, float(getattr(cabinet, what.name)), "")
    positive("differential", differential_k, "K")
    half = 0.5 * differential_k
    air = load = reads = set_k
    running, starts = False, 0
    seen: list[tuple[float, float]] = []
    steps = round(hours * 3600.0 / step_s)
    lag = step_s / probe if isinstance(probe, float) else 0.0
    for at in range(steps):
        out = cabinet.cooling_w if running else 0.0
        into_air = cabinet.leak_w_k * (cabinet.room_k - air) + cabinet.load_w_k * (load - air) - out
        load += step_s * cabinet.load_w_k * (air - load) / cabinet.load_j_k
        air += step_s * into_air / cabinet.air_j_k
        reads = air if probe == "air" else load if probe == "load" else reads + lag * (air - reads)
        late = at >= steps // 2
        if running and reads <= set_k - half:
            running = False
        elif not running and reads >= set_k + half:
            running, starts = True, starts + late
        if late:
            seen.append((air, load))
    airs, loads = zip(*seen, strict=True)
    return Cycle(min(airs), max(airs), min(loads), max(loads), starts / (0.5 * hours))
