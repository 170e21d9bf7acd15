"""What to set for one beer, and which way to bring it to its level is advised."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.course import gauge_samples, serving_gauge
from ullage.cellar.draws import SAMPLES, Draws, draws
from ullage.cellar.track import KegCase
from ullage.physics import solubility
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan import cautions
from ullage.plan.answers import Band, CarbonationAnswer, Caution, Schedule
from ullage.plan.bands import band
from ullage.plan.blend_served import (
    STRAIGHT,
    as_straight,
    comes_to,
    kept_gauge,
    kept_gauge_samples,
    straight_gauge,
)
from ullage.plan.blend_ways import blend_remarks
from ullage.plan.choice import advised, none_makes_it
from ullage.plan.cures import vents_needed
from ullage.plan.methods import drifts_beyond, schedules
from ullage.plan.schedule import Wanted, too_much

FERMENTS = (
    "It still ferments. Closed with no valve it would go on making gas: either close it with a "
    "spunding valve, or let it finish first; the days of the other ways count from then."
)

UNDER_A_VALVE = (
    "It still ferments under its spunding valve; the days of the other ways count from when it has "
    "finished."
)


def carbonation(case: KegCase, wanted: Wanted) -> CarbonationAnswer:
    """Answer for one keg. Raises `OutOfRange` where the physics does not reach."""
    samples = draws(SAMPLES, case.spread)
    share = wanted.means.co2_share
    set_pa = kept_gauge(case, serving_gauge(case, wanted.target_vol), share)
    ways = schedules(case, wanted, set_pa, draws(case.samples or SAMPLES, case.spread))
    present = wanted.present_gauge_pa
    return CarbonationAnswer(
        beer=wanted.beer,
        keg=wanted.keg,
        place=wanted.place,
        target_vol=wanted.target_vol,
        tolerance_vol=wanted.tolerance_vol,
        start_vol=case.start_vol,
        temperature_k=case.place_k,
        gauge_pressure_pa=band(set_pa, _gauges(case, wanted, samples)),
        equilibrium_vol=_equilibrium(case, max(set_pa, 0.0), samples, share),
        present_gauge_pressure_pa=present,
        present_equilibrium_vol=(
            None if present is None else _equilibrium(case, present, samples, share)
        ),
        schedules=ways,
        advised=advised(ways, wanted),
        wanted_by=wanted.by,
        cautions=_cautions(wanted, set_pa),
        remarks=_remarks(case, wanted, set_pa, ways),
        begins_vol=None if case.starts_vol is None else band(case.start_vol, case.starts_vol),
        gauge_offset_pa=case.offset_pa,
    )


def _gauges(case: KegCase, wanted: Wanted, samples: Draws) -> NDArray[np.float64]:
    pure = gauge_samples(case, wanted.target_vol, samples)
    return kept_gauge_samples(case, pure, wanted.means.co2_share, samples)


def _equilibrium(case: KegCase, gauge_pa: float, samples: Draws, share: float) -> Band:
    pressure = as_straight(case.ambient_pa + gauge_pa + case.offset_pa, share, case.place_k)
    value = solubility.equilibrium_volumes(pressure, case.place_k, case.factor)
    return band(float(value), comes_to(case, gauge_pa, share, samples))


def _cautions(wanted: Wanted, set_pa: float) -> tuple[Caution, ...]:
    known = cautions.for_keg(set_pa, wanted.highest_gauge_pa)
    return known if wanted.means.co2_share >= STRAIGHT else (*known, cautions.BLEND)


def _remarks(
    case: KegCase, wanted: Wanted, set_pa: float, ways: tuple[Schedule, ...]
) -> tuple[str, ...]:
    share = wanted.means.co2_share
    pure_pa = straight_gauge(case, max(set_pa, 0.0), share)
    found = list(solubility.remarks(max(pure_pa, 0.0), case.place_k))
    if drifts_beyond(case, wanted, set_pa):
        found.append(
            "At this temperature the beer keeps more than its target even without pressure; "
            "it cannot be held at this level here. Serve it warmer, or want more volumes."
        )
    if too_much(case, wanted):
        found.append(_over(case, wanted))
    if wanted.by is not None and wanted.by < wanted.start:
        found.append("The day it is wanted by has passed.")
    none = none_makes_it(ways, wanted)
    if none is not None:
        found.append(none)
    if wanted.means.ferments:
        found.append(FERMENTS if wanted.means.valve_gauge_pa is None else UNDER_A_VALVE)
    if case.ambient_pa < STANDARD_ATMOSPHERE.value - 2_000.0:
        found.append("The altitude is counted: the gauge must read more than at sea level.")
    if share < STRAIGHT:
        found += blend_remarks(case, wanted, set_pa, pure_pa)
    return tuple(found)


def _over(case: KegCase, wanted: Wanted) -> str:
    """That it holds too much, and whether vents can help."""
    slow = "It holds too much, and at rest it loses it very slowly."
    if vents_needed(case, wanted.target_vol) is None:
        return f"{slow} Venting does not get it down that far."
    return f"{slow} Venting and shaking takes it out. Let it rest before you pour."
