"""A party: how much beer of which kind, what has to be ready, and whether everything keeps up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.household import household
from ullage.cellar.other_events import Gathering
from ullage.errors import EventError
from ullage.everyday_units import US_PINT_M3
from ullage.plan import cautions, clock
from ullage.plan.brewing_days import DAY_S
from ullage.plan.brewing_lead import lead_time
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.fermenting import in_fermenters
from ullage.plan.followed import Followed, followed
from ullage.plan.look_ahead import HORIZON, kegs_ahead
from ullage.plan.party_answer import (
    HOUR_S,
    KegStanding,
    PartyAnswer,
    PartyBeer,
    PartyKeg,
    PartyQuestion,
)
from ullage.plan.party_gas import GasScene, ToBrew, party_gas
from ullage.plan.party_kegs import chill, party_keg
from ullage.plan.party_queue import queue
from ullage.plan.party_taps import Spot, placed, spots
from ullage.plan.party_text import MOST_PARTY_M3
from ullage.plan.pours_now import pours_now
from ullage.plan.present import present_system, told
from ullage.plan.spoken import headed
from ullage.system import parts
from ullage.system.model import Beer, Keg, System
from ullage.units import Kind, format_quantity

ORDER: Final[tuple[KegStanding, ...]] = ("ready", "in time", "unknown", "late")
NEW_BEER: Final = Beer(name="a new beer", volumes=2.4)
"""Stands in for a beer that nobody described: what was asked for may be no name at all."""
LOST: Final = 1.05
"""Beer drawn over beer drunk: foam and the first glass. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Scene:
    """The log and the system as a party finds them."""

    log: Sequence[Event]
    ahead: Followed
    system: System
    question: PartyQuestion
    kegs: Mapping[str, PartyKeg]


def party(
    log: Sequence[Event], at: datetime, question: PartyQuestion, described: System | None = None
) -> PartyAnswer:
    """What a party needs, by the log up to `at`."""
    ahead = followed(log, at, HORIZON, described)
    system = present_system(described, ahead.now, told(log))
    coming = kegs_ahead(ahead)
    kegs = {one.keg: party_keg(log, ahead, one, question, described) for one in coming}
    scene = _Scene(log, ahead, system, question, kegs)
    drinks = drinks_of(question)
    wanted = LOST * question.guests * drinks * question.drink_m3
    names = question.beers or _poured(system)
    there = spots(system, {one.tap: kegs[one.keg] for one in coming if one.tap is not None})
    beers = tuple(_beer(scene, name, wanted / len(names), there) for name in names)
    short = sum(one.short_m3 for one in beers) if names else wanted
    more = _more(scene, beers, there)
    asked_of = _enough(more, short)
    ends = clock.after(question.starts, question.lasts_s)
    return PartyAnswer(
        at=at,
        starts=clock.after(question.starts, 0.0),
        ends=ends,
        name=question.name,
        guests=question.guests,
        units=household(log).units,
        drinks=drinks,
        drink_m3=question.drink_m3,
        beer_m3=wanted,
        short_m3=max(short - _there(more), 0.0),
        beers=beers,
        chill=chill(ahead, [*(keg for one in beers for keg in one.kegs), *asked_of], question),
        queue=queue(question.guests, question.first_hour, _glasses(scene)),
        gas=party_gas(
            GasScene(log, ahead, system, coming, question.starts),
            [*((one.wanted_m3, one.kegs) for one in beers), (short, asked_of)],
            _to_brew(scene, beers, asked_of),
        ),
        remarks=tuple(_remarks(scene, names, more)),
        cautions=(cautions.ALCOHOL, cautions.PRESSURE, *cautions.for_gas()),
        more=more,
    )


def drinks_of(question: PartyQuestion) -> float:
    """The drinks of one guest: so many in the first hour, so many in each after it."""
    hours = question.lasts_s / HOUR_S
    return question.first_hour * min(hours, 1.0) + question.per_hour * max(hours - 1.0, 0.0)


def gathering_of(answer: PartyAnswer, now: datetime) -> Gathering:
    """The party as an event of the log: planned, if it lies ahead.

    Raises `EventError` for one that drinks more than an event may tell of.
    """
    if answer.beer_m3 > MOST_PARTY_M3:
        raise EventError(
            f"{1e3 * answer.beer_m3:,.0f} L is more than a party may drink in the log, "
            f"{1e3 * MOST_PARTY_M3:,.0f} L: say fewer guests, or fewer or smaller drinks"
        )
    return Gathering(
        at=answer.starts,
        about=answer.name,
        ends=answer.ends,
        guests=answer.guests,
        beer_m3=round(answer.beer_m3, 6),
        planned=answer.starts > now,
    )


def _poured(system: System) -> tuple[str, ...]:
    """The beers on the taps."""
    kegs = {keg.name: keg.beer for keg in system.kegs}
    found = [kegs.get(tap.keg) for tap in system.taps if not tap.to_buy]
    return tuple(dict.fromkeys(beer for beer in found if beer is not None))


def _beer(scene: _Scene, name: str, wanted_m3: float, on_taps: Sequence[Spot]) -> PartyBeer:
    kegs = tuple(one for one in scene.kegs.values() if one.beer == name)
    there = _there(kegs)
    short = max(wanted_m3 - there, 0.0)
    fills = [parts.keg_kind(keg.kind).usual_fill_m3 for keg in scene.system.kegs]
    usual = max(fills, default=0.0189)
    return PartyBeer(
        beer=name,
        wanted_m3=wanted_m3,
        there_m3=there,
        short_m3=short,
        kegs_needed=math.ceil(wanted_m3 / usual - 1e-9),
        kegs=placed(scene.system, _enough(kegs, wanted_m3), on_taps),
        brew_by=_brew_by(scene, name) if short > 0.0 else None,
    )


def _to_brew(
    scene: _Scene, beers: Sequence[PartyBeer], more: Sequence[PartyKeg]
) -> tuple[ToBrew, ...]:
    """The beer that is in no keg yet, each with the keg that it would stand in."""
    left, found = _there(more), []
    for one in beers:
        missing = max(one.short_m3 - left, 0.0)
        left = max(left - one.short_m3, 0.0)
        keg = _keg_for(scene.system, one.beer)
        if missing > 0.0 and keg is not None:
            beer = next((each for each in scene.system.beers if each.name == one.beer), None)
            found.append(ToBrew(beer or NEW_BEER, keg, missing))
    return tuple(found)


def _there(kegs: Sequence[PartyKeg]) -> float:
    """The beer of kegs that can be drunk by then, m³."""
    return sum(keg.beer_m3 for keg in kegs if keg.standing in ("ready", "in time"))


def _more(
    scene: _Scene, beers: Sequence[PartyBeer], on_taps: Sequence[Spot]
) -> tuple[PartyKeg, ...]:
    """Kegs of beers that no tap pours, each with the tap it could go on; the ready ones first.

    None where it was said what is poured, where they are not to be counted, or with no tap.
    """
    if scene.question.beers or not scene.question.untapped or not on_taps:
        return ()
    named = {one.beer for one in beers}
    others = [one for one in scene.kegs.values() if one.beer and one.beer not in named]
    first = [keg for one in beers for keg in one.kegs]
    ordered = (*first, *sorted(others, key=lambda one: ORDER.index(one.standing)))
    return placed(scene.system, ordered, on_taps)[len(first) :]


def _enough(kegs: tuple[PartyKeg, ...], wanted_m3: float) -> tuple[PartyKeg, ...]:
    """Those that are wanted, the ready ones first, until there is enough."""
    found: list[PartyKeg] = []
    left = wanted_m3
    for keg in sorted(kegs, key=lambda one: ORDER.index(one.standing)):
        if left > 0.0:
            found.append(keg)
            left -= keg.beer_m3
    return tuple(found)


def _brew_by(scene: _Scene, name: str) -> datetime | None:
    """The last morning to brew it, the quickest way to carbonate counted; `None`: gone by."""
    beer = next((one for one in scene.system.beers if one.name == name), None)
    keg = _keg_for(scene.system, name)
    if keg is None:
        return None
    lead = lead_time(
        scene.system,
        beer or NEW_BEER,
        keg,
        scene.ahead.at,
        BrewingQuestion(),
    )
    seconds = lead.ferments_s + lead.conditions_s + lead.quick_s
    days = math.ceil(seconds / DAY_S)
    last = scene.question.starts - timedelta(days=days)
    return clock.after(last, 0.0) if last > scene.ahead.at else None


def _keg_for(system: System, name: str) -> Keg | None:
    """A keg of a tap that pours the beer, or else any of a tap, where such a keg will stand."""
    kegs = {keg.name: keg for keg in system.kegs}
    tapped = [kegs[tap.keg] for tap in system.taps if tap.keg in kegs]
    return next((keg for keg in tapped if keg.beer == name), tapped[0] if tapped else None)


def _glasses(scene: _Scene) -> tuple[float, ...]:
    """Seconds for a drink at each tap: as it pours now, else as it is meant to."""
    gauges = {
        name: keg.supply.gauge_pa
        for name, keg in scene.ahead.now.kegs.items()
        if keg.supply is not None
    }
    known = {one.tap: one.pint_s.value for one in pours_now(scene.system, gauges)}
    pints = [known.get(tap.name, tap.pint_in) for tap in scene.system.taps if not tap.to_buy]
    return tuple(pint * scene.question.drink_m3 / US_PINT_M3 for pint in pints)


def _remarks(scene: _Scene, names: Sequence[str], more: Sequence[PartyKeg]) -> Iterator[str]:
    if not names and not more:
        yield "No tap pours a beer yet, so it is not told which beer is for the party."
    for one in in_fermenters(scene.log, scene.ahead.at):
        if one.batch in names:
            amount = format_quantity(one.volume_m3, Kind.VOLUME, household(scene.log).units)
            yield (
                f"{headed('fermenter', one.fermenter)} holds {amount} of {one.batch} besides, "
                "which is not counted: it has to be packaged and carbonated first."
            )
    known = {beer.name for beer in scene.system.beers}
    for name in names:
        if name not in known:
            yield f"No beer is called {name} here; it counts as one that is yet to be brewed."
    if scene.question.starts < scene.ahead.at:
        yield "That moment has passed: write down what was drunk as a gathering."
