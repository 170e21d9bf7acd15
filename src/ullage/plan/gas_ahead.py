"""Gas ahead: when each cylinder runs out, when to refill it, what a spare or another size is worth.

The same forecast as in `look_ahead`, told in full: the course ahead with its band, the day to have
it refilled or swapped by, what went month by month, and whether gas goes where no beer takes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.events import Event, in_order
from ullage.cellar.household import Household, assumed, household
from ullage.cellar.keg_events import Filled
from ullage.plan import clock
from ullage.plan.answers import Band, Caution
from ullage.plan.bands import band
from ullage.plan.cautions import BLEND, CO2_AIR, CYLINDER
from ullage.plan.cylinder_ahead import WEEK_S, GasCourse, empty_of, gas_course
from ullage.plan.followed import Followed, followed
from ullage.plan.forecast import Forecast
from ullage.plan.gas_ahead_answer import (
    CylinderGas,
    GasAhead,
    GasMonth,
    GasThen,
    KegRunsDry,
    Leak,
    Refill,
    Spare,
)
from ullage.plan.gas_ahead_dry import Drinker, runs_dry
from ullage.plan.gas_ahead_losses import LIKELY, Known
from ullage.plan.gas_ahead_of import GasLog, GasOf, fed_by, gas_log, gas_of
from ullage.plan.gas_ahead_refill import DATE_CHANCE, LEAD_S, refill_of
from ullage.plan.gas_ahead_sizes import NO_PRICES, YEAR_S, GasPrices, SizesAsked, sizes_of
from ullage.plan.gas_ahead_use import Past, before_of, known_points, months_of, past_of
from ullage.plan.look_ahead import HORIZON, KegAhead, kegs_ahead
from ullage.plan.spoken import by_number, headed, part
from ullage.plan.to_come import facts
from ullage.plan.unexplained import unexplained
from ullage.system.cylinder import full_kg
from ullage.system.model import System
from ullage.system.parts import cylinder_size
from ullage.units import UnitSystem

BACK: Final = timedelta(days=365)
MOST_WEEKS: Final = 104
LEAST_SEEN_S: Final = 60 * 86_400.0
"""A log this long tells what a year takes; our own choice."""
SURE_CHANCE: Final = 0.02
"""So much above the chance that the date is set for, a spare is worth having."""


@dataclass(frozen=True, slots=True)
class _Case:
    """All that the cylinders of one moment are worked out from."""

    log: Sequence[Event]
    facts: Sequence[Event]
    home: Household
    ahead: Followed
    kegs: tuple[KegAhead, ...]
    told: GasLog
    past: Past
    lead_s: float
    prices: GasPrices
    system: System | None


def gas_ahead(
    log: Sequence[Event],
    at: datetime,
    lead_s: float = LEAD_S,
    system: System | None = None,
    prices: GasPrices = NO_PRICES,
) -> GasAhead:
    """The gas of every cylinder from `at` on, from the facts up to then and the steps that wait.

    `lead_s`: how long getting a refill takes. `system`: where a tap's drinking is given that the
    log does not tell, and the places that a cylinder may stand in. `prices`: for the sizes.
    """
    home = household(log)
    ahead = followed(log, at, HORIZON, system)
    known = in_order(facts(log, at))
    case = _Case(
        log=log,
        facts=known,
        home=home,
        ahead=ahead,
        kegs=kegs_ahead(ahead),
        told=gas_log(ahead, log, home),
        past=past_of(known, at, home, BACK),
        lead_s=lead_s,
        prices=prices,
        system=system,
    )
    names = sorted(ahead.now.cylinders, key=by_number)
    return GasAhead(
        at=at,
        units=home.units,
        lead_s=lead_s,
        cylinders=tuple(_cylinder(case, name) for name in names),
        remarks=_remarks(case, names),
        cautions=_cautions(ahead),
    )


def _cautions(ahead: Followed) -> tuple[Caution, ...]:
    blended = any(one.co2_share < 1.0 for one in ahead.now.cylinders.values())
    return (CYLINDER, CO2_AIR, BLEND) if blended else (CYLINDER, CO2_AIR)


def _cylinder(case: _Case, name: str) -> CylinderGas:
    ahead, known = case.ahead, case.told.cylinders[name]
    state, size = ahead.now.cylinders[name], cylinder_size(ahead.now.cylinders[name].size)
    gas = gas_of(ahead, name, case.kegs, case.told)
    course = gas_course(gas.course, gas.kegs, gas.losses, gas.usual)
    empty = empty_of(gas.course, gas.kegs, course)
    months = tuple(months_of(name, case.past, known, ahead.at - BACK, ahead.at))
    year = _year(band(*course.used_in(YEAR_S)) if gas.kegs else None, case, months)
    refill = refill_of(case.log, ahead, _fed(case, name), empty, case.lead_s)
    return CylinderGas(
        cylinder=name,
        size=state.size,
        rated_kg=full_kg(size.name, state.co2_share),
        logged_kg=float(state.contents_kg),
        contents_kg=_weeks(course, ahead.at, empty)[0].contents_kg,
        empty=empty,
        days_left_s=None if empty.at is None else band(course.gone.value_s, _finite(course)),
        refill=refill,
        spare=_spare(case, name, course, refill, gas),
        year_kg=year,
        lost_share=_share(gas),
        ahead=_weeks(course, ahead.at, empty),
        before=before_of(name, case.past, known),
        known=known_points(known, ahead.at - BACK),
        months=months,
        sizes=sizes_of(_sized(case, name, year)),
        leak=_leak(case, name),
    )


def _sized(case: _Case, name: str, year: Band | None) -> SizesAsked:
    state = case.ahead.now.cylinders[name]
    return SizesAsked(
        name=name,
        present=cylinder_size(state.size),
        year_kg=None if year is None else year.value,
        prices=case.prices,
        system=case.system,
        co2_share=state.co2_share,
    )


def _year(drunk: Band | None, case: _Case, months: Sequence[GasMonth]) -> Band | None:
    """What a year takes: by what is drunk, or by the past where kegs are filled that take more.

    Who fills kegs and writes few pours down fills the next ones, too.
    """
    if not months:
        return drunk
    seen_s = (months[-1].end - months[0].begin).total_seconds()
    begin = case.facts[0].at
    fills = any(isinstance(one, Filled) and one.at > begin for one in case.facts)
    if not fills or seen_s < LEAST_SEEN_S:
        return drunk
    went = sum(one.push_kg + one.carbonation_kg + one.purging_kg + one.lost_kg for one in months)
    past = max(went, 0.0) * YEAR_S / seen_s
    if drunk is not None and drunk.high >= past:
        return drunk
    return Band(past, past if drunk is None else drunk.low, past)


def _finite(course: GasCourse) -> NDArray[np.float64]:
    """When each sample is empty, five years for what lasts longer."""
    found: NDArray[np.float64] = np.minimum(course.gone.samples_s, course.times_s[-1])
    return found


def _share(gas: GasOf) -> Band:
    samples = gas.losses.share_samples
    share = gas.losses.share
    return Band(share, share, share) if samples is None else band(share, samples)


def _weeks(course: GasCourse, at: datetime, empty: Forecast) -> tuple[GasThen, ...]:
    """Week by week from now, until the latest that it is likely to be empty, or two years."""
    last = empty.late or empty.at
    span = MOST_WEEKS * WEEK_S if last is None else (last - at).total_seconds() + WEEK_S
    span = min(span, MOST_WEEKS * WEEK_S, float(course.times_s[-1]))
    times = np.arange(0.0, span + 1.0, WEEK_S)
    left, wide = course.at_times(times)
    return tuple(
        GasThen(clock.after(at, float(seconds)), band(float(left[row]), wide[row]))
        for row, seconds in enumerate(times)
    )


def _fed(case: _Case, name: str) -> tuple[str, ...]:
    """The kegs with beer that hang on a cylinder now, or will by their plan."""
    now = (one.keg for one in case.kegs if fed_by(case.ahead, one.keg) == name)
    return tuple(now)


def _spare(case: _Case, name: str, course: GasCourse, refill: Refill, gas: GasOf) -> Spare:
    """Worth having where it may well run dry before the refill is there."""
    at = case.ahead.at
    kegs = tuple(_dry(case, keg) for keg in _fed(case, name))
    if refill.by is None or not gas.kegs:
        return Spare(False, 0.0, None, "Not known yet, as its emptying is not.", kegs)
    by = clock.after(at, max((refill.by - at).total_seconds(), 0.0) + case.lead_s)
    chance = course.chance_dry((by - at).total_seconds())
    worth = chance > DATE_CHANCE + SURE_CHANCE
    if worth:
        words = "It may well run dry before a refill is back: a spare is worth having."
    else:
        words = "If you keep to that day a spare is not needed."
    return Spare(worth, chance, by, words, kegs)


def _dry(case: _Case, name: str) -> KegRunsDry:
    told = next(one for one in case.kegs if one.keg == name)
    rate = told.drinking if case.told.is_on_tap(told) else None
    least = None
    if told.target_vol is not None and told.tolerance_vol is not None:
        least = told.target_vol - told.tolerance_vol
    drinker = Drinker(least_vol=least)
    if rate is not None:
        glass = rate.serving_m3
        drinker = Drinker(glass, glass / rate.drunk_m3_s.value, least)
    return runs_dry(case.ahead.now, name, case.ahead.at, drinker, assumed(case.home))


def _leak(case: _Case, name: str) -> Leak | None:
    units: UnitSystem = case.home.units
    found = unexplained(case.facts, case.ahead.now, name, case.ahead.at, units)
    if found is None:
        return None
    likely = found.probability >= LIKELY
    if likely:
        what = "Test it: gas shut in, its gauge read twice; then soapy water on every joint."
    elif found.readings < 2:
        what = "Weigh it once more in a week or two: two weighings tell more than one."
    else:
        what = "Nothing to do; weigh it now and then."
    return Leak(found.probability, likely, found.sentence, what)


def _remarks(case: _Case, names: Sequence[str]) -> tuple[str, ...]:
    found = []
    for name in names:
        if case.ahead.now.cylinders[name].co2_share < 1.0:
            found.append(
                f"{headed('cylinder', name)} holds a blend: only what pushes beer out is counted "
                "ahead, as kegs are made ready and carbonated with straight CO2. Its gauge tells "
                "what is left."
            )
        known: Known = case.told.cylinders[name]
        last = known.marks[-1]
        if case.ahead.at - last.at > timedelta(days=60) or last.how != "weighed":
            found.append(
                f"{headed('cylinder', name)} was last known on {last.at.astimezone():%d %b %Y}: "
                "weigh it (gross less the tare stamped on it), and all this narrows."
            )
    dry = [tap for tap in case.told.taps.values() if tap.dry_since is not None]
    if dry:
        taps = ", ".join(part("tap", tap.name) for tap in dry)
        found.append(f"No keg is on {taps} now: the next is counted on after the usual gap.")
    return tuple(found)
