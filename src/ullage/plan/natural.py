"""Ways by yeast in the keg: priming with sugar, and closing the keg before fermentation ends."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ullage.cellar.course import DAY_S
from ullage.cellar.track import KegCase
from ullage.errors import OutOfRange
from ullage.physics import fermentation, shut_keg, solubility
from ullage.physics.constants import CO2_VOLUME_DENSITY
from ullage.physics.shut_keg import ShutKeg
from ullage.plan import clock, spoken
from ullage.plan.acts import Act, Move, Prime, SetGas, SetSpunding, ShutGas, TopUp
from ullage.plan.answers import Band, Step
from ullage.plan.on_gas import chill_time, gas_for_head, purge
from ullage.plan.schedule import Wanted, Way
from ullage.plan.sealed import SealedKeg, band_of, charged, later, moved, purged
from ullage.plan.sealed_course import (
    course_points,
    first_risen,
    known,
    left_alone,
    shown_until,
)

SUGAR: fermentation.Sugar = "sucrose"
SUGAR_WORDS = "table sugar"
SEATING_GAUGE_PA = 140e3
"""Presses the lid's seal down: some 20 psi; common practice, no source."""
LEAST_PRIMING_VOL = 0.3
"""Less than this is not worth boiling sugar for; our own choice."""
PRIMING_S = 14 * DAY_S
"""About two weeks in the warm; common practice, no source."""
LONGEST_WORK_S = 24 * DAY_S
NO_VALVE = "a spunding valve"
CLOSE_IT = "Close it while it ferments"
COLD_K = 285.15
"""A place no warmer is called cold: 12 °C (54 °F); our own choice."""


@dataclass(frozen=True, slots=True)
class Work:
    """The keg while its yeast works, then chilled and left: `rest_s` warm, `chill_s` after it."""

    kegs: tuple[SealedKeg, ...]
    rest_s: float
    chill_s: float

    @property
    def warm_gauge_pa(self) -> float:
        """The head pressure of the usual keg at the end of its rest, gauge Pa."""
        rested = next(keg for keg in self.kegs if keg.at_s >= self.rest_s)
        return float(rested.head_pa[0]) - rested.case.ambient_pa


def prime(case: KegCase, wanted: Wanted, set_pa: float) -> Way | None:
    """Sugar for the level, counted by the balance of beer and head; `None`: not worth it."""
    if wanted.target_vol - case.start_vol < LEAST_PRIMING_VOL or wanted.means.ferments:
        return None
    sugar_kg = priming_sugar_kg(case, wanted)
    if sugar_kg <= 0.0:
        return None
    seat = _seating(wanted)
    made = sugar_kg * float(fermentation.co2_yield(SUGAR)) / CO2_VOLUME_DENSITY.value
    begun = charged(purged(replace(case, place_k=_warm(case, wanted)), known(case)), seat)
    begun = replace(begun, to_make_m3=np.full(begun.gas_m3.shape, made))
    work = _worked(case, wanted, begun, PRIMING_S)
    if work is None or work.warm_gauge_pa > wanted.keg_gauge_pa:
        return None
    acts: tuple[Act, ...] = (Prime(SUGAR, sugar_kg), purge(wanted), ShutGas(), TopUp(seat))
    start = clock.after(wanted.start, 0.0)
    steps = (
        Step(
            start, _priming_words(case, wanted, sugar_kg, work), seat, (*acts, *_move_warm(wanted))
        ),
        Step(
            clock.after(wanted.start, DAY_S),
            "Wet lid and posts with sanitiser foam: if bubbles show a leak, seat it with gas anew.",
            None,
        ),
        _chill_step(case, wanted, work, set_pa),
    )
    return Way(
        "prime",
        f"Prime with {1e3 * sugar_kg:.0f} g of {SUGAR_WORDS}",
        steps,
        _ready(wanted, work),
        gas_for_head(case, (purge(wanted), TopUp(seat), SetGas(set_pa))),
        course=course_points(wanted, work.kegs),
        remark=_priming_remark(case, wanted, sugar_kg, work),
    )


def priming_sugar_kg(case: KegCase, wanted: Wanted) -> float:
    """Sugar (kg) that, with the seating charge, brings beer and head to the target in the cold."""
    factor = case.factor
    cold_pa = float(solubility.equilibrium_pressure(wanted.target_vol, case.place_k, factor))
    end = shut_keg.gas_m3(cold_pa, case.head_m3, case.place_k)
    seated = case.ambient_pa + _seating(wanted)
    begin = shut_keg.gas_m3(seated, case.head_m3, case.start_k)
    missing = case.beer_m3 * (wanted.target_vol - case.start_vol) + float(end - begin)
    return missing * CO2_VOLUME_DENSITY.value / float(fermentation.co2_yield(SUGAR))


def spund(case: KegCase, wanted: Wanted, set_pa: float) -> Way | None:
    """Close beer that still ferments; the valve lets off all above the level's own pressure."""
    means, rest = wanted.means, _warm_rest(case, wanted)
    if not means.ferments or means.gravity is None or means.final_gravity is None or rest is None:
        return None
    valve_pa = float(rest.head_pa) - case.ambient_pa
    if case.start_vol > rest.beer_vol or not 0.0 < valve_pa <= wanted.keg_gauge_pa:
        return None
    left = float(fermentation.volumes_to_make(means.gravity, means.final_gravity))
    if left * case.beer_m3 < _to_be_made_m3(case, rest):
        return None
    close_sg, closed = closing_gravity(case, wanted), means.valve_gauge_pa is not None
    work = _spunded(case, wanted, valve_pa, left)
    if work is None:
        return None
    steps = (_close_step(case, wanted, close_sg, valve_pa), _chill_step(case, wanted, work, set_pa))
    return Way(
        "spund",
        f"{'Leave it to ferment' if closed else CLOSE_IT}, spunding valve at "
        f"{spoken.pressure(valve_pa)}",
        steps,
        _ready(wanted, work),
        gas_for_head(case, (purge(wanted),)),
        course=course_points(wanted, work.kegs),
        needs=() if means.spunding_valve or closed else (NO_VALVE,),
        remark=f"From {close_sg:.4f} on, what is left to ferment would no longer suffice.",
    )


def _spunded(case: KegCase, wanted: Wanted, valve_pa: float, left_vol: float) -> Work | None:
    begun = purged(replace(case, place_k=_warm(case, wanted)), known(case))
    made = np.full(begun.gas_m3.shape, left_vol * case.beer_m3)
    return _worked(case, wanted, replace(begun, to_make_m3=made, valve_pa=valve_pa), 0.0)


def _close_step(case: KegCase, wanted: Wanted, close_sg: float, valve_pa: float) -> Step:
    do = (
        f"Close the keg no later than at a gravity of {close_sg:.4f}, purged, gas and beer "
        "disconnects off, the spunding valve set to this pressure. Leave it at "
        f"{spoken.temperature(_warm(case, wanted))}."
    )
    acts: tuple[Act, ...] = (purge(wanted), ShutGas(), SetSpunding(valve_pa))
    if wanted.means.valve_gauge_pa is not None:
        warm = spoken.temperature(_warm(case, wanted))
        do = f"Set its spunding valve to this pressure and leave it at {warm} while it ferments."
        acts = (SetSpunding(valve_pa),)
    return Step(clock.after(wanted.start, 0.0), do, valve_pa, (*acts, *_move_warm(wanted)))


def closing_gravity(case: KegCase, wanted: Wanted) -> float:
    """The gravity at which what is left to ferment just makes the level, head counted.

    Raises `OutOfRange` without a final gravity, or where the beer holds that much already.
    """
    final, rest = wanted.means.final_gravity, _warm_rest(case, wanted)
    if final is None or rest is None:
        raise OutOfRange("a closing gravity needs the gravity at which fermentation will end")
    level = float(rest.beer_vol)
    head_m3 = _to_be_made_m3(case, rest) - case.beer_m3 * (level - case.start_vol)
    head_kg = max(head_m3, 0.0) * CO2_VOLUME_DENSITY.value
    return float(fermentation.spunding_sg(case.beer_m3, level, case.start_vol, final, head_kg))


def _to_be_made_m3(case: KegCase, rest: ShutKeg) -> float:
    """CO2 that beer and head take from the start, purged, to a rest in the warm."""
    purged_m3 = shut_keg.gas_m3(case.ambient_pa, case.head_m3, rest.temperature_k)
    total = float(shut_keg.total_volumes_m3(rest) - purged_m3)
    return total - case.beer_m3 * case.start_vol


def _warm_rest(case: KegCase, wanted: Wanted) -> ShutKeg | None:
    """The shut keg in the warm that comes to the target once chilled; `None`: out of reach.

    A full keg holds the target there too; of one with much headspace the beer takes up more gas
    from it as it chills.
    """
    factor = case.factor
    try:
        cold = solubility.equilibrium_pressure(wanted.target_vol, case.place_k, factor)
        gas = shut_keg.gas_m3(cold, case.head_m3, case.place_k)
        level = wanted.target_vol + float(gas) / case.beer_m3
        warm = _warm(case, wanted)
        all_in_beer = ShutKeg(case.beer_m3, case.head_m3, warm, level, 0.0)
        return shut_keg.shut_equilibrium(all_in_beer, factor)
    except OutOfRange:
        return None


def _warm(case: KegCase, wanted: Wanted) -> float:
    """Where the yeast works (K): the keg's own place where that is warm, else the beer's."""
    return max(case.place_k, wanted.means.warm_k)


def _seating(wanted: Wanted) -> float:
    return min(SEATING_GAUGE_PA, wanted.highest_gauge_pa)


def _worked(case: KegCase, wanted: Wanted, begun: SealedKeg, least_s: float) -> Work | None:
    """The yeast given its time, or longer until half the tolerance is left; then the cold."""
    rate = fermentation.making_rate(begun.case.place_k)
    to_make = float(begun.to_make_m3[0]) / case.beer_m3
    if rate <= 0.0:
        return None
    needed = math.log(max(to_make / (wanted.tolerance_vol / 2), 1.0)) / rate
    rest = math.ceil(max(least_s, needed) / DAY_S) * DAY_S
    if rest > LONGEST_WORK_S:
        return None
    kegs = left_alone([begun], rest)
    at_end = kegs[-1]
    chill = chill_time(replace(case, start_k=at_end.temperature_k))
    cold = replace(moved(at_end, case.place_k), valve_pa=None)
    chilled = [later(cold, rest + share * chill) for share in (0.5, 1.0)] if chill > 0.0 else []
    return Work(tuple(left_alone([*kegs, *chilled], shown_until(rest + chill))), rest, chill)


def _ready(wanted: Wanted, work: Work) -> Band:
    """Chilled after the rest; a slow yeast wants longer, until no more than the tolerance lacks."""
    begun = work.kegs[0]
    rate = fermentation.making_rate(begun.case.place_k) * begun.nature.yeast
    spent = np.log(np.maximum(begun.to_make_m3 / begun.case.beer_m3 / wanted.tolerance_vol, 1.0))
    done = band_of(np.maximum(spent / rate, work.rest_s) + work.chill_s)
    risen = first_risen(work.kegs, wanted.target_vol - wanted.tolerance_vol).value
    return Band(*(max(seconds, risen) for seconds in (done.value, done.low, done.high)))


def _move_warm(wanted: Wanted) -> tuple[Act, ...]:
    place = wanted.means.warm_place
    return () if place is None or place == wanted.place else (Move(place),)


def _chill_step(case: KegCase, wanted: Wanted, work: Work, set_pa: float) -> Step:
    same = _warm(case, wanted) == case.place_k
    acts: tuple[Act, ...] = () if same else (Move(wanted.place),)
    place = "its cold place" if case.place_k <= COLD_K else wanted.place
    do = "Put the gas on at serving pressure."
    do = do if same else f"Take it to {place}, put the gas on at serving pressure."
    at = clock.after(wanted.start, work.rest_s)
    return Step(at, do, set_pa, (*acts, SetGas(set_pa)))


def _priming_words(case: KegCase, wanted: Wanted, sugar_kg: float, work: Work) -> str:
    return (
        f"Boil {spoken.sugar(sugar_kg)} of {SUGAR_WORDS} in a cup of water, let it cool, add it, "
        "close the keg, purge. Seat the lid with gas at this pressure, take every disconnect off; "
        f"leave it at {spoken.temperature(_warm(case, wanted))} for {_days(work.rest_s)}."
    )


def _days(seconds: float) -> str:
    """Write a time in weeks or days."""
    days = round(seconds / DAY_S)
    return f"{days // 7} weeks" if days % 7 == 0 and days > 7 else f"{days} days"


def _priming_remark(case: KegCase, wanted: Wanted, sugar_kg: float, work: Work) -> str:
    """What pressure it ends at, and what the rule of half the sugar would lead to."""
    gained = sugar_kg * float(fermentation.co2_yield(SUGAR)) / CO2_VOLUME_DENSITY.value
    half = wanted.target_vol - 0.5 * gained / case.beer_m3
    return (
        f"The head ends at about {spoken.pressure(work.warm_gauge_pa)} in the warm. Half the "
        f"sugar, as is often said of kegs, would give about {half:.1f} volumes. It leaves a little "
        "yeast: the first glass is cloudy."
    )
