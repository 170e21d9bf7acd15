"""The gas of a party: what it takes, beer yet to be brewed counted, and what is there by then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.state import CellarState
from ullage.errors import OutOfRange
from ullage.physics import headspace
from ullage.physics.constants import GAS_HANDLING
from ullage.plan.answers import Band
from ullage.plan.bands import band
from ullage.plan.blend_gas import push_kg
from ullage.plan.cases import residual_vol
from ullage.plan.cylinder_ahead import gas_course
from ullage.plan.followed import Followed
from ullage.plan.gas import KegUse, all_uses
from ullage.plan.gas_ahead_of import gas_log, gas_of
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.look_ahead import KegAhead
from ullage.plan.own import gauge_offset, learnt_of
from ullage.plan.party_answer import PartyGas, PartyKeg
from ullage.system import parts
from ullage.system.model import Beer, Keg, System

USUAL_GAUGE_PA: Final = 0.8e5
"""What pushes beer where no pressure is known; common practice, no source: 12 psi."""


@dataclass(frozen=True, slots=True)
class ToBrew:
    """Beer (m³) for a party that is in no keg yet, and the keg that it would stand in."""

    beer: Beer
    keg: Keg
    missing_m3: float


@dataclass(frozen=True, slots=True)
class GasScene:
    """The log and what it comes to, the system, the kegs with beer, and when the party begins."""

    log: Sequence[Event]
    ahead: Followed
    system: System
    kegs: Sequence[KegAhead]
    starts: datetime


def party_gas(
    scene: GasScene,
    wanted: Sequence[tuple[float, Sequence[PartyKeg]]],
    to_brew: Sequence[ToBrew],
) -> tuple[PartyGas, ...]:
    """What each cylinder gives, and holds when the party begins.

    `wanted`: beer (m³) from which kegs. It takes what pushes that out and carbonates what lacks
    gas then, the same for what is yet to be brewed with its kegs made ready, and what goes besides.
    Of a blend only what pushes is counted: kegs are made ready and carbonated with straight CO2.
    """
    needs: dict[str, float] = {}
    then = _then(scene)
    for beer_m3, kegs in wanted:
        left = beer_m3
        for told in kegs:
            used = min(left, told.beer_m3)
            left -= used
            _add(needs, _source(scene, told.keg), _takes(scene, then, told.keg, used))
    for one in to_brew:
        _add(needs, _source(scene, one.keg.name), _takes_new(scene, one))
    lost = (learnt_of(scene.system).known("handling") or GAS_HANDLING).value
    held = scene.ahead.now.cylinders
    return tuple(
        _answer(scene, name, (1.0 + lost) * takes) for name, takes in needs.items() if name in held
    )


def _answer(scene: GasScene, name: str, takes_kg: float) -> PartyGas:
    holds = _holds(scene, name)
    enough, likely = holds.low >= takes_kg, holds.value >= takes_kg
    return PartyGas(name, takes_kg, holds, enough, likely, _share(scene, name))


def _add(needs: dict[str, float], source: str | None, takes_kg: float) -> None:
    if source is not None:
        needs[source] = needs.get(source, 0.0) + takes_kg


def _source(scene: GasScene, keg: str) -> str | None:
    """The cylinder that a keg hangs on, else the first."""
    state = scene.ahead.now.kegs.get(keg)
    supply = None if state is None else state.supply
    named = None if supply is None else supply.cylinder
    return named or next(iter(scene.ahead.now.cylinders), None)


def _share(scene: GasScene, source: str | None) -> float:
    """CO2 in the gas of a cylinder."""
    known = scene.ahead.now.cylinders.get(source or "")
    return 1.0 if known is None else known.co2_share


def _then(scene: GasScene) -> CellarState:
    """The cellar when the party begins, or as far ahead as it was followed."""
    seconds = (scene.starts - scene.ahead.at).total_seconds()
    marks = scene.ahead.marks_s
    last = max((i for i, mark in enumerate(marks) if mark <= seconds), default=0)
    return scene.ahead.then[last]


def _takes(scene: GasScene, then: CellarState, keg: str, used_m3: float) -> float:
    """What pushes so much out of a keg, and carbonates what it lacks then, kg."""
    now, state = scene.ahead.now.kegs[keg], then.kegs[keg]
    gauge = USUAL_GAUGE_PA if now.supply is None else now.supply.gauge_pa
    share = _share(scene, _source(scene, keg))
    push = push_kg(used_m3, _ambient(scene) + gauge, now.place_k, share)
    if share < 1.0:
        return push
    batch = scene.ahead.now.batches.get(now.batch or "")
    level = float(state.level_vol)
    goal = max(level if batch is None else batch.target_vol, level)
    return push + float(headspace.gas_to_carbonate(float(now.beer_m3), level, goal))


def _takes_new(scene: GasScene, one: ToBrew) -> float:
    """The same of beer that is yet to be brewed, its kegs made ready: as every new keg takes."""
    kind, ambient = parts.keg_kind(one.keg.kind), _ambient(scene)
    place_k = scene.system.place(one.keg.place).temperature
    share = _share(scene, _source(scene, one.keg.name))
    if share < 1.0:
        return push_kg(one.missing_m3, ambient + _gauge(scene, one), place_k, share)
    use = KegUse(
        keg=one.keg.name,
        beer_m3=kind.usual_fill_m3,
        head_m3=max(kind.capacity_m3 - kind.usual_fill_m3, 0.0),
        from_vol=residual_vol(one.beer, ambient),
        to_vol=one.beer.volumes,
        gauge_pa=_gauge(scene, one),
        temperature_k=place_k,
        sanitiser=True,
    )
    each = sum(part.mass_kg for part in all_uses(use, ambient))
    return each * one.missing_m3 / kind.usual_fill_m3


def _gauge(scene: GasScene, one: ToBrew) -> float:
    """The gauge pressure that keeps it where it would stand, or the usual where none does."""
    try:
        kept = keeping_gauge(scene.system, one.keg, one.beer)
    except OutOfRange:
        return USUAL_GAUGE_PA
    return max(kept + gauge_offset(scene.system, one.keg.name), 0.0)


def _ambient(scene: GasScene) -> float:
    return assumed(household(scene.log)).ambient_pa


def _holds(scene: GasScene, name: str) -> Band:
    """What a cylinder holds (kg) when the party begins, if all goes on as it does."""
    told = gas_log(scene.ahead, scene.log, household(scene.log))
    gas = gas_of(scene.ahead, name, scene.kegs, told)
    course = gas_course(gas.course, gas.kegs, gas.losses, gas.usual)
    seconds = max((scene.starts - scene.ahead.at).total_seconds(), 0.0)
    left, samples = course.at_times(np.array([seconds]))
    return band(float(left[0]), samples[0])
