"""A round tube by itself: speed, Reynolds number, friction factor, sudden changes of bore."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ullage.physics.constants import LAMINAR_LIMIT, TURBULENT_LIMIT
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import within

HIGHEST_REYNOLDS = 1e7
HIGHEST_RELATIVE_ROUGHNESS = 0.05
_LOWEST_REYNOLDS = 1e-9
_TABLE_POINTS = 200


@lru_cache(maxsize=64)
def _friction_table(relative_roughness: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    from fluids.friction import friction_factor as reference  # noqa: PLC0415 slow to import

    turbulent = np.geomspace(TURBULENT_LIMIT.value, HIGHEST_REYNOLDS, _TABLE_POINTS)
    laminar = np.array([_LOWEST_REYNOLDS, LAMINAR_LIMIT.value])
    factors = [reference(Re=float(re), eD=relative_roughness) for re in turbulent]
    reynolds_numbers = np.concatenate([laminar, turbulent])
    return np.log(reynolds_numbers), np.log(np.concatenate([64.0 / laminar, factors]))


def friction_factor(reynolds: Numbers, relative_roughness: float = 0.0) -> Numbers:
    """Give the Darcy friction factor f of a round tube, dimensionless.

    f = 64 / Re up to Re = 2000; Colebrook's equation from 3000; in between, where nobody knows, a
    straight line of ln f over ln Re, so that f is continuous.

    The turbulent values come from `fluids` (Clamond's solution of Colebrook), read once for each
    roughness into a table of 200 points and interpolated in ln f over ln Re. Calling the library
    for each of 2,000 samples at each step of a root finder would take seconds; the table costs
    less than 2e-5 of f. In that picture 64 / Re is a straight line too, so one table holds all
    three regimes and the laminar one stays exact.

    reynolds: a number or an array; the answer has its shape. relative_roughness: roughness over
    bore, one number. Range: Re from 0 to 1e7, relative roughness 0 to 0.05, else `OutOfRange`.
    Below 1e-9 the factor of 1e-9 is given, so that a tube at rest loses nothing.
    Source: C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133; Hagen and Poiseuille for 64 / Re.

    >>> round(float(friction_factor(1000.0)), 6)
    0.064
    """
    within("relative roughness", relative_roughness, 0.0, HIGHEST_RELATIVE_ROUGHNESS, "")
    within("Reynolds number", reynolds, 0.0, HIGHEST_REYNOLDS, "")
    abscissa, ordinate = _friction_table(relative_roughness)
    at = np.log(np.maximum(reynolds, _LOWEST_REYNOLDS))
    answer: Numbers = np.exp(np.interp(at, abscissa, ordinate))
    return answer


def speed(flow_m3_s: Numbers, bore_m: float) -> Numbers:
    """Give the mean speed in a round bore, v = 4 Q / (π d²), in m/s.

    flow_m3_s: m3/s, a number or an array; the answer has its shape. bore_m: metres.

    >>> round(float(speed(59.15e-6, 4.7625e-3)), 2)
    3.32
    """
    return flow_m3_s / (0.25 * math.pi * bore_m**2)


def reynolds(flow_m3_s: Numbers, bore_m: float, density: Numbers, viscosity: Numbers) -> Numbers:
    """Give the Reynolds number in a round bore, Re = ρ v d / μ, dimensionless.

    flow_m3_s: m3/s; bore_m: metres; density: kg/m3; viscosity: Pa·s. Numbers or arrays that
    broadcast together.

    >>> round(float(reynolds(59.15e-6, 4.7625e-3, 1010.0, 2.42e-3)))
    6600
    """
    return density * speed(flow_m3_s, bore_m) * bore_m / viscosity


def velocity_head(flow_m3_s: Numbers, bore_m: float, density: Numbers) -> Numbers:
    """Give the velocity head ρ v² / 2 in a round bore, in Pa.

    flow_m3_s: m3/s; bore_m: metres; density: kg/m3. Numbers or arrays that broadcast together.
    """
    return 0.5 * density * speed(flow_m3_s, bore_m) ** 2


def bore_change_loss(before_m: float, after_m: float) -> float:
    """Give K of a sudden change of bore, on the velocity head of the narrower side.

    With r the ratio of the smaller to the larger cross-section: widening loses (1 − r)²
    (Borda and Carnot), narrowing 0.5 (1 − r), a sharp edge. An infinite bore is a vessel or the
    room: so the sharp inlet of a tube has K = 0.5 and its outlet K = 1.

    before_m, after_m: bores in metres, more than 0, in the sense of the flow.
    Range: turbulent flow; in laminar flow the true K is larger, but friction outweighs it there.
    Source: J.-C. de Borda (1766); I. E. Idelchik, Handbook of Hydraulic Resistance.

    >>> bore_change_loss(4e-3, 8e-3), bore_change_loss(8e-3, 4e-3), bore_change_loss(4e-3, math.inf)
    (0.5625, 0.375, 1.0)
    """
    ratio = (min(before_m, after_m) / max(before_m, after_m)) ** 2
    return (1.0 - ratio) ** 2 if after_m > before_m else 0.5 * (1.0 - ratio)


def change_drop(flow_m3_s: Numbers, before_m: float, after_m: float, density: Numbers) -> Numbers:
    """Give the total pressure lost where the bore changes, in Pa; see `bore_change_loss`."""
    head = velocity_head(flow_m3_s, min(before_m, after_m), density)
    return bore_change_loss(before_m, after_m) * head
