"""Topping up by hand: gas on for a moment, off again, and the shut keg drinks the charge."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ullage.cellar.course import HOUR_S
from ullage.cellar.track import KegCase
from ullage.everyday_units import US_PINT_M3
from ullage.plan import clock, spoken
from ullage.plan.acts import Act, ShutGas, TopUp
from ullage.plan.answers import Step
from ullage.plan.on_gas import BURST_GAUGE_PA, NOT_DONE, gas_for_head, purge
from ullage.plan.schedule import HORIZON_S, Wanted, Way
from ullage.plan.sealed import (
    Nature,
    SealedKeg,
    balanced,
    charged,
    gas_for_level,
    gauge_of_gas,
    later,
    purged,
)
from ullage.plan.sealed_course import (
    course_points,
    first_risen,
    known,
    left_alone,
    shown_until,
    usual_only,
)

WAITS_S = (12 * HOUR_S, 8 * HOUR_S, 4 * HOUR_S)
"""Morning and evening; if that misses the date three times a day, then as often as one can."""
MOST_CHARGES = 100
MANY_CHARGES = 10
POURED_M3 = 4 * US_PINT_M3
ENOUGH_SHARE = 0.25
"""Share of the tolerance within which the last charge leaves the shut keg."""
LEAST_HEAD_PA = 1_000.0
TOP_UP = "Gas on until the head stands at this pressure, then gas off again."


@dataclass(frozen=True, slots=True)
class Charging:
    """The keg at every moment of interest, and the charges: seconds and gauge Pa."""

    kegs: tuple[SealedKeg, ...]
    charges: tuple[tuple[float, float], ...]


def top_up(case: KegCase, wanted: Wanted) -> Way | None:
    """By hand, for a keg that no gas can stay on; `None` where no number of charges gets there."""
    wait = _wait(case, wanted)
    if wait is None:
        return None
    done = charging(case, wanted, known(case), wait)
    near = wanted.target_vol - wanted.tolerance_vol
    kegs = left_alone(done.kegs, shown_until(first_risen(done.kegs, near).value))
    steps = _steps(wanted, done)
    count = len(done.charges)
    often = f", every {wait / HOUR_S:g} h" if count > 1 else ""
    return Way(
        "top up",
        f"Top up by hand {spoken.times(count)}{often}",
        steps,
        first_risen(kegs, near),
        kegs[-1].drawn_kg + gas_for_head(case, (purge(wanted),)),
        course=course_points(wanted, kegs),
        needs=(NOT_DONE,) if wanted.means.ferments else (),
        remark=_remark(case, wanted, done),
    )


def _wait(case: KegCase, wanted: Wanted) -> float | None:
    """The longest wait between charges that makes the date, else the shortest that gets there."""
    near, best = wanted.target_vol - wanted.tolerance_vol, None
    for wait in WAITS_S:
        tried = charging(case, wanted, usual_only(case), wait)
        ready = first_risen(left_alone(tried.kegs, HORIZON_S), near).value
        if ready > HORIZON_S:
            continue
        best = wait
        late = clock.after(wanted.start, ready)
        if wanted.by is None or late <= wanted.by:
            return wait
    return best


def charging(case: KegCase, wanted: Wanted, nature: Nature, wait: float) -> Charging:
    """Charge after charge until the shut keg comes to rest at its target; the last is smaller."""
    most_pa = min(BURST_GAUGE_PA, wanted.highest_gauge_pa)
    keg = purged(case, nature)
    kegs, charges = [keg], []
    for _ in range(MOST_CHARGES):
        if keg.at_s > HORIZON_S:
            break
        at_rest = replace(keg, temperature_k=case.place_k)
        missing = gas_for_level(at_rest, wanted.target_vol)
        if float(missing[0]) - float(keg.gas_m3[0]) <= _slack(case, wanted):
            break
        gauge = gauge_of_gas(keg, float(missing[0]), most_pa)
        if gauge_of_gas(keg, float(keg.gas_m3[0]), most_pa) >= gauge - LEAST_HEAD_PA:
            keg = later(keg, keg.at_s + wait)
            kegs.append(keg)
            continue
        charges.append((keg.at_s, gauge))
        keg = charged(keg, gauge)
        half, end = later(keg, keg.at_s + wait / 2), keg.at_s + wait
        kegs += [keg, half, later(half, end)]
        keg = kegs[-1]
    return Charging(tuple(kegs), tuple(charges))


def _slack(case: KegCase, wanted: Wanted) -> float:
    """CO2 (m³) that may lack: a quarter of the tolerance in the beer."""
    return ENOUGH_SHARE * wanted.tolerance_vol * case.beer_m3


def _steps(wanted: Wanted, done: Charging) -> tuple[Step, ...]:
    steps: list[Step] = []
    for seconds, gauge in done.charges:
        first = not steps
        acts: tuple[Act, ...] = (TopUp(gauge),)
        if first:
            acts = (purge(wanted), ShutGas(), *acts)
        do = f"Purge. {TOP_UP}" if first else TOP_UP
        steps.append(Step(clock.after(wanted.start, seconds), do, gauge, acts))
    return tuple(steps)


def _remark(case: KegCase, wanted: Wanted, done: Charging) -> str:
    """How much a charge gives, how quickly it is gone, and what more headspace would do."""
    first, gauge = done.charges[0]
    before = next(keg for keg in done.kegs if keg.at_s == first)
    full = charged(before, gauge)
    gain = float(balanced(full).level_vol[0] - balanced(before).level_vol[0])
    said = f"A charge adds about {gain:.2f} volumes; at first half of it is gone in "
    said += f"{_half_gone(full):.2g} h."
    count = len(done.charges)
    if count <= MANY_CHARGES or case.beer_m3 < 2 * POURED_M3:
        return said
    roomy = charging(poured_off(case, POURED_M3), wanted, usual_only(case), WAITS_S[0])
    fewer = spoken.times(len(roomy.charges))
    return f"{said} With {spoken.pints(POURED_M3)} poured off first, {fewer} would do."


def _half_gone(full: SealedKeg) -> float:
    """Hours until the head has fallen half the way to its balance."""
    start, end = float(full.head_pa[0]), float(balanced(full).head_pa[0])
    low, high = 0.0, 240.0
    for _ in range(16):
        middle = 0.5 * (low + high)
        fallen = float(later(full, full.at_s + middle * HOUR_S).head_pa[0])
        low, high = (middle, high) if fallen > 0.5 * (start + end) else (low, middle)
    return high


def poured_off(case: KegCase, volume_m3: float) -> KegCase:
    """The keg with some beer poured off and gas in its place."""
    left = case.beer_m3 - volume_m3
    return replace(
        case,
        beer_m3=left,
        depth_m=case.depth_m * left / case.beer_m3,
        head_m3=case.head_m3 + volume_m3,
    )
