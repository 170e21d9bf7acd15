"""Taps as a brewing plan sees them: what each pours, how quickly, and how that changes ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from scipy.special import gammaincinv

from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import Filled, Tapped
from ullage.plan.brewing_case import Stretch, TapDemand
from ullage.plan.brewing_days import DAY_S
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.drinking import Rate, given_rate
from ullage.plan.followed import Followed
from ullage.plan.gatherings import PARTY_SHAPE, pieces
from ullage.plan.look_ahead import KegAhead
from ullage.plan.spoken import headed
from ullage.system.model import System, Tap

ASKED_FOR: Final = "as you say here"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a stock is made from: the cellar followed ahead, its kegs, the system as it is now."""

    log: Sequence[Event]
    ahead: Followed
    kegs: Mapping[str, KegAhead]
    system: System
    question: BrewingQuestion


@dataclass(frozen=True, slots=True)
class Outlet:
    """Taps on one keg, taken as one: their names, the keg, its beer and how quickly it is drunk."""

    name: str
    keg: str
    beer: str
    rate: Rate


@dataclass(frozen=True, slots=True)
class Untold:
    """Taps on one keg whose beer is drunk at a rate that nobody knows."""

    name: str
    keg: str
    beer: str


@dataclass(frozen=True, slots=True)
class Outlets:
    """Those that can be planned for, those whose rate is not known, and what else is to be said."""

    found: tuple[Outlet, ...]
    untold: tuple[Untold, ...]
    remarks: tuple[str, ...]


def outlets_of(asked: Asked) -> Outlets:
    """Each keg that taps are on, with its beer and its rate as far as they are known."""
    told = dict(asked.question.beers)
    last = _last_beers(asked.log)
    groups: dict[str, list[Tap]] = {}
    for tap in asked.system.taps:
        if not tap.to_buy:
            groups.setdefault(tap.keg, []).append(tap)
    found, untold, remarks = [], [], []
    for keg, taps in groups.items():
        name = " and ".join(tap.name for tap in taps)
        beer = next((told[tap.name] for tap in taps if tap.name in told), None)
        beer = beer or _beer_of(asked, keg) or next(filter(None, map(last.get, _names(taps))), None)
        rate = _rate(asked, keg, taps)
        if beer is None:
            remarks.append(
                f"{headed('tap', name)} has poured no beer yet, so none is planned for it."
            )
        elif rate is None:
            untold.append(Untold(name, keg, beer))
        else:
            found.append(Outlet(name, keg, beer, rate))
    return Outlets(tuple(found), tuple(untold), tuple(remarks))


def demand(asked: Asked, one: Outlet, names: Sequence[str], now_d: float) -> TapDemand:
    """What is poured of a tap from now on, with its part of the gatherings, on the quick side."""
    rate = sure_rate(one.rate, asked.question.sureness) * DAY_S
    all_taps = sum(each.drunk_m3_s.value for each in asked.ahead.drinking.taps.values() if each)
    share = one.rate.drunk_m3_s.value / all_taps if all_taps else 1.0
    party = max(1.0, float(gammaincinv(PARTY_SHAPE, asked.question.sureness)) / PARTY_SHAPE)
    cut = pieces(asked.ahead.held, asked.ahead.at, min(share, 1.0))
    return TapDemand(
        one.name,
        names.index(one.beer),
        tuple(
            Stretch(
                now_d + each.begin_s / DAY_S,
                now_d + each.end_s / DAY_S,
                rate * each.factor + party * each.told_m3_s * DAY_S,
            )
            for each in cut
        ),
    )


def sure_rate(rate: Rate, sureness: float) -> float:
    """A rate (m³/s) that is exceeded with a chance of 1 − `sureness`, no less than the usual."""
    mean = rate.drunk_m3_s.value
    return max(mean, mean * float(gammaincinv(rate.shape, sureness)) / rate.shape)


def _names(taps: Sequence[Tap]) -> list[str]:
    return [tap.name for tap in taps]


def _beer_of(asked: Asked, keg: str) -> str | None:
    state = asked.ahead.now.kegs.get(keg)
    return state.batch if state is not None and state.holds_beer else None


def _rate(asked: Asked, keg: str, taps: Sequence[Tap]) -> Rate | None:
    """How quickly the taps of a keg are drunk: as asked, learnt of them, or of the beer in it."""
    said = sum(flow for name, flow in asked.question.drunk if name in _names(taps))
    if said > 0.0:
        return given_rate(said, ASKED_FOR)
    known = [asked.ahead.drinking.taps.get(tap.name) for tap in taps]
    rates = [rate for rate in known if rate is not None]
    return max(rates, key=lambda rate: rate.drunk_m3_s.value, default=None) or (
        asked.ahead.drinking.kegs.get(keg)
    )


def _last_beers(log: Sequence[Event]) -> dict[str, str]:
    """The beer that each tap poured last."""
    on: dict[str, str] = {}
    holds: dict[str, str] = {}
    found: dict[str, str] = {}
    for event in in_order(log):
        if event.planned:
            continue
        if isinstance(event, Filled):
            holds[event.keg] = event.batch
        elif isinstance(event, Tapped):
            on[event.keg] = event.tap
        else:
            continue
        if event.keg in on and event.keg in holds:
            found[on[event.keg]] = holds[event.keg]
    return found
