"""A system with the constants of its own that its household kept: the one place they come from.

`present_system` makes an `OwnSystem` of what is described and what was kept. Whatever turns a part
of a system into numbers (`keg_case`, `tap_case`, `keeping_gauge`, …) asks here, so that an answer
about the system as it stands now counts them without being told. A system file alone has none.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from pydantic import Field, SkipValidation

from ullage.cellar.draws import Spread, spread_of
from ullage.cellar.household import Household
from ullage.cellar.learnt import NOTHING_LEARNT, Learnt
from ullage.cellar.track import KegCase
from ullage.physics import beer as beer_physics
from ullage.physics.beer import Composition
from ullage.physics.constants import HEAT_LOSS
from ullage.physics.fitted import BEER_FACTOR
from ullage.system.model import System


class OwnSystem(System):
    """A system as it stands, and the constants of its own that the household kept."""

    learnt: Annotated[SkipValidation[Learnt], Field(exclude=True, repr=False)] = NOTHING_LEARNT


def with_learnt(system: System, learnt: Learnt) -> System:
    """The system with these constants, and no others; without any the plain one."""
    told = {name: getattr(system, name) for name in System.model_fields}
    kind = OwnSystem if learnt.kept else System
    if type(system) is System and kind is System:
        return system
    bare = kind.model_construct(**{_key(name): value for name, value in told.items()})
    return bare.model_copy(update={"learnt": learnt}) if learnt.kept else bare


def _key(name: str) -> str:
    return System.model_fields[name].alias or name


def learnt_of(system: System) -> Learnt:
    """The constants that its household kept; nothing where it is only described."""
    return system.learnt if isinstance(system, OwnSystem) else NOTHING_LEARNT


def household_of(system: System) -> Household:
    """Its household, as replay asks for it."""
    return Household(system.altitude, system.units, learnt_of(system))


def cylinder_of(system: System, keg: str) -> str | None:
    """The cylinder whose gas a keg is on, by its regulator."""
    one = next((one for one in system.kegs if one.name == keg), None)
    if one is None or one.regulator is None:
        return None
    return system.regulator(one.regulator).cylinder


def share_on(system: System, keg: str) -> float:
    """The share of CO2 in the gas of a keg's regulator; straight CO2 where it has none."""
    name = cylinder_of(system, keg)
    return 1.0 if name is None else system.cylinder(name).co2


def own_spread(system: System, keg: str) -> Spread:
    """What is known of the constants that a keg's answers hang on: its gauge's, place's, beer's."""
    place = next((one.place for one in system.kegs if one.name == keg), None)
    return spread_of(learnt_of(system), cylinder_of(system, keg), place)


def gauge_offset(system: System, keg: str) -> float:
    """What a keg's regulator gives more than its gauge shows, Pa; 0 where that was not kept."""
    return own_spread(system, keg).gauge_offset_pa.value


def own_factor(system: System, beer: Composition) -> float:
    """A beer's solubility over water's, by the factor of its own that a household kept."""
    known = learnt_of(system).known("beer factor") or BEER_FACTOR
    return float(beer_physics.solubility_factor(beer, known.value))


def thermometer_offset(system: System, place: str) -> float:
    """What a place is warmer than its thermometer shows, K; 0 where that was not kept."""
    known = learnt_of(system).known("thermometer", place)
    return 0.0 if known is None else known.value


def own_keg(case: KegCase, system: System, keg: str) -> KegCase:
    """A keg as it is described, in its place as that is, with the beer's and the gauge's own."""
    learnt = learnt_of(system)
    if not learnt.kept:
        return case
    place = next((one.place for one in system.kegs if one.name == keg), "")
    chilling = learnt.known("chilling", place)
    shift = thermometer_offset(system, place)
    slower = 1.0 if chilling is None else HEAT_LOSS.value / chilling.value
    return replace(
        case,
        start_k=case.start_k + (shift if case.start_k == case.place_k else 0.0),
        place_k=case.place_k + shift,
        tau_s=case.tau_s * slower,
        spread=own_spread(system, keg),
    )
