"""What pressure for these volumes, what volumes at this pressure, reached when: without a file.

Quick to load: this module stays clear of SciPy and of the system model.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from ullage.cellar.course import follow, gauge_samples, serving_gauge
from ullage.cellar.draws import SAMPLES, USUAL, Spread, draws
from ullage.cellar.track import FERMENTED_K, KegCase, Phase
from ullage.errors import OutOfRange
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.beer import Composition
from ullage.plan import cautions
from ullage.plan.answers import Band, Caution
from ullage.plan.bands import band
from ullage.plan.blend_served import (
    STRAIGHT,
    as_straight,
    comes_to,
    kept_gauge,
    kept_gauge_samples,
    straight_gauge,
)
from ullage.system import parts

USUAL_KEG = "ball-lock-5gal"
USUAL_LINE = "vinyl"
USUAL_TAU_S = 36_000.0


@dataclass(frozen=True, slots=True)
class OwnKeg:
    """What a household has of its own where a keg stands; anybody's unless told.

    `offset_k`: what the thermometer there shows too little; `chilling`: how much more quickly than
    usual a keg chills there. `co2_share`: CO2 in the gas it hangs on, the rest nitrogen.
    """

    spread: Spread = USUAL
    offset_k: float = 0.0
    chilling: float = 1.0
    co2_share: float = 1.0


ON_A_BLEND: Final = (
    "It hangs on a blend with {share} CO2: the pressure is the blend's, and the level that of beer "
    "under fresh gas. In a shut keg the nitrogen that comes along stops it: carbonate with "
    "straight CO2 first."
)
ANYBODYS: Final = OwnKeg()


@dataclass(frozen=True, slots=True)
class CarbonateQuestion:
    """Pressure from volumes, or volumes from pressure; and what a keg reaches in a time.

    Give one of `target_vol` and `gauge_pa`. With `for_s` the keg is followed from `from_vol`
    (default: what fermentation at 20 °C left) at that pressure. Pressure and temperature are as
    the household's instruments show them (`own`).
    """

    temperature_k: float
    target_vol: float | None = None
    gauge_pa: float | None = None
    altitude_m: float = 0.0
    abv_percent: float | None = None
    final_gravity: float | None = None
    from_vol: float | None = None
    for_s: float | None = None
    keg_kind: str = USUAL_KEG
    own: OwnKeg = ANYBODYS


@dataclass(frozen=True, slots=True)
class CarbonateAnswer:
    """The pressure to set and what it leads to. `reached_vol` only where a time was asked.

    A pressure below zero cannot be set: `equilibrium_vol` and `reached_vol` are then for none.
    `gauge_offset_pa`: what the gauge shows too little, where that was kept; it is counted.
    """

    gauge_pressure_pa: Band
    equilibrium_vol: Band
    temperature_k: float
    ambient_pa: float
    from_vol: float | None
    after_s: float | None
    reached_vol: Band | None
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
    gauge_offset_pa: float = 0.0


def carbonate(question: CarbonateQuestion) -> CarbonateAnswer:
    """Answer it. Raises `OutOfRange` where the question has no answer in this world."""
    case = _keg_case(question)
    samples, share = draws(SAMPLES, case.spread), question.own.co2_share
    if question.target_vol is not None:
        value = kept_gauge(case, serving_gauge(case, question.target_vol), share)
        pure = gauge_samples(case, question.target_vol, samples)
        gauge = band(value, kept_gauge_samples(case, pure, share, samples))
    else:
        value = question.gauge_pa or 0.0
        gauge = Band(value, value, value)
    if value < -case.ambient_pa:
        raise OutOfRange("a pressure below vacuum is not possible; give one from 0 psi up")
    kept_pa = max(value, 0.0)
    absolute = max(case.ambient_pa + kept_pa + case.offset_pa, 0.0)
    straight = as_straight(absolute, share, case.place_k)
    held = float(solubility.equilibrium_volumes(straight, case.place_k, case.factor))
    return CarbonateAnswer(
        gauge_pressure_pa=gauge,
        equilibrium_vol=band(held, comes_to(case, kept_pa, share, samples)),
        temperature_k=question.temperature_k,
        ambient_pa=case.ambient_pa,
        from_vol=None if question.for_s is None else case.start_vol,
        after_s=question.for_s,
        reached_vol=_reached(case, straight_gauge(case, kept_pa, share), question.for_s),
        cautions=_cautions(value, question),
        remarks=_remarks(value, case, question),
        gauge_offset_pa=case.offset_pa,
    )


def _cautions(gauge_pa: float, question: CarbonateQuestion) -> tuple[Caution, ...]:
    known = cautions.for_carbonation(gauge_pa, _usual_rating(question))
    if question.own.co2_share >= STRAIGHT:
        return known
    # a danger here would say that the pressure must not be set
    return (*known, replace(cautions.BLEND, level="warning"))


def _usual_rating(question: CarbonateQuestion) -> float:
    """The lower of what such a keg and the weakest usual beer line stand, gauge Pa."""
    line = parts.line_material(USUAL_LINE)
    return min(parts.keg_kind(question.keg_kind).max_gauge_pa, line.max_gauge_pa)


def _keg_case(question: CarbonateQuestion) -> KegCase:
    kind = parts.keg_kind(question.keg_kind)
    ambient = ambient_pressure(question.altitude_m)
    beer = _beer(question)
    factor = float(beer_physics.solubility_factor(beer))
    start = question.from_vol
    if start is None:
        start = solubility.equilibrium_volumes(ambient, FERMENTED_K, factor)
    warm = question.temperature_k + question.own.offset_k
    return KegCase(
        beer=beer,
        beer_m3=kind.usual_fill_m3,
        depth_m=kind.usual_fill_m3 / kind.cross_section_m2,
        start_vol=start,
        start_k=warm,
        place_k=warm,
        tau_s=USUAL_TAU_S,
        ambient_pa=ambient,
        spread=question.own.spread,
    )


def _beer(question: CarbonateQuestion) -> Composition:
    if question.abv_percent is None:
        if question.final_gravity is not None:
            raise OutOfRange("the final gravity alone does not tell the beer; give its ABV too")
        return beer_physics.standard_beer()
    return beer_physics.from_abv(question.abv_percent, question.final_gravity)


def _reached(case: KegCase, gauge_pa: float, seconds: float | None) -> Band | None:
    if seconds is None:
        return None
    if seconds <= 0.0:
        return Band(case.start_vol, case.start_vol, case.start_vol)
    phases = (Phase(seconds, gauge_pa),)
    middle = float(follow(case, phases).level_vol[-1])
    samples = draws(SAMPLES, case.spread)
    return band(middle, follow(case, phases, draws=samples).level_vol[-1])


def _remarks(gauge_pa: float, case: KegCase, question: CarbonateQuestion) -> tuple[str, ...]:
    share = question.own.co2_share
    straight = straight_gauge(case, max(gauge_pa, 0.0), share)
    found = list(solubility.remarks(max(straight, 0.0), case.place_k))
    if share < STRAIGHT:
        found.append(ON_A_BLEND.format(share=f"{100.0 * share:.0f} %"))
    if gauge_pa > _usual_rating(question):
        kind = parts.keg_called(question.keg_kind)
        found.append(f"The chain is taken to be a keg ({kind}) and {USUAL_LINE} line.")
    if gauge_pa < 0.0:
        found.append(
            "So few volumes would need less than the air's own pressure; under CO2, beer this cold "
            "takes up more."
        )
    if question.abv_percent is None:
        found.append("Computed for the standard beer of the trade's chart; give --abv for yours.")
    return tuple(found)
