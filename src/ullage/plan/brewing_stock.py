"""From the log and the system to the numbers that a schedule is made from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from ullage.cellar.events import Event
from ullage.cellar.other_events import Brewed
from ullage.cellar.state import KegState
from ullage.plan.brewing_case import (
    CLEANING_D,
    WORK_D,
    BeerKind,
    Brew,
    BrewingCase,
    FermenterCase,
    KegStock,
)
from ullage.plan.brewing_days import DAY_S, Days
from ullage.plan.brewing_lead import lead_time
from ullage.plan.brewing_outlets import Asked, Outlet, Untold, demand, outlets_of
from ullage.plan.brewing_question import BrewingQuestion, LeadTime
from ullage.plan.brewing_run import follow
from ullage.plan.fermenting import InFermenter, in_fermenters
from ullage.plan.spoken import date_text, headed
from ullage.plan.steps import due_steps
from ullage.system import parts
from ullage.system.model import Beer, Keg, System


@dataclass(frozen=True, slots=True)
class Stock:
    """A case with the names behind its numbers, and what has to be said of it."""

    case: BrewingCase
    outlets: tuple[Outlet, ...]
    leads: tuple[LeadTime, ...]
    begun: tuple[InFermenter, ...]
    days: Days
    remarks: tuple[str, ...]
    untold: tuple[Untold, ...] = ()


def stock(asked: Asked) -> Stock:
    """All that a schedule from now on is made from."""
    start, question = asked.ahead.at, asked.question
    days, there = Days(start), outlets_of(asked)
    outlets = there.found
    begun = in_fermenters(asked.log, start)
    leads = tuple(_leads(asked, (*outlets, *there.untold)))
    names = [lead.beer for lead in leads]
    for name in (*_in_kegs(asked), *(one.batch for one in begun), *_meant(asked.log, start)):
        if name not in names:
            names.append(name)
            leads += (_bare(asked.system, name),)
    now_d = days.of(start)
    case = BrewingCase(
        taps=tuple(demand(asked, one, names, now_d) for one in outlets),
        beers=tuple(_kind(lead, question) for lead in leads),
        fermenters=tuple(_fermenters(asked.system, begun)),
        kegs=tuple(_kegs(asked, outlets, names, now_d)),
        slots=_slots(days, question, now_d),
        horizon_d=now_d + question.horizon_s / DAY_S,
        now_d=now_d,
        most_a_day=question.most_a_day,
    )
    fixed, said = _fixed(case, names, begun, asked)
    return Stock(
        case=replace(case, fixed=fixed),
        outlets=outlets,
        leads=leads,
        begun=begun,
        days=days,
        remarks=(*there.remarks, *said),
        untold=there.untold,
    )


def _in_kegs(asked: Asked) -> Iterator[str]:
    for state in asked.ahead.now.kegs.values():
        if state.holds_beer and state.batch is not None:
            yield state.batch


def _meant(log: Sequence[Event], at: datetime) -> Iterator[str]:
    for event in _planned_brews(log, at):
        yield event.batch


def _planned_brews(log: Sequence[Event], at: datetime) -> list[Brewed]:
    """Brews that somebody planned by hand: they stay whatever is adopted."""
    return [
        event
        for event in due_steps(log)
        if isinstance(event, Brewed) and event.plan is None and event.at >= at
    ]


def _leads(asked: Asked, outlets: Sequence[Outlet | Untold]) -> Iterator[LeadTime]:
    seen: set[str] = set()
    for one in outlets:
        if one.beer not in seen:
            seen.add(one.beer)
            beer = _beer(asked.system, one.beer)
            keg = next(keg for keg in asked.system.kegs if keg.name == one.keg)
            yield lead_time(asked.system, beer, keg, asked.ahead.at, asked.question)


def _beer(system: System, name: str) -> Beer:
    """The beer as it is described, or the usual beer under that name."""
    found = next((one for one in system.beers if one.name == name), None)
    return found or Beer(name=name, volumes=2.4)


def _bare(system: System, name: str) -> LeadTime:
    """Of a beer that no tap pours: its time in the fermenter; carbonation matters to nobody."""
    beer = _beer(system, name)
    return LeadTime(name, beer.ferments_in, beer.conditions_in, 0.0, "", 0.0, "")


def _kind(lead: LeadTime, question: BrewingQuestion) -> BeerKind:
    seconds = lead.quick_s if question.quick else lead.carbonates_s
    in_fermenter = math.ceil((lead.ferments_s + lead.conditions_s) / DAY_S - 1e-9)
    return BeerKind(lead.beer, in_fermenter, seconds / DAY_S)


def _fermenters(system: System, begun: Sequence[InFermenter]) -> Iterator[FermenterCase]:
    """Those owned, and those that only the log knows of, as they hold something."""
    known = [one for one in system.fermenters if not one.to_buy]
    yield from (FermenterCase(one.name, one.volume) for one in known)
    names = {one.name for one in known}
    yield from (
        FermenterCase(one.fermenter, one.volume_m3) for one in begun if one.fermenter not in names
    )


def _kegs(
    asked: Asked, outlets: Sequence[Outlet], names: Sequence[str], now_d: float
) -> Iterator[KegStock]:
    on = {one.keg: place for place, one in enumerate(outlets)}
    for keg in asked.system.kegs:
        if keg.to_buy:
            continue
        fill = parts.keg_kind(keg.kind).usual_fill_m3
        state = asked.ahead.now.kegs.get(keg.name)
        if state is None or not state.holds_beer or state.batch is None:
            clean = now_d if state is None or _is_clean(state) else now_d + CLEANING_D
            yield KegStock(keg.name, fill, ready_d=clean)
            continue
        tap = on.get(keg.name, -1)
        yield KegStock(
            keg.name,
            fill,
            names.index(state.batch),
            float(state.beer_m3),
            _ready_d(asked, keg, now_d),
            tap if tap >= 0 and outlets[tap].beer == state.batch else -1,
        )


def _is_clean(state: KegState) -> bool:
    """Whether it was cleaned since beer was in it, or never held any."""
    return state.filled_at is None or (
        state.cleaned_at is not None and state.cleaned_at > state.filled_at
    )


def _ready_d(asked: Asked, keg: Keg, now_d: float) -> float:
    """When the beer in a keg can be drunk: now where it is drunk from already."""
    told = asked.kegs.get(keg.name)
    if told is None or told.is_ready or (told.tap and told.drinking and _is_drunk(asked, keg)):
        return now_d
    ready = told.ready.late or told.ready.at
    lead = next((one for one in asked.system.beers if one.name == told.batch), None)
    if ready is None or lead is None:
        return now_d + _waits_d(asked, keg, lead)
    return now_d + max((ready - asked.ahead.at).total_seconds(), 0.0) / DAY_S


def _is_drunk(asked: Asked, keg: Keg) -> bool:
    """Whether its rate was learnt from its own beer, which so is drunk already."""
    rate = asked.ahead.drinking.kegs.get(keg.name)
    return rate is not None and all(rate is not each for each in asked.ahead.drinking.taps.values())


def _waits_d(asked: Asked, keg: Keg, beer: Beer | None) -> float:
    """Days that a keg with no gas on takes from when somebody puts it on."""
    if beer is None:
        return 0.0
    lead = lead_time(asked.system, beer, keg, asked.ahead.at, asked.question)
    return (lead.quick_s if asked.question.quick else lead.carbonates_s) / DAY_S


def _slots(days: Days, question: BrewingQuestion, now_d: float) -> tuple[int, ...]:
    """The days on which one may brew, today while the morning is not over."""
    ahead = range(math.ceil(now_d - WORK_D), math.ceil(now_d + question.horizon_s / DAY_S))
    return tuple(
        day
        for day in ahead
        if day >= 0 and (days.today + timedelta(days=day)).weekday() in question.weekdays
    )


def _fixed(
    case: BrewingCase, names: Sequence[str], begun: Sequence[InFermenter], asked: Asked
) -> tuple[tuple[Brew, ...], tuple[str, ...]]:
    """Batches that are begun, and brews somebody planned by hand; in words what cannot be."""
    place = {one.name: index for index, one in enumerate(case.fermenters)}
    start, days = asked.ahead.at, Days(asked.ahead.at)
    told = [(one.fermenter, one.batch, one.volume_m3, one.brewed_at) for one in begun]
    hand = _planned_brews(asked.log, start)
    told += [(one.fermenter, one.batch, one.volume_m3, one.at) for one in hand]
    fixed: tuple[Brew, ...] = ()
    remarks = []
    for fermenter, batch, volume, at in told:
        day = math.floor(days.of(at))
        brew = Brew(day, place.get(fermenter, -1), names.index(batch), volume)
        if brew.fermenter < 0 or follow(case, (*fixed, brew)) is None:
            remarks.append(
                f"{headed('fermenter', fermenter)} is not free for {batch} on {at:%a} "
                f"{date_text(at, start)}: that "
                "planned brew is left out."
            )
            continue
        fixed = (*fixed, brew)
    return fixed, tuple(remarks)
