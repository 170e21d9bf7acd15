"""What a cylinder's emptying is worked out from: its account ahead, its kegs, what goes besides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

import numpy as np

from ullage.cellar.events import Event, in_order
from ullage.cellar.household import Household
from ullage.cellar.replay import only_cylinder
from ullage.cellar.state import CellarState, KegState
from ullage.physics.numbers import Numbers
from ullage.plan.cylinder_ahead import CylinderCourse, Losses
from ullage.plan.drinking import SERVING_M3, Rate
from ullage.plan.followed import SAMPLES, Followed
from ullage.plan.gas_ahead_drunk import DAY_S, KegOn, Usual
from ullage.plan.gas_ahead_losses import Known, known_of, losses_of
from ullage.plan.gas_ahead_taps import LEFT_DRY, USUAL_GAP_S, TapTold, emptied, taps_told
from ullage.plan.gas_ahead_unbooked import unbooked
from ullage.plan.gatherings import Piece, pieces
from ullage.plan.to_come import facts

if TYPE_CHECKING:
    from ullage.plan.look_ahead import KegAhead

USUAL_LEVEL_VOL: Final = 2.5
"""Wanted of the next beer where the log does not tell what the last one was wanted at."""
LEAST_OPEN_S: Final = 14 * DAY_S
LEAST_GLASSES: Final = 8.0
"""From fewer glasses nothing usual is told: their number alone is known to a third; our choice."""
LEAST_USUAL: Final = 0.1
"""Nobody is taken to drink less than a tenth of what is drunk now."""


@dataclass(frozen=True, slots=True)
class GasOf:
    """One cylinder's course if nothing is drunk, the kegs that drink from it, what goes besides."""

    course: CylinderCourse
    kegs: tuple[KegOn, ...]
    losses: Losses
    usual: Usual


@dataclass(frozen=True, slots=True)
class GasLog:
    """What the facts of the log come to for the gas: each cylinder's, and that of the taps.

    `emptied`: when each keg was kicked last, and on which cylinder it was.
    """

    cylinders: Mapping[str, Known]
    taps: Mapping[str, TapTold]
    emptied: Mapping[str, tuple[datetime, str | None]]

    def is_on_tap(self, keg: KegAhead) -> bool:
        """Whether a keg is the one that its tap pours from, as far as is told."""
        tap = self.taps.get(keg.tap or "")
        return tap is None or tap.keg == keg.keg

    def to_fill(self, cylinder: str, ahead: Followed) -> int:
        """Kegs of a cylinder that were kicked of late and wait to be filled."""
        lone = only_cylinder(ahead.now)
        return sum(
            not ahead.now.kegs[keg].holds_beer
            and (fed or lone) == cylinder
            and ahead.at - since < LEFT_DRY
            for keg, (since, fed) in self.emptied.items()
            if keg in ahead.now.kegs
        )


@dataclass(frozen=True, slots=True)
class _Behind:
    """What follows each keg: empty ones to be filled soon, gas to make each new keg ready.

    `all_drunk_m3_s`: from all kegs together, of which each has its part in a gathering, too.
    `co2_share`: CO2 in the cylinder's gas.
    """

    to_fill: float
    each_fill_kg: float
    all_drunk_m3_s: float
    co2_share: float


def gas_log(ahead: Followed, log: Sequence[Event], home: Household) -> GasLog:
    """What the facts of the log come to for the gas."""
    known = in_order(facts(log, ahead.at))
    told = unbooked(known, ahead.now, ahead.ambient_pa)
    found = {
        name: known_of(one, known, ahead.now, told, home)
        for name, one in ahead.now.cylinders.items()
    }
    return GasLog(found, taps_told(known, ahead.now, ahead.at), emptied(known))


def gas_of(ahead: Followed, name: str, kegs: Sequence[KegAhead], log: GasLog) -> GasOf:
    """What a cylinder's emptying is worked out from."""
    course = CylinderCourse(
        at=ahead.at,
        marks_s=ahead.marks_s,
        held_kg=np.array([float(by_account(one, name)) for one in ahead.then]),
        samples_kg=np.array(
            [np.broadcast_to(by_account(one, name), SAMPLES) for one in ahead.wide_then]
        ),
    )
    known = log.cylinders[name]
    fed = [one for one in kegs if fed_by(ahead, one.keg) == name]
    drunk = [one for one in fed if one.drinking is not None and log.is_on_tap(one)]
    dry = list(_dry_taps(ahead, name, {one.tap for one in kegs if log.is_on_tap(one)}, log))
    rates = [one.drinking.drunk_m3_s.value for one in kegs if one.drinking and log.is_on_tap(one)]
    empty = log.to_fill(name, ahead) - len(dry)
    to_fill = max(empty, 0) / max(len(drunk) + len(dry), 1)
    share = ahead.now.cylinders[name].co2_share
    behind = _Behind(to_fill, known.each_fill_kg, sum(rates), share)
    on = [
        _keg_on(ahead, one, one.drinking, behind, log) for one in drunk if one.drinking is not None
    ]
    on += [_dry_on(ahead, tap, rate, behind) for tap, rate in dry]
    return GasOf(course, tuple(on), losses_of(known, SAMPLES, ahead.at), _usual(on, log))


def _usual(kegs: Sequence[KegOn], log: GasLog) -> Usual:
    """What is drunk usually over what is drunk now, by a year of these taps."""
    taps = [log.taps[one.tap] for one in kegs if one.tap in log.taps]
    long = [
        (tap.drunk_m3, tap.open_s)
        for tap in taps
        if tap.open_s >= LEAST_OPEN_S and tap.drunk_m3 >= LEAST_GLASSES * SERVING_M3
    ]
    now = sum((one.next_rate or one.rate).drunk_m3_s.value for one in kegs if one.tap in log.taps)
    if not long or len(long) < len(kegs) or now <= 0.0:
        return Usual()
    usual = sum(drunk / seconds for drunk, seconds in long)
    return Usual(max(usual / now, LEAST_USUAL), max(seconds for _, seconds in long))


def by_account(cellar: CellarState, cylinder: str) -> Numbers:
    """What a cylinder held when last known less what kegs drew since (kg), losses left out."""
    state = cellar.cylinders[cylinder]
    return state.known_kg - state.drawn_kg


def fed_by(ahead: Followed, keg: str) -> str | None:
    """The cylinder that a keg hangs on when the planned steps are done."""
    last = ahead.then[-1]
    supply = last.kegs[keg].supply
    return None if supply is None else supply.cylinder or only_cylinder(last)


def _keg_on(ahead: Followed, told: KegAhead, rate: Rate, behind: _Behind, log: GasLog) -> KegOn:
    """The keg as the cylinder meets it, and what follows it."""
    keg = ahead.then[-1].kegs[told.keg]
    of_tap, tap = ahead.drinking.taps.get(told.tap or ""), log.taps.get(told.tap or "")
    return KegOn(
        tap=told.tap or "",
        state=keg,
        target_vol=float(keg.level_vol) if told.target_vol is None else told.target_vol,
        gauge_pa=0.0 if keg.supply is None else keg.supply.gauge_pa,
        ambient_pa=ahead.ambient_pa,
        rate=rate,
        beer_m3=told.beer_left_m3.value,
        begins_s=_begins(ahead, told) if rate is of_tap else 0.0,
        next_rate=of_tap,
        to_fill=behind.to_fill,
        each_fill_kg=behind.each_fill_kg,
        gap_s=USUAL_GAP_S if tap is None else tap.gap_s,
        pieces=_gatherings(ahead, rate if told.tap else None, behind),
        co2_share=behind.co2_share,
    )


def _dry_taps(
    ahead: Followed, name: str, pouring: set[str | None], log: GasLog
) -> Iterator[tuple[TapTold, Rate]]:
    """The taps on a cylinder whose keg was kicked and that will get another, with their rates."""
    lone = only_cylinder(ahead.now)
    for tap in log.taps.values():
        rate = ahead.drinking.taps.get(tap.name)
        if tap.name in pouring or rate is None or tap.dry_since is None or tap.gauge_pa is None:
            continue
        if (tap.cylinder or lone) == name and ahead.at - tap.dry_since < LEFT_DRY:
            yield tap, rate


def _dry_on(ahead: Followed, tap: TapTold, rate: Rate, behind: _Behind) -> KegOn:
    """A dry tap as the cylinder will meet it: a keg without beer that begins when the gap ends."""
    batch = ahead.now.batches.get(tap.batch or "")
    dry_s = 0.0 if tap.dry_since is None else (ahead.at - tap.dry_since).total_seconds()
    state: KegState = ahead.now.kegs[tap.keg]
    return KegOn(
        tap=tap.name,
        state=state,
        target_vol=USUAL_LEVEL_VOL if batch is None else batch.target_vol,
        gauge_pa=tap.gauge_pa or 0.0,
        ambient_pa=ahead.ambient_pa,
        rate=rate,
        beer_m3=0.0,
        begins_s=max(tap.gap_s - dry_s, 0.0),
        to_fill=behind.to_fill,
        each_fill_kg=behind.each_fill_kg,
        gap_s=tap.gap_s,
        co2_share=behind.co2_share,
    )


def _gatherings(ahead: Followed, rate: Rate | None, behind: _Behind) -> tuple[Piece, ...]:
    """The gatherings ahead, as a keg has its part in them."""
    if not ahead.held:
        return ()
    on_tap = rate is not None and behind.all_drunk_m3_s > 0.0
    share = rate.drunk_m3_s.value / behind.all_drunk_m3_s if rate and on_tap else 0.0
    return pieces(ahead.held, ahead.at, share)


def _begins(ahead: Followed, told: KegAhead) -> float:
    """Seconds until a keg that nobody drinks from yet is ready; at most as far as was looked."""
    batch = ahead.now.batches.get(told.batch or "")
    last = ahead.marks_s[-1]
    if batch is None:
        return 0.0
    return last if told.ready.at is None else (told.ready.at - ahead.at).total_seconds()
