"""How a tap pours: flow, time for a glass, the line that would do, and where foam would start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import SAMPLES, USUAL, Draws, Spread, draws
from ullage.errors import OutOfRange
from ullage.everyday_units import US_PINT_M3
from ullage.physics import beer as beer_physics
from ullage.physics import hydraulics, profile, solubility
from ullage.physics.beer import Composition
from ullage.physics.constants import GRAVITY, Constant
from ullage.physics.friction import reynolds, speed
from ullage.physics.hydraulics import Segment
from ullage.physics.numbers import Numbers
from ullage.plan.answers import Band, Caution, LineAdvice, LinePoint, PourAnswer
from ullage.plan.bands import band

HALF_LITRE_M3 = 500e-6
US_GALLON_A_MINUTE = 3.785411784e-3 / 60.0
SLOWEST_M3_S = 1e-7
LONGEST_LINE_M = 30.0
WARM_TOWER_PA = 7_000.0
"""Saturation above head pressure, faucet shut, from which the first glass foams noticeably."""
POINTS = 9


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


def pour(case: TapCase) -> PourAnswer:
    """Answer for one tap. Raises `OutOfRange` where no beer would come or nothing holds it back."""
    flow, full, empty = _flows(case, (case.level_m, case.full_level_m, 0.0))
    if flow < SLOWEST_M3_S:
        raise OutOfRange(
            "the pressure on the beer does not lift it to the faucet; raise the pressure or lower "
            "the faucet"
        )
    flows = _flow_samples(case, flow, draws(SAMPLES, case.spread))
    points, along = _profile(case, flow)
    cut = case.path[_cut_index(case)]
    worst = min(points, key=lambda point: point.gauge_shut_pa - point.gauge_saturation_pa)
    margin = worst.gauge_shut_pa - worst.gauge_saturation_pa
    breakout = _breakout(points)
    return PourAnswer(
        tap=case.tap,
        keg=case.keg,
        beer=case.beer_name,
        gauge_pressure_pa=case.gauge_pa,
        length_m=sum(case.path[i].length_m for i in case.line),
        line=case.line_words,
        flow_m3_s=band(flow, flows),
        pint_s=_time_band(US_PINT_M3, flow, flows),
        half_litre_s=_time_band(HALF_LITRE_M3, flow, flows),
        speed_m_s=float(speed(flow, cut.bore_m)),
        reynolds=float(
            reynolds(flow, cut.bore_m, _density(case), float(_viscosity(case, cut.temperature_k)))
        ),
        full_pint_s=_pint_time(full),
        empty_pint_s=_pint_time(empty),
        wanted_pint_s=case.wanted_pint_s,
        advised=_advised(case),
        handbook=_handbook(case),
        profile=points,
        breakout_m=None if breakout is None else breakout[0],
        breakout_part=None if breakout is None else breakout[1],
        shut_margin_pa=margin,
        shut_margin_part=worst.part,
        cautions=_cautions(margin, worst.part),
        remarks=_remarks(case, flow, along),
    )


def length_for(case: TapCase, pint_s: float, index: int | None = None) -> float:
    """Length (m) of a piece of line with which a US pint takes `pint_s` seconds.

    `index` into the path; `None`: the longest piece. Raises `OutOfRange` where even no line
    at all is too slow.
    """
    return float(
        hydraulics.length_for_flow(
            US_PINT_M3 / pint_s,
            _pushing(case, _driving(case, case.level_m)),
            case.path,
            _cut_index(case) if index is None else index,
            _density(case),
            _viscosities(case),
        )
    )


def pint_time(case: TapCase) -> float:
    """Seconds for a US pint as the keg is now; infinite where no beer comes."""
    return _pint_time(_flow(case, case.level_m))


def lift_and_driving(case: TapCase) -> tuple[float, float]:
    """What lifting the beer takes, and what drives it, gauge Pa at the dip tube's foot."""
    lift = float(hydraulics.static_lift(case.path, _density(case)))
    return lift, _driving(case, case.level_m)


def flows_at(case: TapCase, driving_pa: NDArray[np.float64]) -> NDArray[np.float64]:
    """Flows (m3/s) of the way as computed at these driving pressures (Pa), never quite none."""
    found = hydraulics.flow_rate(driving_pa, case.path, _density(case), _viscosities(case))
    return np.maximum(found, SLOWEST_M3_S)


def _cut_index(case: TapCase) -> int:
    """The piece of line that would be cut or lengthened: the longest."""
    return max(case.line, key=lambda i: case.path[i].length_m)


def _density(case: TapCase) -> float:
    return float(beer_physics.density(case.beer, case.path[0].temperature_k))


def _viscosity(case: TapCase, temperature_k: float) -> float:
    return float(beer_physics.viscosity(case.beer, temperature_k))


def _viscosities(case: TapCase) -> list[float | NDArray[np.float64]]:
    return [_viscosity(case, piece.temperature_k) for piece in case.path]


def _driving(case: TapCase, level_m: float) -> float:
    """Gauge pressure at the dip tube's foot: the head's, and the beer that stands above it."""
    head_pa = case.gauge_pa + case.spread.gauge_offset_pa.value
    return head_pa + _density(case) * GRAVITY.value * level_m


def _pushing(case: TapCase, driving_pa: Numbers) -> Numbers:
    """The driving pressure at which the way as computed lets as much through as this one does."""
    if case.resistance is None:
        return driving_pa
    lift = hydraulics.static_lift(case.path, _density(case))
    return lift + (driving_pa - lift) / case.resistance.value


def _flows(case: TapCase, levels_m: Sequence[float]) -> list[float]:
    """Flows (m3/s) with the beer at each of these levels."""
    driving = np.array([_driving(case, level) for level in levels_m])
    found = hydraulics.flow_rate(
        _pushing(case, driving), case.path, _density(case), _viscosities(case)
    )
    return [float(flow) for flow in np.asarray(found)]


def _flow(case: TapCase, level_m: float) -> float:
    return _flows(case, (level_m,))[0]


def _pint_time(flow: float) -> float:
    """Seconds for a US pint at that flow; infinite where the beer no longer comes."""
    return US_PINT_M3 / flow if flow >= SLOWEST_M3_S else float("inf")


def _flow_samples(case: TapCase, flow: float, samples: Draws) -> NDArray[np.float64]:
    """Flows counting viscosity, fittings, gauge; the bore to first order in the logarithm.

    Where the line's own resistance was learnt, that and the gauge alone.
    """
    off = samples.gauge_offset_pa - case.spread.gauge_offset_pa.value
    driving = np.maximum(_driving(case, case.level_m) + off, 0.0)
    if case.resistance is not None:
        return _own_flows(case, driving, case.resistance, samples)
    each = {
        kelvin: beer_physics.viscosity(
            case.beer, kelvin, samples.alcohol_on_viscosity, samples.extract_on_viscosity
        )
        for kelvin in {piece.temperature_k for piece in case.path}
    }
    viscosity = [each[piece.temperature_k] for piece in case.path]
    flows = hydraulics.flow_rate(driving, case.path, _density(case), viscosity, samples.loss_scale)
    wider = [
        replace(piece, bore_m=1.01 * piece.bore_m) if i in case.line else piece
        for i, piece in enumerate(case.path)
    ]
    power = np.log(_flow(replace(case, path=tuple(wider)), case.level_m) / flow) / np.log(1.01)
    spread: NDArray[np.float64] = np.maximum(flows, SLOWEST_M3_S) * samples.bore_scale**power
    return spread


def _own_flows(
    case: TapCase, driving: NDArray[np.float64], own: Constant, samples: Draws
) -> NDArray[np.float64]:
    """Flows of a line whose resistance was learnt, counting that and the gauge."""
    lift = hydraulics.static_lift(case.path, _density(case))
    resists = own.value * np.exp(own.sd / own.value * samples.line_normal)
    pushing = lift + (driving - lift) / resists
    flows = hydraulics.flow_rate(pushing, case.path, _density(case), _viscosities(case))
    return np.maximum(flows, SLOWEST_M3_S)


def _time_band(volume_m3: float, flow: float, flows: NDArray[np.float64]) -> Band:
    return band(volume_m3 / flow, volume_m3 / flows)


def _profile(case: TapCase, flow: float) -> tuple[tuple[LinePoint, ...], profile.Profile]:
    found = profile.pressure_profile(
        flow,
        _driving(case, case.level_m),
        case.path,
        _density(case),
        _viscosities(case),
        points_per_segment=POINTS,
    )
    if case.resistance is not None:
        lost = found.gauge_shut_pa - found.gauge_pouring_pa
        pouring = found.gauge_shut_pa - case.resistance.value * lost
        found = replace(found, gauge_pouring_pa=pouring)
    saturation = _saturation(case, found.temperature_k)
    points = tuple(
        LinePoint(
            distance_m=float(found.distance_m[i]),
            part=found.names[found.segment[i]],
            gauge_pouring_pa=float(found.gauge_pouring_pa[i]),
            gauge_shut_pa=float(found.gauge_shut_pa[i]),
            gauge_saturation_pa=float(saturation[i]),
            temperature_k=float(found.temperature_k[i]),
        )
        for i in range(len(found.distance_m))
    )
    return points, found


def _saturation(case: TapCase, temperature_k: NDArray[np.float64]) -> NDArray[np.float64]:
    """Gauge pressure at which this beer just holds its gas, at each temperature."""
    factor = float(beer_physics.solubility_factor(case.beer, case.spread.beer_factor.value))
    held = solubility.equilibrium_pressure(case.carbonation_vol, temperature_k, factor)
    return np.asarray(held - case.ambient_pa)


def _breakout(points: Sequence[LinePoint]) -> tuple[float, str] | None:
    """Where, pouring, the pressure first falls below saturation."""
    distance = profile.breakout_distance(
        np.array([point.distance_m for point in points]),
        np.array([point.gauge_pouring_pa for point in points]),
        np.array([point.gauge_saturation_pa for point in points]),
    )
    if distance is None:
        return None
    beyond = next(point for point in points if point.distance_m >= distance - 1e-9)
    return distance, beyond.part


def _advised(case: TapCase) -> LineAdvice | None:
    """The line for the wanted pour, where one exists."""
    try:
        length = length_for(case, case.wanted_pint_s)
    except OutOfRange:
        return None
    if length > LONGEST_LINE_M:
        return None
    name = case.path[_cut_index(case)].name
    pours = "Pours" if len(case.line) == 1 else f"With {name} that long the whole line pours"
    why = (
        f"{pours} a US pint in {case.wanted_pint_s:.3g} s at this pressure, with the keg as full "
        "as it is now; cut it a hand longer, you can only shorten it."
    )
    return LineAdvice("For the wanted pour", length, case.wanted_pint_s, why)


def _handbook(case: TapCase) -> LineAdvice | None:
    """The trade's rule: pressure less lift, over a fixed restriction; and what it really pours."""
    if case.handbook_pa_m is None:
        return None
    lift = (
        _density(case) * GRAVITY.value * (sum(piece.rise_m for piece in case.path) - case.level_m)
    )
    length = (case.gauge_pa - lift - case.handbook_rest_pa) / case.handbook_pa_m
    if not 0.0 < length <= LONGEST_LINE_M:
        return None
    index = _cut_index(case)
    path = [
        replace(piece, length_m=length) if i == index else piece
        for i, piece in enumerate(case.path)
    ]
    pint = _pint_time(_flow(replace(case, path=tuple(path)), case.level_m))
    true = float(
        hydraulics.segment_drop(
            US_GALLON_A_MINUTE,
            replace(case.path[index], length_m=1.0),
            _density(case),
            _viscosity(case, case.path[index].temperature_k),
        )
    )
    why = (
        "The handbook gives each tube one fixed restriction, which holds at 1 US gallon a minute "
        f"only (a pint in 7.5 s), and sets it {case.handbook_pa_m / true:.1f} times what a smooth "
        "tube of this bore resists there. Restriction falls as the flow falls, so no single "
        "figure fits every pour; the computed length is for the pour you asked for."
    )
    return LineAdvice("Handbook rule", length, pint, why)


def _cautions(margin_pa: float, part: str) -> tuple[Caution, ...]:
    if margin_pa > -WARM_TOWER_PA:
        return ()
    text = (
        f"With the faucet shut, gas comes out of the beer in the {part}: the first glass foams. "
        "Cool that part, or keep less gas in this beer."
    )
    return (Caution("warning", text),)


def _remarks(case: TapCase, flow: float, along: profile.Profile) -> tuple[str, ...]:
    saturation = _saturation(case, along.temperature_k)
    seconds = profile.seconds_below(along.seconds, along.gauge_pouring_pa, saturation)
    found = [
        f"The beer spends {seconds:.1f} s below its saturation pressure on the way; bubbles need "
        "time and rough or warm spots to grow, so short and smooth is calm."
    ]
    pint = US_PINT_M3 / flow
    if pint < 0.7 * case.wanted_pint_s:
        found.append("Faster than wanted: it will foam in the glass. Lengthen or narrow the line.")
    if pint > 1.5 * case.wanted_pint_s:
        found.append("Slower than wanted: shorten or widen the line.")
    return tuple(found)
