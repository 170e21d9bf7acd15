"""The ways to a level for a keg that hangs on a blend of CO2 and nitrogen.

To beer at its level a blend at its pressure is as straight CO2 at a lower one: so the ways that end
on gas are worked out with that, and their steps say what the blend is set to. It brings no flat
beer up, as the nitrogen that comes along fills the head; what does that is yeast, or straight CO2
with the blend put on after it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from ullage.cellar.course import HOUR_S, first_reached, follow
from ullage.cellar.draws import Draws
from ullage.cellar.track import KegCase, Phase
from ullage.physics import blend
from ullage.plan import clock, cures, natural, on_gas, spoken
from ullage.plan.acts import SetGas, ShutGas
from ullage.plan.answers import Schedule, Step
from ullage.plan.schedule import HORIZON_S, Wanted, Way, schedule_of, too_little, too_much

STRAIGHT_FIRST: Final = "straight CO2 on this keg until it has its level"
CHANGE: Final = "Gas off."
HANGS: Final = "It hangs on a blend"
BLEND_ON: Final = "That is the blend's pressure: take the straight CO2 off, put the blend on."
HELD: Final = "Set the blend to this pressure, leave it on."


def schedules_on_blend(
    case: KegCase, wanted: Wanted, pure_pa: float, set_pa: float, samples: Draws
) -> tuple[Schedule, ...]:
    """All ways that the keg allows. `pure_pa`: the gauge of straight CO2 that would keep it.

    It may lie below zero, where the air's own pressure of straight CO2 carbonates further.
    `set_pa`: that of the blend.
    """
    found = _ways(case, wanted, pure_pa, samples)
    return tuple(
        _told(schedule_of(case, wanted, way, samples), pure_pa, set_pa, straight)
        for way, straight in found
        if way is not None
    )


def blend_remarks(case: KegCase, wanted: Wanted, set_pa: float, pure_pa: float) -> Iterator[str]:
    """What is to be said of a beer on a blend. `set_pa`: its gauge; `pure_pa`: of straight CO2."""
    share = f"{100.0 * wanted.means.co2_share:.0f} %"
    same = (
        f"as straight CO2 at {spoken.pressure(pure_pa)}"
        if pure_pa > 0.0
        else "as less straight CO2 than any regulator sets"
    )
    yield (
        f"{HANGS} with {share} CO2, which is to the beer {same}: the pressure to set "
        "is the blend's."
    )
    if not too_little(case, wanted) or not 0.0 < set_pa <= wanted.highest_gauge_pa:
        return
    yield (
        "A blend does not carbonate it, burst or shaken no more than at rest: left alone on it, "
        f"it comes to {settles_at(case, wanted, set_pa):.2f} volumes, as the nitrogen that comes "
        "along fills the head. Bring it to its level with straight CO2 or sugar, then put the "
        "blend on."
    )


def settles_at(case: KegCase, wanted: Wanted, set_pa: float) -> float:
    """Volumes that the keg comes to on the blend alone, nobody drawing, its head fresh blend."""
    pressure = case.ambient_pa + set_pa + case.offset_pa
    keg = blend.Blended(
        beer_m3=case.beer_m3,
        head_m3=case.head_m3,
        temperature_k=case.place_k,
        level_vol=case.start_vol,
        factor=case.factor,
        pressure_pa=pressure,
        share=wanted.means.co2_share,
    )
    return blend.settled(keg).level_vol


def _ways(
    case: KegCase, wanted: Wanted, pure_pa: float, samples: Draws
) -> Iterator[tuple[Way | None, bool]]:
    """Each way, and whether it is straight CO2 that brings the beer up."""
    if too_much(case, wanted):
        yield cures.vent_and_shake(case, wanted, pure_pa), False
        yield cures.vent_at_rest(case, wanted, pure_pa), False
        return
    if not too_little(case, wanted):
        yield on_gas.hold(case, wanted, pure_pa, samples), False
        return
    yield natural.prime(case, wanted, pure_pa), False
    yield natural.spund(case, wanted, pure_pa), False
    straight = [on_gas.burst(case, wanted, pure_pa, samples)]
    if pure_pa > 0.0:  # below it straight CO2 has no level to end at
        straight.append(_held(case, wanted, pure_pa, samples))
        straight.append(on_gas.shake(case, wanted, pure_pa, samples))
        straight.append(on_gas.stone(case, wanted, pure_pa, samples))
    for way in straight:
        if way is not None and _is_up(case, wanted, way):
            yield way, True


def _held(case: KegCase, wanted: Wanted, pure_pa: float, samples: Draws) -> Way | None:
    """Straight CO2 at the pressure of the level, the blend once half the tolerance is left."""
    near = wanted.target_vol - wanted.tolerance_vol / 2
    course = follow(case, (Phase(HORIZON_S, pure_pa),))
    seconds = HOUR_S * math.ceil(float(first_reached(course, near)[0] / HOUR_S))
    if not math.isfinite(seconds) or seconds >= HORIZON_S:
        return None
    way = on_gas.hold(case, wanted, pure_pa, samples)
    then = Step(clock.after(wanted.start, seconds), CHANGE, pure_pa, (ShutGas(), SetGas(pure_pa)))
    return replace(
        way,
        title="Hold on straight CO2, then the blend",
        steps=(*way.steps, then),
        phases=(Phase(seconds, pure_pa), Phase(HORIZON_S - seconds, pure_pa)),
    )


def _is_up(case: KegCase, wanted: Wanted, way: Way) -> bool:
    """Whether it is within its tolerance before the blend goes on, which would not bring it up."""
    before = follow(case, way.phases[:-1]).level_vol[-1]
    return bool(before >= wanted.target_vol - wanted.tolerance_vol)


def _told(one: Schedule, pure_pa: float, set_pa: float, straight: bool) -> Schedule:
    """The way with the blend's own pressure in its steps and its course."""
    last = max(one.steps, key=lambda step: (step.gauge_pressure_pa == pure_pa, step.at))
    steps = tuple(
        _step(step, pure_pa, set_pa, straight) if not straight or step is last else step
        for step in one.steps
    )
    course = tuple(
        replace(point, gauge_pressure_pa=set_pa)
        if point.gauge_pressure_pa == pure_pa and (not straight or point.at >= last.at)
        else point
        for point in one.course
    )
    needs = (STRAIGHT_FIRST, *one.needs) if straight else one.needs
    return replace(one, steps=steps, course=course, needs=needs)


def _step(step: Step, pure_pa: float, set_pa: float, straight: bool) -> Step:
    acts = tuple(
        SetGas(set_pa, act.contact)
        if isinstance(act, SetGas) and act.gauge_pressure_pa == pure_pa
        else act
        for act in step.acts
    )
    if step.gauge_pressure_pa != pure_pa:
        return replace(step, acts=acts)
    do = HELD if step.do == on_gas.LEVEL_STEP else f"{step.do} {BLEND_ON}" if straight else step.do
    return replace(step, gauge_pressure_pa=set_pa, acts=acts, do=do)


def needs_straight(needs: Sequence[str]) -> bool:
    """Whether a way is one with straight CO2 before the blend."""
    return STRAIGHT_FIRST in needs
