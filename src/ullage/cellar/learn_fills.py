"""One filling of a keg and what was read off it, replayed as unknowns would have it.

The readings are left out of the replay: they are only looked at, so that the error of one is not in
what the next is held against.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import cached_property
from typing import Final

from ullage.cellar.changing import only_cylinder
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Moved, Shaken, ToppedUp
from ullage.cellar.learn_terms import Reading, Unknown, Values, constant
from ullage.cellar.learnt import ConstantName
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, KegState, Own
from ullage.physics.constants import (
    CONVECTION,
    HEAT_LOSS,
    SHAKEN_CONTACT,
    START_LEVEL,
    STONE_CONTACT,
)
from ullage.physics.fitted import BEER_FACTOR

PASSING: Final = timedelta(hours=1)
"""A place where a keg stood for less tells nothing of itself."""


@dataclass(frozen=True)
class Filling:
    """A filling of a keg: the cellar just before, and what happened from there on that matters.

    `events` begin with the filling and hold no readings; `cylinders` fed it, and in `places` it
    stood.
    """

    keg: str
    begun: CellarState
    events: tuple[Event, ...]
    readings: tuple[Reading, ...]
    ambient_pa: float
    cylinders: tuple[str, ...]
    places: tuple[str, ...]

    @cached_property
    def start(self) -> Unknown:
        """How much more than told the beer held at the start."""
        filled = self.events[0].at
        return Unknown(None, f"{self.keg} {filled.isoformat()}", 0.0, START_LEVEL.value)

    @cached_property
    def unknowns(self) -> tuple[Unknown, ...]:
        """What its readings depend on."""
        return tuple(self._unknowns())

    def _unknowns(self) -> Iterator[Unknown]:
        yield constant("absorption")
        yield constant("beer factor")
        if any(isinstance(one, Shaken) for one in self.events):
            yield constant("shaking")
        if any(isinstance(one, GasOn) and one.contact == "stone" for one in self.events):
            yield constant("stone")
        yield from (constant("gauge", name) for name in self.cylinders)
        for name in self.places:
            yield constant("thermometer", name)
            yield constant("chilling", name)
        yield self.start

    def predicted(self, values: Values) -> list[float]:
        """What each reading would show."""
        one = assumed_of(values, self.ambient_pa)
        return [shown(keg, reading, one) for keg, reading in self._visited(values, one)]

    def _visited(self, values: Values, one: Assumed) -> Iterator[tuple[KegState, Reading]]:
        """The keg at the moment of each reading."""
        cellar = self._filled(values, one)
        waiting = list(self.events[1:])
        for reading in self.readings:
            before = [event for event in waiting if event.at <= reading.at]
            waiting = waiting[len(before) :]
            cellar = replay(before, one, cellar)
            yield at_moment(cellar, reading.at, one).kegs[self.keg], reading

    def _filled(self, values: Values, one: Assumed) -> CellarState:
        cellar = self.begun
        keg = cellar.kegs[self.keg]
        told = cellar.places_k.get(keg.place)
        if told is not None:
            keg = replace(keg, place_k=one.own.kelvin(keg.place, told))
        cellar = replay(self.events[:1], one, replace(cellar, kegs={self.keg: keg}))
        keg = cellar.kegs[self.keg]
        level = max(float(keg.level_vol) + values[self.start], 0.0)
        return replace(cellar, kegs={self.keg: replace(keg, level_vol=level)})


def shown(keg: KegState, reading: Reading, one: Assumed) -> float:
    """What a reading of a keg in that state would show.

    A level by a shaken gauge is read off the chart of ordinary beer: one that holds less than that
    shows more pressure at the same level.
    """
    if reading.quantity == "temperature_k":
        return float(keg.temperature_k)
    if reading.quantity == "gauge_pressure_pa":
        return float(keg.head_pa()) - one.ambient_pa
    return float(keg.level_vol) * BEER_FACTOR.value / float(one.beer_factor)


def assumed_of(values: Values, ambient_pa: float) -> Assumed:
    """What replay assumes where unknowns have these values; as usual where one is left out."""

    def bare(name: ConstantName, usual: float) -> float:
        return values.get(constant(name), usual) / usual

    def parts(name: ConstantName, per: float = 1.0) -> dict[str, float]:
        return {
            one.about: value / per
            for one, value in values.items()
            if one.constant == name and one.about is not None
        }

    return Assumed(
        beer_factor=values.get(constant("beer factor"), BEER_FACTOR.value),
        absorption=bare("absorption", CONVECTION.value),
        shaking=bare("shaking", SHAKEN_CONTACT.value),
        stone=bare("stone", STONE_CONTACT.value),
        ambient_pa=ambient_pa,
        own=Own(
            gauge_pa=parts("gauge"),
            thermometer_k=parts("thermometer"),
            chilling=parts("chilling", HEAT_LOSS.value),
        ),
    )


@dataclass(slots=True)
class Opened:
    """A filling that is being read: the cellar just before it, what happened, what was read."""

    begun: CellarState
    ambient_pa: float
    events: list[Event] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)

    def filling(self, keg: str) -> Filling:
        """The filling as far as it was read; `events` up to its end."""
        only = only_cylinder(self.begun)
        gas = [one for one in self.events if isinstance(one, GasOn | ToppedUp)]
        fed = [one.cylinder or only for one in gas]
        return Filling(
            keg=keg,
            begun=self.begun,
            events=tuple(self.events),
            readings=tuple(self.readings),
            ambient_pa=self.ambient_pa,
            cylinders=tuple(sorted({name for name in fed if name is not None})),
            places=tuple(sorted(self._places(keg))),
        )

    def _places(self, keg: str) -> set[str]:
        """Where it stood long enough to feel it."""
        moved = [one for one in self.events if isinstance(one, Moved)]
        begins = [self.events[0].at, *(one.at for one in moved)]
        places = [self.begun.kegs[keg].place, *(one.place for one in moved)]
        ends = [*begins[1:], None]
        return {
            place
            for place, begin, end in zip(places, begins, ends, strict=True)
            if end is None or end - begin > PASSING
        }
