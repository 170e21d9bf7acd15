"""A question as this household asks it: with the constants of its own that it kept."""

from __future__ import annotations

from dataclasses import replace

from ullage.cellar.draws import spread_of
from ullage.cellar.learnt import Learnt
from ullage.cellar.track import KegCase
from ullage.physics.constants import HEAT_LOSS
from ullage.plan.pour import TapCase
from ullage.system.model import System


def cylinder_of(system: System, keg: str) -> str | None:
    """The cylinder whose gas a keg is on, by its regulator."""
    one = next((one for one in system.kegs if one.name == keg), None)
    if one is None or one.regulator is None:
        return None
    return system.regulator(one.regulator).cylinder


def own_tap(case: TapCase, system: System, learnt: Learnt) -> TapCase:
    """A tap with its line's own resistance, and its gauge's own offset."""
    return replace(
        case,
        resistance=learnt.known("line", case.tap),
        spread=spread_of(learnt, cylinder_of(system, case.keg)),
    )


def own_keg(case: KegCase, system: System, keg: str, learnt: Learnt) -> KegCase:
    """A keg as it is described, in its place as that is, with the beer's and the gauge's own."""
    place = next((one.place for one in system.kegs if one.name == keg), None)
    offset = None if place is None else learnt.known("thermometer", place)
    chilling = None if place is None else learnt.known("chilling", place)
    shift = 0.0 if offset is None else offset.value
    slower = 1.0 if chilling is None else HEAT_LOSS.value / chilling.value
    return replace(
        case,
        start_k=case.start_k + (shift if case.start_k == case.place_k else 0.0),
        place_k=case.place_k + shift,
        tau_s=case.tau_s * slower,
        spread=spread_of(learnt, cylinder_of(system, keg), place),
    )
