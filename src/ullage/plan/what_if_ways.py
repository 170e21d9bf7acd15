"""Which way brings such a beer to its level by a day: without a file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ullage.cellar.track import FERMENTED_K, KegCase
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.answers import CarbonationAnswer
from ullage.plan.carbonation import carbonation
from ullage.plan.cases import LEAST_HEAD_SHARE
from ullage.plan.lifting import full_kg
from ullage.plan.schedule import Means, Wanted
from ullage.plan.what_if import ANYBODYS, USUAL_KEG, USUAL_LINE, OwnKeg
from ullage.system import parts

USUAL_TOLERANCE_VOL = 0.2


@dataclass(frozen=True, slots=True)
class WaysQuestion:
    """A beer in a keg at `temperature_k`, wanted at `target_vol`, begun at `start`, by `by`.

    `from_vol` `None`: what fermentation at 20 °C left; `start_k` `None`: as cold as its place;
    `beer_m3` `None`: the kind's usual fill.
    """

    target_vol: float
    temperature_k: float
    start: datetime
    by: datetime | None = None
    altitude_m: float = 0.0
    abv_percent: float | None = None
    final_gravity: float | None = None
    from_vol: float | None = None
    start_k: float | None = None
    beer_m3: float | None = None
    keg_kind: str = USUAL_KEG
    own: OwnKeg = ANYBODYS
    tolerance_vol: float = USUAL_TOLERANCE_VOL
    beer: str = "beer"
    keg: str = "keg"


def ways_what_if(question: WaysQuestion) -> CarbonationAnswer:
    """Answer it. Raises `OutOfRange`, `UnknownName`."""
    kind = parts.keg_kind(question.keg_kind)
    wanted = Wanted(
        beer=question.beer,
        keg=question.keg,
        place="here",
        target_vol=question.target_vol,
        tolerance_vol=question.tolerance_vol,
        start=question.start,
        by=question.by,
        present_gauge_pa=None,
        highest_gauge_pa=min(kind.max_gauge_pa, parts.line_material(USUAL_LINE).max_gauge_pa),
        means=Means(co2_share=question.own.co2_share, weight_kg=full_kg(kind, question.beer_m3)),
    )
    return carbonation(_case(question, kind), wanted)


def _case(question: WaysQuestion, kind: parts.KegKind) -> KegCase:
    beer = beer_physics.standard_beer()
    if question.abv_percent is not None:
        beer = beer_physics.from_abv(question.abv_percent, question.final_gravity)
    ambient = ambient_pressure(question.altitude_m)
    factor = float(beer_physics.solubility_factor(beer))
    volume = kind.usual_fill_m3 if question.beer_m3 is None else question.beer_m3
    start = question.from_vol
    if start is None:
        start = solubility.equilibrium_volumes(ambient, FERMENTED_K, factor)
    cold = question.temperature_k + question.own.offset_k
    return KegCase(
        beer=beer,
        beer_m3=volume,
        depth_m=volume / kind.cross_section_m2,
        start_vol=start,
        start_k=cold if question.start_k is None else question.start_k,
        place_k=cold,
        tau_s=kind.time_constant(volume * float(beer_physics.density(beer, cold)))
        / question.own.chilling,
        ambient_pa=ambient,
        head_m3=max(kind.capacity_m3 - volume, LEAST_HEAD_SHARE * kind.capacity_m3),
        spread=question.own.spread,
    )
