"""What is known of each part at a moment, and how: told, read on a day, or worked out with a band.

Values are SI, in the unit that the field's name gives. The diagram draws from these alone, so it
draws alike from a system's file and from a cellar's log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final, Literal, TypeAlias

from ullage.cellar.events import Event
from ullage.cellar.keg_events import Measured
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
)
from ullage.physics.cylinder import is_liquid_gone, mass_from_pressure, water_capacity
from ullage.plan.answers import Band, CarbonationAnswer, GasAnswer, WholeAnswer
from ullage.plan.status import CylinderStatus, KegStatus, StatusAnswer
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, System

PartKind: TypeAlias = Literal["place", "cylinder", "regulator", "keg", "tap"]
FRESH: Final = timedelta(days=2)
"""A reading stands for the number this long; then what has happened since weighs more."""


@dataclass(frozen=True, slots=True)
class PartRef:
    """A part of the system, as a link names it."""

    kind: PartKind
    name: str


Link: TypeAlias = Callable[[PartRef], str | None]
"""Gives the address of a part's page, or `None` for a part without one."""


@dataclass(frozen=True, slots=True)
class Told:
    """A number that somebody set or wrote down without a day."""

    value: float


@dataclass(frozen=True, slots=True)
class Read:
    """A number read from an instrument, and when."""

    value: float
    at: datetime


@dataclass(frozen=True, slots=True)
class Estimated:
    """A number worked out: its 80 % band where there is one."""

    value: float
    low: float | None = None
    high: float | None = None


Known: TypeAlias = Told | Read | Estimated


@dataclass(frozen=True, slots=True)
class KegLive:
    """A keg now. `doubt`: the gas that is on will not bring it to what is wanted."""

    left_m3: Known | None = None
    level_vol: Known | None = None
    temperature_k: Known | None = None
    head_gauge_pa: Known | None = None
    wanted_vol: float | None = None
    tolerance_vol: float | None = None
    doubt: bool = False
    gas_on: bool | None = None

    @property
    def verdict(self) -> Literal["short", "over", "there"] | None:
        """How the beer stands to what is wanted; `None` where nothing is wanted of it."""
        if self.level_vol is None or self.wanted_vol is None:
            return None
        off = self.level_vol.value - self.wanted_vol
        if abs(off) <= (self.tolerance_vol or 0.0):
            return "there"
        return "over" if off > 0 else "short"


@dataclass(frozen=True, slots=True)
class Live:
    """What is known of every part, by its name; a part that is missing shows its name alone."""

    kegs: Mapping[str, KegLive] = field(default_factory=dict)
    cylinders_kg: Mapping[str, Known] = field(default_factory=dict)
    pours_s: Mapping[str, Known] = field(default_factory=dict)
    places_k: Mapping[str, Known] = field(default_factory=dict)

    def keg(self, name: str) -> KegLive:
        """Give what is known of a keg, be it nothing."""
        return self.kegs.get(name, KegLive())


def live_of_answer(system: System, answer: WholeAnswer) -> Live:
    """Take what a system's file says and what was worked out from it, without a log."""
    beers = {one.keg: one for one in answer.carbonation}
    gas = {one.cylinder: one for one in answer.gas}
    return Live(
        kegs={keg.name: _described_keg(system, keg, beers.get(keg.name)) for keg in system.kegs},
        cylinders_kg={
            one.name: _described_gas(one, gas[one.name])
            for one in system.cylinders
            if one.name in gas
        },
        pours_s=_pours(answer),
    )


def live_of_status(
    status: StatusAnswer, answer: WholeAnswer | None = None, readings: Iterable[Event] = ()
) -> Live:
    """Take the cellar at a moment; pour times from `answer`, if given, in the units it asks for.

    `readings` are the facts of the log, or those of them that measure; the last of each number
    stands for `FRESH` in place of the estimate.
    """
    live = Live(
        kegs={one.keg: _kept_keg(one) for one in status.kegs},
        cylinders_kg={one.cylinder: _kept_gas(one) for one in status.cylinders},
        pours_s={} if answer is None else _pours(answer),
    )
    rated = {one.cylinder: one.rated_kg for one in status.cylinders if one.co2_share == 1.0}
    return with_readings(live, readings, status.at, rated)


def with_readings(
    live: Live,
    readings: Iterable[Event],
    now: datetime,
    rated_kg: Mapping[str, float] | None = None,
) -> Live:
    """Put fresh readings in the place of estimates, the newest last.

    `rated_kg`: what cylinders are rated for, by their names; a gauge tells what one holds only
    where that is known, and only once the liquid is gone. A cylinder swapped since is an estimate
    again.
    """
    kegs, cylinders = dict(live.kegs), dict(live.cylinders_kg)
    fresh = [one for one in readings if timedelta(0) <= now - one.at <= FRESH and not one.planned]
    for event in sorted(fresh, key=lambda one: one.at):
        name = event.subject
        if isinstance(event, Measured) and name in kegs:
            kegs[name] = _read_keg(kegs[name], event)
        elif isinstance(event, CylinderWeighed):
            cylinders[name] = Read(event.contents_kg, event.at)
        elif isinstance(event, CylinderRead) and name in (rated_kg or {}):
            told = _told_by_gauge(event, (rated_kg or {})[name])
            cylinders |= {} if told is None else {name: told}
        elif isinstance(event, CylinderConnected | CylinderSwapped) and name in live.cylinders_kg:
            cylinders[name] = live.cylinders_kg[name]
    return replace(live, kegs=kegs, cylinders_kg=cylinders)


def _told_by_gauge(event: CylinderRead, rated_kg: float) -> Read | None:
    """What a cylinder's gauge tells of its contents; nothing while there is liquid."""
    if not is_liquid_gone(event.gauge_pressure_pa, event.temperature_k):
        return None
    volume = water_capacity(rated_kg)
    held = mass_from_pressure(event.gauge_pressure_pa, volume, event.temperature_k)
    return Read(held, event.at)


def _read_keg(keg: KegLive, event: Measured) -> KegLive:
    def known(value: float | None, before: Known | None) -> Known | None:
        return before if value is None else Read(value, event.at)

    return replace(
        keg,
        level_vol=known(event.level_vol, keg.level_vol),
        temperature_k=known(event.temperature_k, keg.temperature_k),
        head_gauge_pa=known(event.gauge_pressure_pa, keg.head_gauge_pa),
    )


def _described_keg(system: System, keg: Keg, answer: CarbonationAnswer | None) -> KegLive:
    if keg.beer is None:
        return KegLive()
    wanted = system.beer(keg.beer)
    usual = Estimated(parts.keg_kind(keg.kind).usual_fill_m3)
    level = None if answer is None else Estimated(answer.start_vol)
    place = system.place(keg.place).temperature
    return KegLive(
        left_m3=usual if keg.volume is None else Told(keg.volume),
        level_vol=level if keg.carbonation is None else Told(keg.carbonation),
        temperature_k=Told(place if keg.temperature is None else keg.temperature),
        wanted_vol=wanted.volumes,
        tolerance_vol=wanted.tolerance,
    )


def _described_gas(cylinder: Cylinder, gas: GasAnswer) -> Known:
    told = cylinder.contents_kg is not None
    return Told(gas.remaining_kg) if told else Estimated(gas.remaining_kg)


def _pours(answer: WholeAnswer) -> dict[str, Known]:
    us = answer.units == "us"
    return {one.tap: _banded(one.pint_s if us else one.half_litre_s) for one in answer.pours}


def _banded(band: Band) -> Estimated:
    return Estimated(band.value, band.low, band.high)


def _kept_keg(keg: KegStatus) -> KegLive:
    if keg.batch is None:
        return KegLive(gas_on=keg.supply_gauge_pa is not None)
    doubt = keg.comes_to_vol is None or (
        keg.target_vol is not None
        and keg.comes_to_vol < keg.target_vol - (keg.tolerance_vol or 0.0)
    )
    return KegLive(
        left_m3=_banded(keg.beer_left_m3),
        level_vol=_banded(keg.level_vol),
        temperature_k=Estimated(keg.temperature_k),
        head_gauge_pa=_banded(keg.gauge_pressure_pa),
        wanted_vol=keg.target_vol,
        tolerance_vol=keg.tolerance_vol,
        doubt=doubt,
        gas_on=keg.supply_gauge_pa is not None,
    )


def _kept_gas(cylinder: CylinderStatus) -> Estimated:
    """What a cylinder holds, never less than nothing: replay may take more than was in it."""
    band = cylinder.contents_kg
    return Estimated(max(band.value, 0.0), max(band.low, 0.0), max(band.high, 0.0))
