"""The work that is timed: fourteen days of one keg, in closed form and by an ODE solver.

The keg stands at 20 °C, comes into a fridge of 38 °F, has 40 psi for a day and its serving
pressure from then on. Both sides use the same physics functions; the solver's right-hand side is
written as one would write it, with plain floats, and is started anew where the pressure jumps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from ullage.cellar.course import DAY_S, HOUR_S, follow
from ullage.cellar.track import KegCase, Phase
from ullage.physics import absorption, solubility
from ullage.physics import beer as beer_physics

Array = NDArray[np.float64]

PSI = 6894.757293168361
RTOL, ATOL = 1e-8, 1e-10

CASE = KegCase(
    beer=beer_physics.standard_beer(),
    beer_m3=0.0189,
    depth_m=0.53,
    start_vol=0.86,
    start_k=293.15,
    place_k=276.483,
    tau_s=37_600.0,
    ambient_pa=101_325.0,
)
BURST = (Phase(DAY_S, 40.0 * PSI), Phase(13 * DAY_S, 11.2 * PSI))
BUSY = tuple(Phase(DAY_S / 2, (14.0 if half % 2 else 11.2) * PSI) for half in range(28))
"""The same fourteen days with the pressure changed twice a day."""


def integrate(phases: Sequence[Phase], marks_s: Array | None = None) -> Array:
    """Levels at `marks_s` (increasing, from 0), or at the end alone, by LSODA, in volumes."""
    times, levels = [0.0], [CASE.start_vol]
    for phase in phases:
        begin, end = times[-1], times[-1] + phase.seconds
        solved = solve_ivp(
            _right_hand_side(phase.gauge_pa),
            (begin, end),
            levels[-1:],
            method="LSODA",
            rtol=RTOL,
            atol=ATOL,
            t_eval=None if marks_s is None else _within(marks_s, begin, end),
        )
        times += solved.t.tolist()
        levels += solved.y[0].tolist()
    wanted = times[-1:] if marks_s is None else marks_s
    return np.array(levels)[np.searchsorted(times, wanted)]


def greatest_difference(phases: Sequence[Phase]) -> float:
    """The greatest distance in volumes between the two, at every edge and every hour.

    The closed form is asked as coarsely as it is by itself, and with a level each hour, which
    makes it cut more finely; the worse of the two counts.
    """
    days = sum(phase.seconds for phase in phases)
    worst = 0.0
    for marks in ((), np.arange(0.0, days, HOUR_S)):
        course = follow(CASE, phases, [*marks])
        exact = integrate(phases, course.time_s)
        worst = max(worst, float(np.max(np.abs(exact - course.level_vol))))
    return worst


def _within(marks_s: Array, begin: float, end: float) -> Array:
    """The marks inside a phase, and its end."""
    return np.append(marks_s[(marks_s > begin) & (marks_s < end)], end)


def _right_hand_side(gauge_pa: float) -> Callable[[float, Array], float]:
    """dc/dt = r(T) Δ^(4/3), with T after Newton."""
    pressure = CASE.ambient_pa + gauge_pa
    factor = float(beer_physics.solubility_factor(CASE.beer))
    away = CASE.start_k - CASE.place_k

    def slope(seconds: float, levels: Array) -> float:
        kelvin = CASE.place_k + away * math.exp(-seconds / CASE.tau_s)
        gap = solubility.equilibrium_volumes(pressure, kelvin, factor) - float(levels[0])
        rate = float(absorption.still_rate(CASE.beer, kelvin, CASE.depth_m))
        return rate * gap * math.cbrt(abs(gap))

    return slope
