"""Several beers on few regulators: the pressure of each, which keg hangs on which, the lines.

What is best and how it is found exactly stands in `ullage.plan.share_search`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np

from ullage.cellar.draws import SAMPLES, draws
from ullage.errors import OutOfRange
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.plan.answers import Band, Caution
from ullage.plan.bands import band
from ullage.plan.cases import composition
from ullage.plan.cautions import BEYOND_RATING
from ullage.plan.own import own_spread
from ullage.plan.share_answer import (
    MOST_REGULATORS,
    BeerShare,
    Setting,
    ShareAnswer,
    ShareQuestion,
    TradeOff,
)
from ullage.plan.share_blends import refuse_blends, without_blends
from ullage.plan.share_cautions import LEGS, LOWEST
from ullage.plan.share_drift import drifts
from ullage.plan.share_elsewhere import elsewhere
from ullage.plan.share_hung import Cost, Hung, cost_of, hung, rehung
from ullage.plan.share_lift import lifts
from ullage.plan.share_points import Point, Sharing, sharing, warmed
from ullage.plan.share_puzzle import Found, Puzzle
from ullage.plan.share_search import search
from ullage.plan.share_taps import tap_lines
from ullage.plan.spoken import listed
from ullage.system.model import System
from ullage.system.price_book import PriceBook

NEAR_PA: Final = 1.0
FAR: Final = 3.0
"""Tolerances off from which a shared pressure does a beer no good; our own choice."""
AS_IT_IS: Final = ShareQuestion()


def share(
    system: System,
    question: ShareQuestion = AS_IT_IS,
    start: datetime | None = None,
    prices: PriceBook | None = None,
) -> ShareAnswer:
    """Answer for a system. `start`: when a keg is lifted to a high pressure, default: now.

    Raises `OutOfRange` where there is nothing to share or the wishes take more regulators,
    `UnknownName` for a keg or regulator that is not there.
    """
    refuse_blends(system, question)
    straight, blended = without_blends(system)
    warm = warmed(straight, question.temperature_k)
    asked = _asked(warm, question)
    shared = sharing(warm, question, max(asked + 1, len(straight.regulators)))
    shared = replace(shared, left_out=(*shared.left_out, *blended))
    puzzle = shared.puzzle()
    counts = [count for count in (asked - 1, asked, asked + 1) if count >= 1]
    answers = search(puzzle, counts)
    best = answers[asked]
    if best is None:
        raise OutOfRange(_too_few(question, asked))
    rows = hung(shared, puzzle, best, asked)
    return _answer(
        _Solved(shared, puzzle, answers, asked, rows, prices),
        question,
        (start or datetime.now().astimezone()).replace(second=0, microsecond=0),
    )


def _asked(system: System, question: ShareQuestion) -> int:
    asked = question.regulators
    if asked is None:
        return min(max(len(system.regulators), 1), MOST_REGULATORS)
    if not 1 <= asked <= MOST_REGULATORS:
        raise OutOfRange(f"{asked} regulators: ask for 1 to {MOST_REGULATORS}")
    return asked


def _too_few(question: ShareQuestion, asked: int) -> str:
    wanted = len({wish.regulator for wish in question.keep})
    if wanted > asked:
        return (
            f"the wishes hang kegs on {wanted} regulators, more than the {asked} that may be used: "
            "ask for more, or leave wishes out"
        )
    return (
        f"no {asked} of the regulators reach all kegs: a regulator is taken to reach the places "
        "where it feeds a keg or its cylinder stands; ask for more, or say with a wish where a "
        "keg may hang"
    )


@dataclass(frozen=True, slots=True)
class _Solved:
    """The puzzle with its answers by how many regulators may be used, and the asked one hung."""

    shared: Sharing
    puzzle: Puzzle
    answers: Mapping[int, Found | None]
    asked: int
    rows: tuple[Hung, ...]
    prices: PriceBook | None

    @property
    def points(self) -> tuple[Point, ...]:
        return self.shared.points

    @property
    def gauges_pa(self) -> dict[str, float]:
        """The pressure of each keg, Pa gauge."""
        return {keg: row.gauge_pa or 0.0 for row in self.rows for keg in row.kegs}


def _answer(solved: _Solved, question: ShareQuestion, start: datetime) -> ShareAnswer:
    shared, gauges = solved.shared, solved.gauges_pa
    system = rehung(shared, solved.rows)
    beers = tuple(_beer(solved, one) for one in solved.points)
    if question.carbonate is not None:
        system.keg(question.carbonate)
    return ShareAnswer(
        system=shared.system.name,
        units=shared.system.units,
        regulators=solved.asked,
        step_pa=shared.step_pa,
        settings=tuple(_setting(solved, row) for row in solved.rows),
        beers=beers,
        outside=sum(not one.within for one in beers),
        taps=tap_lines(system, gauges),
        trade_offs=_trade_offs(solved),
        elsewhere=elsewhere(system, solved.points, solved.rows),
        drifts=drifts(system, solved.points, gauges),
        lifts=lifts(system, solved.points, solved.rows, question.carbonate, start),
        left_out=shared.left_out,
        cautions=_cautions(solved, beers),
        remarks=_remarks(solved, beers),
    )


def _setting(solved: _Solved, row: Hung) -> Setting:
    """What to set a regulator to, and how nearly."""
    on = [one for one in solved.points if one.keg in row.kegs]
    highest = min([row.regulator.max_pressure, *(one.highest_pa for one in on)])
    kept = [one for one in on if one.keeps(row.gauge_pa or 0.0)]
    low = max([0.0, *(one.low_pa for one in kept)])
    high = min([highest, *(one.high_pa for one in kept)])
    bounded = row.gauge_pa is not None and bool(kept)
    return Setting(
        regulator=row.regulator.name,
        to_buy=row.regulator.to_buy,
        kegs=row.kegs,
        gauge_pressure_pa=row.gauge_pa,
        low_gauge_pressure_pa=low if bounded else None,
        high_gauge_pressure_pa=high if bounded else None,
        present_gauge_pressure_pa=row.regulator.pressure,
        highest_gauge_pressure_pa=highest,
        gauge_offset_pa=_offset(on),
    )


def _offset(on: Sequence[Point]) -> float:
    """What the gauge that these kegs were set by shows too little; 0 where it is not one gauge."""
    found = {one.offset_pa for one in on}
    return found.pop() if len(found) == 1 else 0.0


def _beer(solved: _Solved, point: Point) -> BeerShare:
    row = next(one for one in solved.rows if point.keg in one.kegs)
    gauge = row.gauge_pa or 0.0
    allowed = min(point.highest_pa, row.regulator.max_pressure)
    return BeerShare(
        keg=point.keg,
        beer=point.beer,
        place=point.place,
        temperature_k=point.temperature_k,
        target_vol=point.target_vol,
        tolerance_vol=point.tolerance_vol,
        wanted_gauge_pressure_pa=max(point.gauge_pa, 0.0),
        low_gauge_pressure_pa=max(point.low_pa, 0.0),
        high_gauge_pressure_pa=max(point.high_pa, 0.0),
        regulator=row.regulator.name,
        present_regulator=point.present,
        gauge_pressure_pa=gauge,
        comes_to_vol=_comes_to(solved, point, gauge),
        off_vol=point.off_vol(gauge),
        within=point.keeps(gauge),
        limited=point.gauge_pa > allowed + NEAR_PA,
    )


def _comes_to(solved: _Solved, point: Point, gauge_pa: float) -> Band:
    """Where it ends, counting what gauge, thermometer and beer may be off by."""
    system = solved.shared.system
    samples = draws(SAMPLES, own_spread(system, point.keg))
    beer = composition(system.beer(point.beer))
    factor = beer_physics.solubility_factor(
        beer, samples.beer_factor, samples.alcohol_effect, samples.extract_effect
    )
    pressure = np.maximum(point.ambient_pa + gauge_pa + samples.gauge_offset_pa, 0.0)
    kelvin = point.temperature_k + point.offset_k + samples.thermometer_offset_k
    spread = solubility.equilibrium_volumes(pressure, kelvin, factor)
    return band(point.level(gauge_pa), np.asarray(spread))


def _trade_offs(solved: _Solved) -> tuple[TradeOff, ...]:
    """One fewer, as asked, one more; more than there are beers help nobody."""
    useful = max(len(solved.points), solved.asked)
    return tuple(
        _trade_off(solved, count, found)
        for count, found in solved.answers.items()
        if found is not None and count <= useful
    )


def _trade_off(solved: _Solved, count: int, found: Found) -> TradeOff:
    gauge_of = {
        keg: float(solved.puzzle.gauges_pa[group.pressure])
        for group in found.groups
        for keg in group.kegs
    }
    off = [(one.off_vol(gauge_of[at]), one) for at, one in enumerate(solved.points)]
    worst_off, worst = max(off, key=lambda pair: abs(pair[0]) / pair[1].near_vol)
    cost = _cost(solved, count, found)
    return TradeOff(
        regulators=count,
        asked=count == solved.asked,
        gauge_pressures_pa=tuple(
            float(solved.puzzle.gauges_pa[group.pressure]) for group in found.groups
        ),
        outside=found.outside,
        worst_keg=worst.keg,
        worst_beer=worst.beer,
        worst_off_vol=worst_off,
        worst_tolerances=abs(worst_off) / worst.tolerance_vol,
        loss=found.loss,
        cost_low=None if cost is None else cost.low,
        cost_high=None if cost is None else cost.high,
        currency=None if cost is None else cost.currency,
        unpriced=() if cost is None else cost.unpriced,
    )


def _cost(solved: _Solved, count: int, found: Found) -> Cost | None:
    if solved.prices is None:
        return None
    rows = hung(solved.shared, solved.puzzle, found, count)
    return cost_of(solved.shared, rows, solved.prices)


def _cautions(solved: _Solved, beers: Sequence[BeerShare]) -> tuple[Caution, ...]:
    shared = any(len(row.kegs) > 1 for row in solved.rows)
    beyond = (BEYOND_RATING,) if any(one.limited for one in beers) else ()
    return (*beyond, LOWEST, *((LEGS,) if shared else ()))


def _remarks(solved: _Solved, beers: Sequence[BeerShare]) -> tuple[str, ...]:
    found = list(
        dict.fromkeys(
            said
            for one in beers
            for said in solubility.remarks(one.gauge_pressure_pa, one.temperature_k)
        )
    )
    used = [row for row in solved.rows if row.kegs]
    if len(used) < solved.asked:
        found.append(
            "More regulators than these gain nothing; one that stays free serves to carbonate."
        )
    far = [one.beer for one in beers if abs(one.off_vol) > FAR * one.tolerance_vol]
    if far:
        found.append(
            f"{listed(far)} would lie more than {FAR:g} times the tolerance off: rather shut the "
            "gas of such a keg and open it only to pour, or give it a regulator of its own."
        )
    if any(
        len({one.offset_pa for one in solved.points if one.keg in row.kegs}) > 1 for row in used
    ):
        found.append(
            "The gauges that these kegs were set by do not read alike: each keg is counted by its "
            "own. Read the new gauge against the old one once a keg hangs on it."
        )
    if any(one.gauge_pressure_pa <= 0.0 for one in beers):
        found.append(
            "Where no gauge pressure is to be set, the beer keeps more than its target by itself, "
            "and nothing pushes it out: serve it warmer, or want more volumes."
        )
    return tuple(found)
