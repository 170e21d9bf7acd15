"""Keeping kegs cold: set point, differential, probe, pull-down, running cost, a warm tower.

Sizes of a usual household fridge stand in where nothing was measured, and the answer says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from ullage.cellar.keg_shape import BEER_KG_M3
from ullage.errors import OutOfRange
from ullage.physics.constants import BEER_SPECIFIC_HEAT, HEAT_LOSS, STAINLESS_SPECIFIC_HEAT
from ullage.physics.cooling import Cabinet, Cycle, cycling, duty, pull_down_time
from ullage.plan.answers import Band, Caution
from ullage.plan.cautions import COILS, DEFER
from ullage.plan.cold_answer import (
    ColdAnswer,
    ColdQuestion,
    Probe,
    ProbePlace,
    Running,
    WarmTower,
)
from ullage.plan.what_if import CarbonateQuestion, carbonate
from ullage.system import parts

NEAR_K: Final = 5.0 / 9.0
"""1 °F: as near as one waits for."""
COP: Final = 1.3
"""Heat carried out for the electric power drawn, small fridges, 1.0 to 1.8. Common practice."""
LEAK_W_K: Final = 1.8
"""Heat that leaks in for each kelvin: some 2.5 m² of 5 cm foam (0.03 W/(m K)) and the seal."""
DRAW_W: Final = 100.0
"""What a fridge of that size draws while it runs. Common practice, no source."""
LINING_J_K: Final = 12_000.0
"""Heat capacity of air, lining and shelves that follow the air: some 8 kg of plastic and steel."""
BOTTLE_TAU_S: Final = 3_000.0
"""A small glass of water, 0.1 L, in still air: 0.42 kJ/K through 0.014 m² at 10 W/(m² K)."""
Z_80: Final = 1.2816
YEAR_S: Final = 365.25 * 86_400.0
FREEZES_K: Final = 271.65
"""Ordinary beer begins to freeze at about −1.5 °C."""
MOST_STARTS: Final = 5.0
"""Starts of a compressor in an hour that its makers commonly allow. Common practice, no source."""
MOST_DEGREES: Final = 8
TOWER_TAU_S: Final = 300.0
"""In still air beer in thin tubing warms by 63 % in some 5 minutes: 0.1 kJ/(m K), 0.33 W/(m K)."""
FAN_K: Final = 2.0
"""A fan that blows the fridge's air up a tower brings it this near. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Fridge:
    """The machine and the leak, measured or usual, and the kegs in it."""

    leak_w: float
    cooling_w: float
    draw_w: float
    heat_j_k: float
    conductance_w_k: float

    @property
    def spare_w(self) -> float:
        return self.cooling_w - self.leak_w


def cold(question: ColdQuestion) -> ColdAnswer:
    """Answer it. Raises `OutOfRange` where the fridge cannot do it, `UnknownName` for the kind."""
    _check(question)
    fridge = _fridge(question)
    swing = question.differential_k or _chosen(question, fridge)
    alone = _pull_down(question, fridge, math.inf)
    limited = _pull_down(question, fridge, fridge.spare_w)
    probes = _probes(question, fridge, swing)
    return ColdAnswer(
        set_k=question.target_k,
        differential_k=swing,
        near_k=NEAR_K,
        pull_down_s=limited,
        by_air_alone_s=alone.value,
        limited_by="the machine" if limited.value > 1.05 * alone.value else "the air",
        cooling_w=fridge.cooling_w,
        probes=probes,
        running=_running(question, fridge),
        tower=None if question.tower_k is None else _tower(question, question.tower_k),
        remarks=tuple(_remarks(question, probes)),
        cautions=(COILS, Caution("note", DEFER)),
    )


def _check(question: ColdQuestion) -> None:
    if question.kegs < 1:
        raise OutOfRange("there must be a keg at least")
    if question.differential_k is not None and question.differential_k <= 0.0:
        raise OutOfRange("the differential must be more than nothing: 2 °F (1 K) is usual")
    for what, value in (
        ("the power while it runs", question.power_w),
        ("what a meter counts in a day", question.energy_j_day),
        ("the cooling power", question.cooling_w),
    ):
        if value is not None and value <= 0.0:
            raise OutOfRange(f"{what} must be more than nothing, or left out")
    if not question.target_k < min(question.start_k, question.room_k):
        raise OutOfRange("the beer must be wanted colder than it is, and colder than the room")


def _fridge(question: ColdQuestion) -> _Fridge:
    kind = parts.keg_kind(question.keg_kind)
    beer_kg = kind.usual_fill_m3 * BEER_KG_M3
    one = beer_kg * BEER_SPECIFIC_HEAT.value + kind.tare_kg * STAINLESS_SPECIFIC_HEAT.value
    heat = question.kegs * one
    draw = DRAW_W if question.power_w is None else question.power_w
    cooling = COP * draw if question.cooling_w is None else question.cooling_w
    leak = LEAK_W_K * (question.room_k - question.target_k)
    if question.energy_j_day is not None:
        leak = cooling / draw * question.energy_j_day / 86_400.0
    if leak >= cooling:
        raise OutOfRange(
            f"the fridge carries out {cooling:.0f} W and {leak:.0f} W leak in: it cannot hold that "
            "temperature; are power and energy right?"
        )
    return _Fridge(leak, cooling, draw, heat, heat / kind.time_constant(beer_kg))


def _pull_down(question: ColdQuestion, fridge: _Fridge, power_w: float) -> Band:
    """The time to within `NEAR_K`, with the band of the heat loss of a keg in still air."""
    spread = Z_80 * HEAT_LOSS.sd / HEAT_LOSS.value
    near = min(question.target_k + NEAR_K, question.start_k)
    found = [
        float(
            pull_down_time(
                question.start_k,
                question.target_k,
                near,
                fridge.heat_j_k,
                fridge.conductance_w_k * factor,
                power_w,
            )
        )
        for factor in (1.0, 1.0 + spread, 1.0 - spread)
    ]
    return Band(*found)


def _cabinet(question: ColdQuestion, fridge: _Fridge) -> Cabinet:
    return Cabinet(
        air_j_k=LINING_J_K,
        load_j_k=fridge.heat_j_k,
        leak_w_k=fridge.leak_w / (question.room_k - question.target_k),
        load_w_k=fridge.conductance_w_k,
        cooling_w=fridge.cooling_w,
        room_k=question.room_k,
    )


def _chosen(question: ColdQuestion, fridge: _Fridge) -> float:
    """The least swing, in whole °F, with which a probe in the air starts the machine seldom."""
    cabinet = _cabinet(question, fridge)
    for degrees in range(1, MOST_DEGREES):
        swing = degrees * NEAR_K
        cycle = cycling(cabinet, question.target_k, swing, "air", hours=24.0)
        if cycle.starts_per_hour <= MOST_STARTS:
            return swing
    return MOST_DEGREES * NEAR_K


def _probes(question: ColdQuestion, fridge: _Fridge, swing_k: float) -> tuple[ProbePlace, ...]:
    """What each of the three places makes of the same controller; the best is advised."""
    cabinet = _cabinet(question, fridge)
    reads: tuple[tuple[Probe, Literal["air", "load"] | float], ...] = (
        ("in the air", "air"),
        ("in a small glass of water", BOTTLE_TAU_S),
        ("on a keg under foam", "load"),
    )
    found = [
        _probe(place, cycling(cabinet, question.target_k, swing_k, probe)) for place, probe in reads
    ]
    best = min(found, key=_unkindness)
    return tuple(replace(one, advised=one is best) for one in found)


def _probe(place: Probe, cycle: Cycle) -> ProbePlace:
    return ProbePlace(
        place=place,
        air_low_k=cycle.air_low_k,
        air_high_k=cycle.air_high_k,
        beer_swing_k=cycle.load_high_k - cycle.load_low_k,
        starts_per_hour=cycle.starts_per_hour,
        advised=False,
    )


def _unkindness(one: ProbePlace) -> tuple[bool, bool, float]:
    """Air that freezes beer is worst, then a machine that starts too often, then a wide swing."""
    return (
        one.air_low_k < FREEZES_K,
        one.starts_per_hour > MOST_STARTS,
        one.air_high_k - one.air_low_k,
    )


def _running(question: ColdQuestion, fridge: _Fridge) -> Running:
    share = float(duty(fridge.leak_w, fridge.cooling_w))
    power = share * fridge.draw_w
    if question.energy_j_day is not None:
        power = question.energy_j_day / 86_400.0
    energy = power * YEAR_S
    cost = None if question.price_per_j is None else energy * question.price_per_j
    measured = question.energy_j_day is not None
    return Running(share, power, energy, cost, question.currency, measured)


def _tower(question: ColdQuestion, tower_k: float) -> WarmTower:
    """What the beer in the tower would need to hold its gas, against what the keg is set to."""
    fan = min(question.target_k + FAN_K, tower_k)

    def gauge(kelvin: float) -> Band:
        return carbonate(
            CarbonateQuestion(kelvin, target_vol=question.target_vol)
        ).gauge_pressure_pa

    return WarmTower(
        tower_k=tower_k,
        holds_gauge_pa=gauge(tower_k),
        keg_gauge_pa=gauge(question.target_k),
        warm_after_s=TOWER_TAU_S,
        with_fan_k=fan,
        with_fan_gauge_pa=gauge(fan),
    )


def _remarks(question: ColdQuestion, probes: tuple[ProbePlace, ...]) -> Iterator[str]:
    if question.energy_j_day is None:
        yield (
            "A usual fridge's leak and power stand in for yours. Plug it into an energy meter for "
            "a day, cold and shut, and give what it counts."
        )
    if all(one.air_low_k < FREEZES_K for one in probes):
        yield "Wherever the probe is, the air falls below where beer freezes: set it warmer."
    if next(one for one in probes if one.advised).starts_per_hour > MOST_STARTS:
        yield "The machine would start more often than is good for it: let it swing further."
    yield (
        "Set a delay of 5 minutes before the compressor may start again, and put the probe where "
        "no door or lid can pinch its lead."
    )
    yield "A small fan evens the air out from floor to lid, and chills up to twice as fast."
