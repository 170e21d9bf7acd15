"""One tap or keg with all that is known of it: where the fault finder looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.events import Event, facts_until
from ullage.cellar.state import CellarState, KegState
from ullage.errors import UllageError, UnknownName
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.answers import PourAnswer
from ullage.plan.blend_served import as_straight, kept_by
from ullage.plan.cases import beer_volume, composition
from ullage.plan.own import gauge_offset, own_factor, share_on, thermometer_offset
from ullage.plan.pour import pour
from ullage.plan.tap_cases import tap_case
from ullage.system.cylinder import Cylinder
from ullage.system.model import Beer, Keg, System, Tap
from ullage.units import Kind, UnitSystem, format_quantity

TOLD_SD_VOL = 0.08
"""Of a level that a file tells, volumes; common practice, no source."""
LEAST_VOL = 0.3


@dataclass(frozen=True)
class FaultScene:
    """A system as it stands, and one keg and tap of it. Made by `scene_of`.

    `cellar`: replayed with its residuals, `spread` the same keg's samples; both `None` without a
    log. `log`: the facts up to `at`, in order.
    """

    system: System
    keg: Keg
    tap: Tap | None
    at: datetime
    units: UnitSystem
    log: tuple[Event, ...] = ()
    cellar: CellarState | None = None
    spread: KegState | None = None

    def said(self, value: float, kind: Kind) -> str:
        """A quantity in the household's units."""
        return format_quantity(value, kind, self.units)

    @cached_property
    def ambient_pa(self) -> float:
        """The air's pressure there, Pa absolute."""
        return ambient_pressure(self.system.altitude)

    @property
    def state(self) -> KegState | None:
        """The keg as replayed."""
        return None if self.cellar is None else self.cellar.kegs.get(self.keg.name)

    @property
    def beer(self) -> Beer | None:
        """The beer in it."""
        return None if self.keg.beer is None else self.system.beer(self.keg.beer)

    @property
    def place_k(self) -> float:
        """What its place is kept at, as its thermometer shows it."""
        return self.system.place(self.keg.place).temperature

    @property
    def truly_k(self) -> float:
        """How warm its place is: what its thermometer shows, and what that shows too little."""
        return self.place_k + thermometer_offset(self.system, self.keg.place)

    @property
    def beer_k(self) -> float:
        """How warm its beer is."""
        return self.keg.temperature or self.truly_k

    @property
    def offset_pa(self) -> float:
        """What its gauge shows too little, Pa."""
        return gauge_offset(self.system, self.keg.name)

    @property
    def tower_k(self) -> float:
        """How warm shank and faucet are."""
        warm = None if self.tap is None else self.tap.tower_temperature
        return warm or self.place_k

    @cached_property
    def gauge_pa(self) -> float | None:
        """The gas as its gauge shows it for this keg, Pa; with the gas off the head as replayed."""
        state = self.state
        if state is not None and state.supply is not None:
            return state.supply.gauge_pa
        if state is not None and state.holds_beer:
            return max(float(state.head_pa()) - self.ambient_pa - self.offset_pa, 0.0)
        if self.keg.regulator is None:
            return None
        return self.system.regulator(self.keg.regulator).pressure

    @cached_property
    def levels(self) -> NDArray[np.float64] | None:
        """Samples of the beer's level, volumes; `None` where it is not told."""
        if self.beer is None:
            return None
        if self.spread is not None:
            return np.atleast_1d(np.asarray(self.spread.level_vol, dtype=np.float64))
        if self.keg.carbonation is None:
            return None
        return self.keg.carbonation + TOLD_SD_VOL * np.linspace(-2.0, 2.0, 101)

    @property
    def level_vol(self) -> float | None:
        """The best guess of the beer's level, else what is wanted of it."""
        if self.keg.carbonation is not None:
            return self.keg.carbonation
        return None if self.beer is None else self.beer.volumes

    def _factor(self) -> float:
        made_of = beer_physics.standard_beer() if self.beer is None else composition(self.beer)
        return own_factor(self.system, made_of)

    @property
    def _share(self) -> float:
        """CO2 in the gas that is on it."""
        if self.state is not None and self.state.supply is not None:
            return self.state.supply.co2_share
        return share_on(self.system, self.keg.name)

    def holds_at(self, volumes: float, kelvin: float) -> float | None:
        """What its gauge must show (Pa) to hold a level at a temperature, `None` beyond it."""
        pure = self._straight_pa(volumes, kelvin)
        if pure is None:
            return None
        return float(kept_by(pure, self._share, kelvin)) - self.ambient_pa - self.offset_pa

    def _straight_pa(self, volumes: float, kelvin: float) -> float | None:
        """The pressure of CO2 (absolute Pa) below which it comes out, `None` beyond it."""
        try:
            return float(solubility.equilibrium_pressure(volumes, kelvin, self._factor()))
        except UllageError:
            return None

    @cached_property
    def needs_pa(self) -> float | None:
        """The gauge pressure that the beer as it is needs at its temperature."""
        if self.level_vol is None or self.level_vol < LEAST_VOL:
            return None
        pure = self._straight_pa(self.level_vol, self.beer_k)
        return None if pure is None else pure - self.ambient_pa - self.offset_pa

    @cached_property
    def keeps_pa(self) -> float | None:
        """The gauge pressure that keeps what is wanted where it stands."""
        return None if self.beer is None else self.holds_at(self.beer.volumes, self.truly_k)

    @cached_property
    def comes_to(self) -> float | None:
        """The level that the gas as it is set comes to where the keg stands."""
        on = self.state is None or self.state.supply is not None
        if not on or self.gauge_pa is None or self.beer is None:
            return None
        whole = max(self.ambient_pa + self.gauge_pa + self.offset_pa, 0.0)
        try:
            straight = as_straight(whole, self._share, self.truly_k)
            return float(solubility.equilibrium_volumes(straight, self.truly_k, self._factor()))
        except UllageError:
            return None

    @cached_property
    def pour(self) -> PourAnswer | None:
        """How it pours now with the gas that is in the beer; `None` where nothing pours."""
        tap, beer, gauge = self.tap, self.beer, self.gauge_pa
        if tap is None or beer is None or gauge is None or beer_volume(self.keg) <= 0.0:
            return None
        level = max(self.level_vol or beer.volumes, LEAST_VOL)
        try:
            case = tap_case(self.system, tap, beer, gauge, self.ambient_pa)
            return pour(replace(case, carbonation_vol=level))
        except UllageError:
            return None

    @property
    def line_cleaned(self) -> datetime | None:
        """When this tap's line was cleaned or replaced last, by the log."""
        if self.tap is None or self.cellar is None:
            return None
        name = self.tap.name
        done = (self.cellar.lines_cleaned.get(name), self.cellar.lines_replaced.get(name))
        return max((one for one in done if one is not None), default=None)

    @cached_property
    def cylinder(self) -> Cylinder | None:
        """The cylinder that feeds this keg, or the only one there is."""
        state = self.state
        name = None if state is None or state.supply is None else state.supply.cylinder
        if name is None and self.keg.regulator is not None:
            name = self.system.regulator(self.keg.regulator).cylinder
        found = [one for one in self.system.cylinders if name in (None, one.name)]
        return found[0] if len(found) == 1 else None

    @property
    def rated_kg(self) -> float:
        """What that cylinder is rated for; 0 where there is none."""
        one = self.cylinder
        return 0.0 if one is None else one.full_kg

    @property
    def held_kg(self) -> float | None:
        """What it holds by the log, below zero if more went than was in it; else by the file."""
        one = self.cylinder
        if one is None:
            return None
        if self.cellar is not None and one.name in self.cellar.cylinders:
            return float(self.cellar.cylinders[one.name].contents_kg)
        return self.rated_kg if one.contents_kg is None else one.contents_kg

    @property
    def weighed_at(self) -> datetime | None:
        """When it was last known what that cylinder holds."""
        if self.cellar is None or self.cylinder is None:
            return None
        known = self.cellar.cylinders.get(self.cylinder.name)
        return None if known is None else known.known_at


@dataclass(frozen=True, slots=True)
class Replayed:
    """A log and what it comes to: the cellar with residuals, and its samples."""

    log: Sequence[Event]
    now: CellarState
    spread: CellarState


def scene_of(
    system: System,
    *,
    at: datetime | None = None,
    tap: str = "",
    keg: str = "",
    replayed: Replayed | None = None,
) -> FaultScene:
    """Look at a tap, else a keg, else the first tap. Raises `UnknownName` where there is none.

    `system` as it stands now (see `present.present_system`), `replayed` its log.
    """
    one_tap, one_keg = _looked_at(system, tap, keg)
    moment = at or datetime.now(UTC).astimezone()
    if replayed is None:
        return FaultScene(system, one_keg, one_tap, moment, system.units)
    facts = facts_until(replayed.log, moment)
    return FaultScene(
        system=system,
        keg=one_keg,
        tap=one_tap,
        at=moment,
        units=system.units,
        log=tuple(facts),
        cellar=replayed.now,
        spread=replayed.spread.kegs.get(one_keg.name),
    )


def _looked_at(system: System, tap: str, keg: str) -> tuple[Tap | None, Keg]:
    if tap:
        found = system.tap(tap)
        return found, system.keg(found.keg)
    if keg:
        return next(iter(system.taps_of(keg)), None), system.keg(keg)
    full = [one for one in system.taps if system.keg(one.keg).beer is not None]
    first = next(iter((*full, *system.taps)), None)
    if first is not None:
        return first, system.keg(first.keg)
    if system.kegs:
        return None, system.kegs[0]
    raise UnknownName("this system has no keg and no tap: describe one, then ask what is wrong")
