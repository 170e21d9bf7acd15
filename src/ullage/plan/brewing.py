"""Brewing ahead: when to brew, what to package into which keg, so that no tap runs dry."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from ullage.cellar.events import Event
from ullage.cellar.household import household
from ullage.plan import cautions
from ullage.plan.brewing_answer import (
    LEFT_OVER_M3,
    BatchPlan,
    BrewingAnswer,
    DryTime,
    GatheringAhead,
    KegFilled,
    TapAhead,
    UntoldTap,
)
from ullage.plan.brewing_bars import bars, rows
from ullage.plan.brewing_case import WORK_D, Batch, Filling, Schedule
from ullage.plan.brewing_cures import cures
from ullage.plan.brewing_days import Days
from ullage.plan.brewing_exact import best
from ullage.plan.brewing_outlets import Asked, sure_rate
from ullage.plan.brewing_question import BrewingQuestion, LeadTime
from ullage.plan.brewing_search import Progress, unheard
from ullage.plan.brewing_stock import Stock, stock
from ullage.plan.followed import Followed, followed
from ullage.plan.look_ahead import HORIZON, kegs_ahead
from ullage.plan.present import present_system, told
from ullage.system.model import System
from ullage.system.parts import unknown

USUAL = BrewingQuestion()


def brewing(
    log: Sequence[Event],
    at: datetime,
    described: System | None = None,
    question: BrewingQuestion = USUAL,
    progress: Progress = unheard,
) -> BrewingAnswer:
    """When to brew what from `at` on, by the log and what the system file describes.

    `progress` is told the share that is worked out, from 0 to 1. Raises `UnknownName` for a tap
    that the question names and that is not there.
    """
    ahead = followed(log, at, HORIZON, described)
    system = present_system(described, ahead.now, told(log))
    kegs = {one.keg: one for one in kegs_ahead(ahead)}
    _check_taps(system, question)
    made = stock(Asked(log, ahead, kegs, system, question))
    found, proven = best(made.case, progress)
    return BrewingAnswer(
        at=Days(at).moment(made.case.now_d),
        until=made.days.moment(made.case.horizon_d),
        units=household(log).units,
        sureness=question.sureness,
        batches=tuple(_batches(made, found)),
        taps=tuple(_taps(made, question)),
        dry=tuple(_dry(made, found)),
        dry_days=found.key.dry_d,
        cures=cures(made, found, system, question),
        leads=tuple(_leads(made, described)),
        gatherings=tuple(_gatherings(ahead, at + timedelta(seconds=question.horizon_s))),
        rows=rows(made),
        bars=bars(made, found),
        proven=proven,
        remarks=(*made.remarks, *_remarks(made, found)),
        cautions=cautions.for_brewing(),
        untold=tuple(_untold(made)),
    )


def _check_taps(system: System, question: BrewingQuestion) -> None:
    """Refuse a question about a tap that is not there. Raises `UnknownName`."""
    known = [tap.name for tap in system.taps]
    for name, _ in (*question.beers, *question.drunk):
        if name not in known:
            raise unknown("tap", name, known)


def _leads(made: Stock, described: System | None) -> Iterator[LeadTime]:
    """Those of beers that a tap pours; whether its time in the fermenter is the keeper's own."""
    beers = () if described is None else described.beers
    told_of = {beer.name for beer in beers if "ferments_in" in beer.model_fields_set}
    for lead in made.leads:
        if lead.way:
            yield replace(lead, ferments_told=lead.beer in told_of)


def _batches(made: Stock, found: Schedule) -> Iterator[BatchPlan]:
    """Those that are begun first, then by their day."""
    fixed = set(made.case.fixed)
    by_day = sorted(
        enumerate(found.batches), key=lambda one: (one[1].brew not in fixed, one[1].brew.day)
    )
    for index, batch in by_day:
        fillings = [one for one in found.fillings if one.batch == index]
        yield _batch(made, batch, fillings, batch.brew in fixed)


def _batch(made: Stock, batch: Batch, fillings: Sequence[Filling], begun: bool) -> BatchPlan:
    case, days = made.case, made.days
    packed = batch.packaged_d if batch.packaged_d < case.horizon_d else math.inf
    return BatchPlan(
        beer=case.beers[batch.brew.beer].name,
        fermenter=case.fermenters[batch.brew.fermenter].name,
        volume_m3=batch.volume_m3,
        brew_at=_brewed_at(made, batch, begun),
        done_at=days.moment(batch.done_d + WORK_D),
        packaged_at=days.moment(packed + WORK_D) if math.isfinite(packed) else None,
        kegs=tuple(_filled(made, one) for one in fillings),
        left_over_m3=batch.left_over_m3,
        begun=begun,
    )


def _brewed_at(made: Stock, batch: Batch, begun: bool) -> datetime:
    """The moment that is told of a batch that is begun, else the morning of its day."""
    name = made.case.fermenters[batch.brew.fermenter].name
    for one in made.begun:
        if begun and one.fermenter == name and batch.brew.day <= made.case.now_d:
            return one.brewed_at
    return made.days.moment(batch.brew.day + WORK_D)


def _filled(made: Stock, one: Filling) -> KegFilled:
    case, days = made.case, made.days
    return KegFilled(
        keg=case.kegs[one.keg].name,
        volume_m3=one.beer_m3,
        packaged_at=days.moment(one.filled_d + WORK_D),
        ready_at=days.moment(one.ready_d),
        tap=case.taps[one.tap].name if one.tap >= 0 else None,
        tapped_at=days.moment(one.tapped_d) if one.tap >= 0 else None,
        kicked_at=days.moment(one.kicked_d) if one.kicked_d < case.horizon_d else None,
    )


def _dry(made: Stock, found: Schedule) -> Iterator[DryTime]:
    case = made.case
    for one in sorted(found.dry, key=lambda dry: (dry.begin_d, dry.tap)):
        tap = case.taps[one.tap]
        yield DryTime(
            tap=tap.name,
            beer=case.beers[tap.beer].name,
            begins=made.days.moment(one.begin_d),
            ends=made.days.moment(one.end_d),
            days=one.end_d - one.begin_d,
            to_the_end=one.end_d >= case.horizon_d,
        )


def _taps(made: Stock, question: BrewingQuestion) -> Iterator[TapAhead]:
    for one in made.outlets:
        yield TapAhead(
            tap=one.name,
            keg=one.keg,
            beer=one.beer,
            drunk_m3_s=one.rate.drunk_m3_s,
            counted_m3_s=sure_rate(one.rate, question.sureness),
            learnt=one.rate.learnt,
        )


def _untold(made: Stock) -> Iterator[UntoldTap]:
    whole = {lead.beer: lead.whole_s for lead in made.leads}
    for one in made.untold:
        yield UntoldTap(one.name, one.keg, one.beer, whole[one.beer])


def _gatherings(ahead: Followed, until: datetime) -> Iterator[GatheringAhead]:
    for one in ahead.held:
        if one.ends > ahead.at and one.at < until:
            yield GatheringAhead(one.about, one.at, one.ends, one.guests, one.beer_m3, one.factor)


def _remarks(made: Stock, found: Schedule) -> Iterator[str]:
    case = made.case
    if not case.fermenters:
        yield "No fermenter is told: add a [[fermenter]] with its volume to the system file."
    if not case.slots:
        yield "There is no day to brew on within the time looked at: allow more weekdays."
    poured = {tap.beer for tap in case.taps}
    untold = {one.beer for one in made.untold}
    for keg in case.kegs:
        if keg.beer >= 0 and keg.beer not in poured and case.taps:
            name = case.beers[keg.beer].name
            if name not in untold:
                yield f"Keg {keg.name} holds {name}, which no tap pours next: it stays taken."
    if any(batch.left_over_m3 > LEFT_OVER_M3 for batch in found.batches):
        yield "More is brewed at once than the empty kegs take: bottle the rest, or brew less."
