"""How long each beer takes to carbonate in a full keg of a tap, once for each kind of beer."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from ullage.cellar.track import FERMENTED_K
from ullage.errors import OutOfRange
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.answers import CarbonationAnswer, Schedule
from ullage.plan.brewing_question import BrewingQuestion, LeadTime
from ullage.plan.carbonation import carbonation
from ullage.plan.cases import keg_case, wanted
from ullage.system.model import Beer, Keg, System

USUAL_S: Final = 14 * 86_400.0
"""Where no way can be worked out: two weeks at serving pressure. Common practice, no source."""
USUAL_WAY: Final = "two weeks at serving pressure, as is usual"


def lead_time(
    system: System, beer: Beer, keg: Keg, start: datetime, question: BrewingQuestion
) -> LeadTime:
    """The times of a beer that is filled, as warm as it fermented, into a keg where `keg` stands.

    Counted on the slow side of the band, as a keg in ten carbonates more slowly, unless the
    question is about the usual.
    """
    warm = beer.fermentation_temperature or FERMENTED_K
    flat = {"volume": None, "carbonation": None, "temperature": warm, "beer": beer.name}
    full = keg.model_copy(update=flat)
    plain = beer.model_copy(update={"ready_by": None, "gravity": None})
    try:
        answer = carbonation(
            keg_case(system, full, plain, float(ambient_pressure(system.altitude))),
            wanted(system, full, plain, start),
        )
    except OutOfRange:
        return LeadTime(
            beer=beer.name,
            ferments_s=beer.ferments_in,
            conditions_s=beer.conditions_in,
            carbonates_s=USUAL_S,
            way=USUAL_WAY,
            quick_s=USUAL_S,
            quick_way=USUAL_WAY,
        )
    return _of(answer, beer, start, question)


def _of(
    answer: CarbonationAnswer, beer: Beer, start: datetime, question: BrewingQuestion
) -> LeadTime:
    ways = {way.method: _seconds(way, start, question) for way in answer.schedules if not way.needs}
    able = {method: seconds for method, seconds in ways.items() if seconds is not None}
    advised = answer.advised if answer.advised in able else None
    usual = able.get(advised, USUAL_S) if advised else min(able.values(), default=USUAL_S)
    quick = min(able, key=lambda method: able[method], default=None)
    return LeadTime(
        beer=beer.name,
        ferments_s=beer.ferments_in,
        conditions_s=beer.conditions_in,
        carbonates_s=usual,
        way=advised or quick or USUAL_WAY,
        quick_s=usual if quick is None else able[quick],
        quick_way=quick or USUAL_WAY,
    )


def _seconds(way: Schedule, start: datetime, question: BrewingQuestion) -> float | None:
    ready = way.ready_slow if question.sureness > 0.5 else way.ready_at
    return None if ready is None else (ready - start).total_seconds()
