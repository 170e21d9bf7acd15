"""Which blend or pressure keeps a beer that nitrogen helps to push, and where it goes otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import draws
from ullage.cellar.track import FERMENTED_K
from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics import absorption, blend, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.beer import Composition
from ullage.physics.fitted import BEER_FACTOR
from ullage.plan import cautions
from ullage.plan.answers import Band, Caution
from ullage.plan.bands import band
from ullage.plan.blend_answer import (
    USUAL_SHARES,
    BlendAnswer,
    BlendQuestion,
    BlendRow,
    FaucetPour,
    Outcome,
    Stage,
)
from ullage.plan.what_if_tap import LineQuestion, PourQuestion, pour_what_if
from ullage.system import parts

RESTRICTOR: Final = "faucet-restrictor"
FAUCETS: Final = (RESTRICTOR, "faucet-rear-seal")
LINE: Final = LineQuestion(1.524, 0.0047625)
"""Five feet of 3/16 in line, short enough that the faucet rules."""
USUAL_REGULATOR_PA: Final = 60.0 * PSI
"""What a beer regulator's gauge commonly ends at; common practice, no source."""
LITRE: Final = 1e-3
SHARES: Final = (0.01, 1.0)


@dataclass(frozen=True, slots=True)
class _Case:
    """The question with what it comes to: solubility over water's, pure CO2's absolute pressure."""

    asked: BlendQuestion
    beer: Composition
    factor: float
    ambient_pa: float
    pure_pa: float

    @property
    def kelvin(self) -> float:
        return self.asked.temperature_k


def blended(question: BlendQuestion) -> BlendAnswer:
    """Answer it. Raises `OutOfRange` where no such blend or pressure exists, `UnknownName`.

    >>> asked = BlendQuestion(276.483, 2.5, share=0.70)
    >>> f"{blended(asked).gauge_pressure_pa / 6894.757:.0f} psi"
    '22 psi'
    """
    case = _case(question)
    share, gauge = _found(case)
    level = _levels(case, share, gauge)
    flat = solubility.equilibrium_volumes(case.ambient_pa, FERMENTED_K, case.factor)
    full = parts.keg_kind(question.keg_kind).usual_fill_m3
    return BlendAnswer(
        share=share,
        gauge_pressure_pa=gauge,
        straight_gauge_pa=_straight(case),
        equilibrium_vol=level,
        target_vol=question.target_vol,
        tolerance_vol=question.tolerance_vol,
        outcome=_outcome(question, level.value),
        leaves_s=_leaves(case, level.value),
        nitrogen_vol=_nitrogen(case, share, gauge),
        from_flat_vol=_stage(case, share, gauge, full, flat).level_vol,
        stages=tuple(
            _stage(case, share, gauge, beer_m3, _begun(question))
            for beer_m3 in (full, 0.5 * full, LITRE)
        ),
        blends=tuple(_row(case, one) for one in USUAL_SHARES),
        pours=tuple(_pour(case, name, gauge) for name in FAUCETS),
        ambient_pa=case.ambient_pa,
        cautions=_cautions(question, gauge),
        remarks=_remarks(case, share, gauge),
    )


def levels_at(question: BlendQuestion, share: float, gauges_pa: Sequence[float]) -> list[float]:
    """Volumes that this beer comes to under fresh blend at each gauge pressure, for a picture."""
    case = _case(question)
    pressures = case.ambient_pa + np.asarray(gauges_pa, dtype=np.float64)
    pure = blend.pure_equivalent(pressures, share, case.kelvin)
    held = solubility.equilibrium_volumes(pure, case.kelvin, case.factor)
    return [float(level) for level in np.asarray(held)]


def _case(question: BlendQuestion) -> _Case:
    if question.share is None and question.gauge_pa is None:
        raise OutOfRange("give the blend's share of CO2, or the pressure it is served at, or both")
    share = question.share
    if share is not None and not SHARES[0] <= share <= SHARES[1]:
        raise OutOfRange(f"a share of {share:.0%} CO2 is no blend: give 1 % to 100 %")
    if question.gauge_pa is not None and question.gauge_pa < 0.0:
        raise OutOfRange("a regulator sets no pressure below zero; give one from 0 psi up")
    if question.abv_percent is None:
        beer = beer_physics.standard_beer()
    else:
        beer = beer_physics.from_abv(question.abv_percent)
    factor = float(beer_physics.solubility_factor(beer))
    pure = float(
        solubility.equilibrium_pressure(question.target_vol, question.temperature_k, factor)
    )
    return _Case(question, beer, factor, ambient_pressure(question.altitude_m), pure)


def _found(case: _Case) -> tuple[float, float]:
    """The CO2 share and the gauge pressure, one of them found from the other."""
    share, gauge = case.asked.share, case.asked.gauge_pa
    if share is not None and gauge is not None:
        return share, gauge
    if share is not None:
        return share, max(_gauge_for(case, share), 0.0)
    assert gauge is not None
    found = blend.share_for(case.pure_pa, case.ambient_pa + gauge, case.kelvin)
    if found > 1.0:
        raise OutOfRange(
            "not even straight CO2 at that pressure keeps so many volumes this warm: raise the "
            "pressure, or want fewer volumes"
        )
    return max(found, SHARES[0]), gauge


def _gauge_for(case: _Case, share: float) -> float:
    return float(blend.blend_pressure(case.pure_pa, share, case.kelvin)) - case.ambient_pa


def _straight(case: _Case) -> Band:
    held = solubility.equilibrium_pressure(
        case.asked.target_vol, case.kelvin, case.factor * _scales()
    )
    return band(case.pure_pa - case.ambient_pa, np.asarray(held) - case.ambient_pa)


def _levels(case: _Case, share: float, gauge: float) -> Band:
    """Where beer goes that meets fresh blend: its level by the partial pressure of the CO2."""
    pressure = float(blend.pure_equivalent(case.ambient_pa + gauge, share, case.kelvin))
    value = solubility.equilibrium_volumes(pressure, case.kelvin, case.factor)
    return band(value, value * _scales())


def _scales() -> NDArray[np.float64]:
    """Samples of the beer factor over its value."""
    scales: NDArray[np.float64] = draws().beer_factor / BEER_FACTOR.value
    return scales


def _outcome(question: BlendQuestion, level: float) -> Outcome:
    if level > question.target_vol + question.tolerance_vol:
        return "over"
    return "under" if level < question.target_vol - question.tolerance_vol else "keeps"


def _leaves(case: _Case, level: float) -> float | None:
    """Seconds until beer at its level is over its tolerance, in a keg half full and at rest.

    Its head counts as fresh blend all the while, so it is the soonest.
    """
    asked, kind = case.asked, parts.keg_kind(case.asked.keg_kind)
    if _outcome(asked, level) != "over":
        return None
    depth = 0.5 * kind.usual_fill_m3 / kind.cross_section_m2
    rate = absorption.still_rate(case.beer, case.kelvin, depth)
    top = asked.target_vol + asked.tolerance_vol
    return float(absorption.time_to_reach(_begun(asked), top, level, rate))


def _begun(question: BlendQuestion) -> float:
    return question.target_vol if question.from_vol is None else question.from_vol


def _nitrogen(case: _Case, share: float, gauge: float) -> float:
    dry = case.ambient_pa + gauge - float(water.vapour_pressure(case.kelvin))
    return float(blend.nitrogen_volumes((1.0 - share) * dry, case.kelvin))


def _stage(case: _Case, share: float, gauge: float, beer_m3: float, level: float) -> Stage:
    head = parts.keg_kind(case.asked.keg_kind).capacity_m3 - beer_m3
    pressure = case.ambient_pa + gauge
    keg = blend.Blended(beer_m3, head, case.kelvin, level, case.factor, pressure, share)
    found = blend.settled(keg)
    return Stage(beer_m3, found.level_vol, found.nitrogen_vol)


def _row(case: _Case, share: float) -> BlendRow:
    gauge = _gauge_for(case, share)
    return BlendRow(share, gauge, 0.0 <= gauge <= _rating(case.asked))


def _rating(question: BlendQuestion) -> float:
    return min(parts.keg_kind(question.keg_kind).max_gauge_pa, USUAL_REGULATOR_PA)


def _pour(case: _Case, faucet: str, gauge: float) -> FaucetPour:
    asked = case.asked
    question = PourQuestion(
        gauge_pa=gauge,
        line=(LINE,),
        temperature_k=asked.temperature_k,
        carbonation_vol=asked.target_vol,
        altitude_m=asked.altitude_m,
        abv_percent=asked.abv_percent,
        keg_kind=asked.keg_kind,
        faucet=faucet,
    )
    title = parts.faucet(faucet).title
    try:
        return FaucetPour(title, pour_what_if(question).pint_s.value)
    except OutOfRange:
        return FaucetPour(title, None)


def _cautions(question: BlendQuestion, gauge: float) -> tuple[Caution, ...]:
    found = cautions.for_carbonation(gauge, _rating(question))
    return (*found, cautions.BLEND, cautions.CO2_AIR)


def _remarks(case: _Case, share: float, gauge: float) -> tuple[str, ...]:
    found = list(solubility.remarks(gauge, case.kelvin))
    if case.pure_pa < case.ambient_pa:
        found.append(
            "So few volumes need less CO2 than the air's own pressure gives: only a blend keeps "
            "them, straight CO2 at any pressure carbonates further."
        )
    if share < 1.0:
        found.append(
            "Bring the beer to its level with straight CO2 first, then serve with the blend: in a "
            "shut keg the nitrogen that comes along stops it from carbonating."
        )
    if case.asked.share is not None and case.asked.gauge_pa is None:
        needed = _gauge_for(case, share)
        if needed < 0.0:
            found.append("Even no gauge pressure at all carbonates it further with that much CO2.")
    if case.asked.abv_percent is None:
        found.append("Computed for the standard beer of the trade's chart; give its ABV for yours.")
    return tuple(found)
