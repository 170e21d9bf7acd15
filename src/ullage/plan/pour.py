"""How a tap pours: flow, time for a glass, and where foam would start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import SAMPLES, draws
from ullage.errors import OutOfRange
from ullage.everyday_units import US_PINT_M3
from ullage.physics import profile
from ullage.physics.friction import reynolds, speed
from ullage.physics.hydraulics import Segment
from ullage.plan import pour_advice
from ullage.plan.answers import Band, LinePoint, PourAnswer
from ullage.plan.bands import band
from ullage.plan.tap_flow import (
    SLOWEST_M3_S,
    TapCase,
    cut_index,
    density_of,
    driving_pa,
    flow_samples,
    flows_with,
    saturation_pa,
    seconds_for_pint,
    viscosities,
    viscosity_at,
)

HALF_LITRE_M3 = 500e-6
POINTS = 9


def pour(case: TapCase) -> PourAnswer:
    """Answer for one tap. Raises `OutOfRange` where no beer would come or nothing holds it back."""
    flow, full, empty = flows_with(case, (case.level_m, case.full_level_m, 0.0))
    if flow < SLOWEST_M3_S:
        raise OutOfRange(
            "the pressure on the beer does not lift it to the faucet; raise the pressure or lower "
            "the faucet"
        )
    flows = flow_samples(case, flow, draws(SAMPLES, case.spread))
    points, along = _profile(case, flow)
    cut = case.path[cut_index(case)]
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
        reynolds=_reynolds(case, flow, cut),
        full_pint_s=seconds_for_pint(full),
        empty_pint_s=seconds_for_pint(empty),
        wanted_pint_s=case.wanted_pint_s,
        advised=pour_advice.advised(case),
        handbook=pour_advice.handbook(case),
        profile=points,
        breakout_m=None if breakout is None else breakout[0],
        breakout_part=None if breakout is None else breakout[1],
        shut_margin_pa=margin,
        shut_margin_part=worst.part,
        cautions=pour_advice.cautions(margin, worst.part),
        remarks=pour_advice.remarks(case, flow, along),
        gauge_offset_pa=case.spread.gauge_offset_pa.value,
        resistance=None if case.resistance is None else case.resistance.value,
    )


def _reynolds(case: TapCase, flow: float, piece: Segment) -> float:
    viscosity = float(viscosity_at(case, piece.temperature_k))
    return float(reynolds(flow, piece.bore_m, density_of(case), viscosity))


def _time_band(volume_m3: float, flow: float, flows: NDArray[np.float64]) -> Band:
    return band(volume_m3 / flow, volume_m3 / flows)


def _profile(case: TapCase, flow: float) -> tuple[tuple[LinePoint, ...], profile.Profile]:
    found = profile.pressure_profile(
        flow,
        driving_pa(case, case.level_m),
        case.path,
        density_of(case),
        viscosities(case),
        points_per_segment=POINTS,
    )
    if case.resistance is not None:
        lost = found.gauge_shut_pa - found.gauge_pouring_pa
        pouring = found.gauge_shut_pa - case.resistance.value * lost
        found = replace(found, gauge_pouring_pa=pouring)
    saturation = saturation_pa(case, found.temperature_k)
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
