"""A tap in numbers, and how its beer flows: by pressure, length and level, once or in samples."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import USUAL, Draws, Spread
from ullage.everyday_units import US_PINT_M3
from ullage.physics import beer as beer_physics
from ullage.physics import hydraulics, solubility
from ullage.physics.beer import Composition
from ullage.physics.constants import GRAVITY, Constant
from ullage.physics.hydraulics import Segment
from ullage.physics.numbers import Numbers

SLOWEST_M3_S = 1e-7
LONGEST_LINE_M = 30.0


@dataclass(frozen=True, slots=True)
class TapCase:
    """A tap in numbers. `path` from the dip tube's foot to the glass; `line` indexes the pieces.

    `level_m`: beer above the dip tube's foot; `full_level_m` when the keg is full. The rises in
    the path count from the dip tube's foot. `handbook_pa_m`: the trade's fixed restriction of the
    piece that is to be cut, `handbook_rest_pa` what it counts for the other pieces; `None` where
    the trade has no figure for one of them. `resistance`: of the whole way over the computed, where
    this household learnt it; `spread`: what is known of its gauge and its beers.
    """

    tap: str
    keg: str
    beer_name: str
    beer: Composition
    carbonation_vol: float
    gauge_pa: float
    ambient_pa: float
    path: tuple[Segment, ...]
    line: tuple[int, ...]
    line_words: str
    level_m: float
    full_level_m: float
    wanted_pint_s: float
    handbook_pa_m: float | None
    handbook_rest_pa: float = 0.0
    resistance: Constant | None = None
    spread: Spread = USUAL


def length_for(case: TapCase, pint_s: float, index: int | None = None) -> float:
    """Length (m) of a piece of line with which a US pint takes `pint_s` seconds.

    `index` into the path; `None`: the longest piece. Raises `OutOfRange` where even no line
    at all is too slow.
    """
    return float(
        hydraulics.length_for_flow(
            US_PINT_M3 / pint_s,
            _pushing(case, driving_pa(case, case.level_m)),
            case.path,
            cut_index(case) if index is None else index,
            density_of(case),
            viscosities(case),
        )
    )


def pint_time(case: TapCase) -> float:
    """Seconds for a US pint as the keg is now; infinite where no beer comes."""
    return seconds_for_pint(flow_with(case, case.level_m))


def lift_and_driving(case: TapCase) -> tuple[float, float]:
    """What lifting the beer takes, and what drives it, gauge Pa at the dip tube's foot."""
    lift = float(hydraulics.static_lift(case.path, density_of(case)))
    return lift, driving_pa(case, case.level_m)


def flows_at(case: TapCase, driving_pa: NDArray[np.float64]) -> NDArray[np.float64]:
    """Flows (m3/s) of the way as computed at these driving pressures (Pa), never quite none."""
    found = hydraulics.flow_rate(driving_pa, case.path, density_of(case), viscosities(case))
    return np.maximum(found, SLOWEST_M3_S)


def cut_index(case: TapCase) -> int:
    """The piece of line that would be cut or lengthened: the longest."""
    return max(case.line, key=lambda i: case.path[i].length_m)


def density_of(case: TapCase) -> float:
    """Density (kg/m3) of the beer where it leaves the keg."""
    return float(beer_physics.density(case.beer, case.path[0].temperature_k))


def viscosity_at(case: TapCase, temperature_k: float) -> float:
    """Viscosity (Pa s) of the beer at a temperature."""
    return float(beer_physics.viscosity(case.beer, temperature_k))


def viscosities(case: TapCase) -> list[float | NDArray[np.float64]]:
    """Viscosity (Pa s) of the beer in each piece of the way."""
    return [viscosity_at(case, piece.temperature_k) for piece in case.path]


def driving_pa(case: TapCase, level_m: float) -> float:
    """Gauge pressure (Pa) at the dip tube's foot: the head's, and the beer that stands above it."""
    head_pa = case.gauge_pa + case.spread.gauge_offset_pa.value
    return head_pa + density_of(case) * GRAVITY.value * level_m


def _pushing(case: TapCase, driving_pa: Numbers) -> Numbers:
    """The driving pressure at which the way as computed lets as much through as this one does."""
    if case.resistance is None:
        return driving_pa
    lift = hydraulics.static_lift(case.path, density_of(case))
    return lift + (driving_pa - lift) / case.resistance.value


def flows_with(case: TapCase, levels_m: Sequence[float]) -> list[float]:
    """Flows (m3/s) with the beer at each of these levels."""
    driving = np.array([driving_pa(case, level) for level in levels_m])
    found = hydraulics.flow_rate(
        _pushing(case, driving), case.path, density_of(case), viscosities(case)
    )
    return [float(flow) for flow in np.asarray(found)]


def flow_with(case: TapCase, level_m: float) -> float:
    """Flow (m3/s) with the beer at that level."""
    return flows_with(case, (level_m,))[0]


def seconds_for_pint(flow: float) -> float:
    """Seconds for a US pint at that flow; infinite where the beer no longer comes."""
    return US_PINT_M3 / flow if flow >= SLOWEST_M3_S else float("inf")


def flow_samples(case: TapCase, flow: float, samples: Draws) -> NDArray[np.float64]:
    """Flows (m3/s) counting viscosity, fittings, gauge; the bore to first order in the logarithm.

    Where the line's own resistance was learnt, that and the gauge alone.
    """
    off = samples.gauge_offset_pa - case.spread.gauge_offset_pa.value
    driving = np.maximum(driving_pa(case, case.level_m) + off, 0.0)
    if case.resistance is not None:
        return _own_flows(case, driving, case.resistance, samples)
    each = {
        kelvin: beer_physics.viscosity(
            case.beer, kelvin, samples.alcohol_on_viscosity, samples.extract_on_viscosity
        )
        for kelvin in {piece.temperature_k for piece in case.path}
    }
    viscosity = [each[piece.temperature_k] for piece in case.path]
    flows = hydraulics.flow_rate(
        driving, case.path, density_of(case), viscosity, samples.loss_scale
    )
    wider = [
        replace(piece, bore_m=1.01 * piece.bore_m) if i in case.line else piece
        for i, piece in enumerate(case.path)
    ]
    power = np.log(flow_with(replace(case, path=tuple(wider)), case.level_m) / flow) / np.log(1.01)
    spread: NDArray[np.float64] = np.maximum(flows, SLOWEST_M3_S) * samples.bore_scale**power
    return spread


def _own_flows(
    case: TapCase, driving: NDArray[np.float64], own: Constant, samples: Draws
) -> NDArray[np.float64]:
    """Flows of a line whose resistance was learnt, counting that and the gauge."""
    lift = hydraulics.static_lift(case.path, density_of(case))
    resists = own.value * np.exp(own.sd / own.value * samples.line_normal)
    pushing = lift + (driving - lift) / resists
    flows = hydraulics.flow_rate(pushing, case.path, density_of(case), viscosities(case))
    return np.maximum(flows, SLOWEST_M3_S)


def saturation_pa(case: TapCase, temperature_k: NDArray[np.float64]) -> NDArray[np.float64]:
    """Gauge pressure (Pa) at which this beer just holds its gas, at each temperature."""
    factor = float(beer_physics.solubility_factor(case.beer, case.spread.beer_factor.value))
    held = solubility.equilibrium_pressure(case.carbonation_vol, temperature_k, factor)
    return np.asarray(held - case.ambient_pa)
