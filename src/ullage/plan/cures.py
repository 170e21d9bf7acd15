"""Cures for beer that holds too much: vent and shake, some poured off first, or vent and wait.

No vent falls in the night: `ullage.plan.waking` says when a hand may be asked.
"""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass, replace
from datetime import datetime
from itertools import pairwise

from ullage.cellar.course import DAY_S, HOUR_S
from ullage.cellar.track import KegCase
from ullage.everyday_units import US_PINT_M3
from ullage.physics import shut_keg
from ullage.plan import clock, spoken
from ullage.plan.acts import Act, PourOff, SetGas, Shake, ShutGas, Vent
from ullage.plan.answers import Band, Step
from ullage.plan.on_gas import gas_for_head
from ullage.plan.schedule import HORIZON_S, Wanted, Way
from ullage.plan.sealed import (
    SealedKeg,
    charged,
    gas_for_level,
    gauge_of_gas,
    in_balance,
    later,
    shaken,
    vented,
)
from ullage.plan.sealed_course import (
    course_points,
    first_fallen,
    known,
    left_alone,
    shown_until,
    usual_only,
)
from ullage.plan.top_up import poured_off
from ullage.plan.waking import awake, daily

MOST_VENTS = 500
MOST_SHAKES = 150
MANY_VENTS = 10
"""More than this and it is worth pouring some off first; our own choice."""
SHAKE_S = 180.0
SETTLE_S = HOUR_S / 2
"""Foam falls between a shake and the next vent in about this; common practice, no source."""
CALM_S = 6 * HOUR_S
"""Rest before it pours calmly; common practice, no source."""
POURED_M3 = 4 * US_PINT_M3
POURING_S = 900.0
"""Beer that holds too much foams: some pints take a quarter of an hour; our own measure."""
DAILY_VENTS = (1, 2)
NEARLY = 1.1
NO_DAY = 1e-6
"""Less of a day than this is rounding, not another day begun."""
FIRST_LOOKS = (1 / 64, 1 / 16, 1 / 4, 1.0)
QUICK = (
    "Vent slowly until it is quiet, then shake for three minutes. Let the foam fall for half an "
    "hour."
)
UNREADABLE_PA = 3_500.0
"""Half a psi: no needle tells it from nothing; our choice."""
LAST = "Vent to this pressure only, then shake for three minutes."
SLOW = "Vent slowly until it is quiet, and leave it standing."
POUR_OFF = (
    "Gas off. Vent slowly until it is quiet, then set this pressure, gas back on, and pour off "
    f"{spoken.pints(POURED_M3)} through its tap, or through a picnic tap on its beer post: it "
    "foams, so pour into a large jug."
)
SERVE = "Set the serving pressure and put the gas back on."


def vents_needed(case: KegCase, target_vol: float) -> int | None:
    """Vents to the room's pressure, each followed by a shake to a new balance, until the target.

    `None` where the target is no more than what the beer keeps at the room's pressure.
    """
    factor = case.factor
    level = case.start_vol
    for count in range(MOST_VENTS + 1):
        if level <= target_vol:
            return count
        keg = shut_keg.ShutKeg(case.beer_m3, case.head_m3, case.place_k, level, case.ambient_pa)
        level = float(shut_keg.shut_equilibrium(keg, factor).beer_vol)
    return None


@dataclass(frozen=True, slots=True)
class Quick:
    """A keg vented and shaken: at every moment of interest, and each vent's second and gauge Pa."""

    kegs: tuple[SealedKeg, ...]
    vents: tuple[tuple[float, float], ...]


def vent_and_shake(case: KegCase, wanted: Wanted, set_pa: float) -> Way | None:
    """The quick cure; `None` where it would take more vents than anybody would do, or where the
    keg is too heavy to be rocked.
    """
    if not wanted.means.can_be_rocked:
        return None
    cold = replace(case, start_k=case.place_k)
    done = _shaken_down(_begun(cold), wanted)
    if not _is_down(done, wanted):
        return None
    return _quick_way(
        Way(
            "vent and shake",
            f"Vent and shake, {spoken.times(len(done.vents))}",
            _quick_steps(wanted, done, set_pa),
            _calm(done, wanted),
            gas_for_head(case, (SetGas(set_pa),)),
            remark=_pour_first(case, wanted, len(done.vents)),
        ),
        wanted,
        done,
    )


def pour_and_vent(case: KegCase, wanted: Wanted, set_pa: float) -> Way | None:
    """Some poured off first: with more headspace each vent lets off more, so that few will do.

    `None` where the plain way takes few too, little is left to pour from, or the keg is too heavy
    to be rocked.
    """
    if not wanted.means.can_be_rocked:
        return None
    cold = replace(case, start_k=case.place_k)
    plain = _shaken_down(in_balance(cold, usual_only(cold)), wanted)
    if len(plain.vents) <= MANY_VENTS or case.beer_m3 < 2 * POURED_M3:
        return None
    roomy, begun = poured_off(cold, POURED_M3), awake(wanted.start, 0.0)
    pushed = charged(vented(_begun(roomy)), set_pa)
    done = _shaken_down(replace(pushed, at_s=begun + POURING_S), wanted)
    if not _is_down(done, wanted) or len(done.vents) + 1 >= len(plain.vents):
        return None
    acts: tuple[Act, ...] = (ShutGas(), Vent(), SetGas(set_pa), PourOff(POURED_M3))
    pour = Step(clock.after(wanted.start, begun), POUR_OFF, set_pa, acts)
    times = spoken.times(len(done.vents))
    return _quick_way(
        Way(
            "pour and vent",
            f"Pour off {spoken.pints(POURED_M3)}, then vent and shake, {times}",
            (pour, *_quick_steps(wanted, done, set_pa)),
            _calm(done, wanted),
            gas_for_head(roomy, (*acts, Vent(), SetGas(set_pa))),
            remark=f"Without pouring off it takes {spoken.times(len(plain.vents))}.",
        ),
        wanted,
        replace(done, kegs=(_begun(cold), *done.kegs)),
    )


def _quick_way(way: Way, wanted: Wanted, done: Quick) -> Way:
    """The way with its course."""
    calm = left_alone(_resting(done), shown_until(done.kegs[-1].at_s))
    return replace(way, course=course_points(wanted, calm))


def _resting(done: Quick) -> list[SealedKeg]:
    last = done.kegs[-1]
    return [*done.kegs, later(last, last.at_s + CALM_S)]


def _is_down(done: Quick, wanted: Wanted) -> bool:
    most = wanted.target_vol + wanted.tolerance_vol / 2
    return bool(done.vents) and float(done.kegs[-1].level_vol[0]) <= most


def _calm(done: Quick, wanted: Wanted) -> Band:
    """Seconds until it is down and has rested."""
    fallen = first_fallen(_resting(done), wanted.target_vol + wanted.tolerance_vol)
    return Band(*(max(seconds, done.kegs[-1].at_s + CALM_S) for seconds in astuple(fallen)))


def _quick_steps(wanted: Wanted, done: Quick, set_pa: float) -> tuple[Step, ...]:
    steps = tuple(
        _quick_step(clock.after(wanted.start, at_s), gauge, first=place == 0)
        for place, (at_s, gauge) in enumerate(done.vents)
    )
    return (*steps, _serve_step(wanted, done.kegs[-1].at_s, set_pa))


def _begun(case: KegCase) -> SealedKeg:
    return in_balance(case, known(case))


def _shaken_down(keg: SealedKeg, wanted: Wanted) -> Quick:
    """Vented and shaken down to its level, never by night; the last vent is exact."""
    kegs, vents = [keg], list[tuple[float, float]]()
    most = wanted.target_vol + wanted.tolerance_vol / 2
    while float(keg.level_vol[0]) > most and len(vents) < MOST_SHAKES:
        keg = later(keg, awake(wanted.start, keg.at_s))
        wanted_gas = float(gas_for_level(keg, wanted.target_vol)[0])
        gauge = gauge_of_gas(keg, wanted_gas, wanted.keg_gauge_pa)
        vents.append((keg.at_s, gauge))
        rocked = shaken(vented(keg, gauge), SHAKE_S)
        kegs += [keg, rocked]
        keg = replace(rocked, at_s=rocked.at_s + SETTLE_S)
    return Quick((*kegs, keg), tuple(vents))


def _quick_step(at: datetime, gauge: float, *, first: bool) -> Step:
    acts: tuple[Act, ...] = (Vent(gauge), Shake(SHAKE_S))
    do, shown = (QUICK, None) if gauge < UNREADABLE_PA else (LAST, gauge)
    if first:
        return Step(at, f"Take the gas off. {do}", shown, (ShutGas(), *acts))
    return Step(at, do, shown, acts)


def _serve_step(wanted: Wanted, seconds: float, set_pa: float) -> Step:
    return Step(clock.after(wanted.start, seconds), SERVE, set_pa, (SetGas(set_pa),))


def _pour_first(case: KegCase, wanted: Wanted, vents: int) -> str:
    """With more headspace each vent lets off more: how many it takes then."""
    if vents <= MANY_VENTS or case.beer_m3 < 2 * POURED_M3:
        return ""
    roomy = poured_off(replace(case, start_k=case.place_k), POURED_M3)
    fewer = len(_shaken_down(in_balance(roomy, usual_only(roomy)), wanted).vents)
    times = spoken.times(fewer)
    return (
        f"A full keg needs many: with {spoken.pints(POURED_M3)} poured off first, {times} will do."
    )


@dataclass(frozen=True, slots=True)
class Slow:
    """A keg vented at rest: at every moment of interest, and the second of each vent."""

    kegs: tuple[SealedKeg, ...]
    vents: tuple[float, ...]

    @property
    def days(self) -> int:
        """Days from the first vent to the end, begun ones counted."""
        return math.ceil((self.kegs[-1].at_s - self.vents[0]) / DAY_S - NO_DAY)


def vent_at_rest(case: KegCase, wanted: Wanted, set_pa: float) -> Way:
    """The slow cure: as few vents a day as serve nearly as well as many."""
    cold = replace(case, start_k=case.place_k)
    tried = {
        often: _rested(in_balance(cold, usual_only(cold)), wanted, often) for often in DAILY_VENTS
    }
    most = wanted.target_vol + wanted.tolerance_vol
    ready = {often: first_fallen(done.kegs, most).value for often, done in tried.items()}
    best = min(ready.values())
    often = next(one for one in DAILY_VENTS if ready[one] <= NEARLY * best)
    done = _rested(_begun(cold), wanted, often)
    found = first_fallen(done.kegs, most)
    steps = tuple(_slow_step(wanted, at_s, first=i == 0) for i, at_s in enumerate(done.vents))
    ends = math.isfinite(found.value)
    last = (_serve_step(wanted, done.kegs[-1].at_s, set_pa),) if ends else ()
    per_day = {1: "once a day", 2: "twice a day"}.get(often, f"{often} times a day")
    return Way(
        "vent at rest",
        f"Vent at rest, {per_day} for {done.days} day{'' if done.days == 1 else 's'}",
        (*steps, *last),
        Band(found.value, found.value, math.inf),  # nobody knows how calmly it stands
        gas_for_head(case, (SetGas(set_pa),)),
        course=course_points(wanted, left_alone(done.kegs, shown_until(found.value))),
        remark=_slow_remark(done),
    )


def _rested(keg: SealedKeg, wanted: Wanted, often: int) -> Slow:
    """The keg at each vent, after the last wait, and more often in the first, which gives most."""
    kegs, vents = [keg], list[float]()
    most = wanted.target_vol + wanted.tolerance_vol
    for begin, end in pairwise(daily(wanted.start, often)):
        if float(keg.level_vol[0]) <= most or keg.at_s >= HORIZON_S:
            break
        keg = vented(later(keg, begin))
        for share in (1.0,) if vents else FIRST_LOOKS:
            keg = later(keg, begin + share * (end - begin))
            kegs.append(keg)
        vents.append(begin)
    return Slow(tuple(kegs), tuple(vents))


def _slow_step(wanted: Wanted, at_s: float, *, first: bool) -> Step:
    at = clock.after(wanted.start, at_s)
    acts: tuple[Act, ...] = (Vent(),)
    if first:
        return Step(at, f"Take the gas off. {SLOW}", None, (ShutGas(), *acts))
    return Step(at, SLOW, None, acts)


def _slow_remark(done: Slow) -> str:
    lost = float(done.kegs[0].level_vol[0] - done.kegs[-1].level_vol[0])
    return (
        f"At rest only the topmost beer gives gas off: about {lost:.2f} volumes in {done.days} "
        "days, more where it foams."
    )
