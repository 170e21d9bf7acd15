"""A log read for what it teaches: every reading beside what was known when it was taken.

The facts are replayed once as anybody would have them, readings of kegs left out, and looked at
where something was read. What needs no more replay, since the keg stood at its place's temperature
or at its regulator's pressure, becomes a reading that is linear; the rest are fillings to replay.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event, facts_until
from ullage.cellar.happening import OfCylinder, OfKeg
from ullage.cellar.keg_changes import drawn_from
from ullage.cellar.keg_events import Filled, KegCleaned, KegWeighed, Kicked, Measured
from ullage.cellar.learn_fills import Filling, Opened
from ullage.cellar.learn_gas import CylinderFill, Tapped
from ullage.cellar.learn_tare import Scales, tells_of_beer
from ullage.cellar.learn_terms import Linear, Quantity, Reading, Term, constant
from ullage.cellar.naming import part
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    LineReplaced,
    PlaceSet,
)
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.physics.constants import BEER_WARMTH_READ, HEAD_READ, LEVEL_READ

SETTLED_K: Final = 0.1
"""A keg this near to its place shows its place's temperature."""
SETTLED_PA: Final = 50.0
"""A head this near to its regulator shows its regulator's pressure."""
MADE_VOL: Final = 0.02
"""Beer that will yet make more than this is no test of how gas goes in: its yeast is unknown."""
SDS: Final[Mapping[Quantity, float]] = {
    "level_vol": LEVEL_READ.value,
    "gauge_pressure_pa": HEAD_READ.value,
    "temperature_k": BEER_WARMTH_READ.value,
}
"""Standard deviations of what is read off a keg."""


@dataclass(frozen=True, slots=True)
class Pint:
    """A pint that was timed, and the keg it came from as it was then."""

    at: datetime
    pint_s: float
    keg: KegState


@dataclass(frozen=True, slots=True)
class Lessons:
    """What a log teaches with: terms for a fit, pints that were timed, and what cannot be used.

    `now`: the cellar at the end; `fillings` and `cylinders`: what stands there then, for readings
    that are yet to be taken.
    """

    terms: tuple[Term, ...]
    pints: tuple[Pint, ...]
    left_out: tuple[str, ...]
    now: CellarState
    fillings: Mapping[str, Filling]
    cylinders: Mapping[str, CylinderFill]


def lessons(log: Sequence[Event], at: datetime, ambient_pa: float) -> Lessons:
    """Read the facts of a log up to a moment."""
    facts = facts_until(log, at)
    reader = _Reader(Assumed(ambient_pa=ambient_pa))
    for event in facts:
        reader.take(event)
    return reader.ended(at)


@dataclass(slots=True)
class _Reader:
    """Goes through the facts once; `waiting` are those that are not replayed yet."""

    assumed: Assumed
    cellar: CellarState = field(default_factory=CellarState)
    waiting: list[Event] = field(default_factory=list)
    open: dict[str, Opened] = field(default_factory=dict)
    gas: dict[str, Tapped] = field(default_factory=dict)
    scales: dict[str, Scales] = field(default_factory=dict)
    pints: list[Pint] = field(default_factory=list)
    terms: list[Term] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)

    def take(self, event: Event) -> None:
        """Take a fact in; a reading of a keg is looked at and changes nothing."""
        if isinstance(event, Measured):
            self._measured(event)
            return
        if isinstance(event, Filled | KegCleaned | KegWeighed | Kicked):
            if not self._of_keg(event):
                return
        elif isinstance(event, OfCylinder):
            self._of_cylinder(event)
        elif isinstance(event, LineReplaced):
            self.pints = [one for one in self.pints if one.keg.tap != event.tap]
        self.waiting.append(event)
        self._kept(event)

    def _kept(self, event: Event) -> None:
        """Remember an event for the fillings that it matters to."""
        if isinstance(event, OfKeg):
            mine = [self.open[event.keg]] if event.keg in self.open else []
        elif isinstance(event, PlaceSet | BatchDescribed | CylinderConnected):
            mine = list(self.open.values())
        else:
            return
        for one in mine:
            one.events.append(event)

    def _at(self, at: datetime) -> CellarState:
        """The cellar at a moment."""
        self.cellar, self.waiting = replay(self.waiting, self.assumed, self.cellar), []
        return at_moment(self.cellar, at, self.assumed)

    def _of_keg(self, event: Filled | KegCleaned | KegWeighed | Kicked) -> bool:
        """Look at a keg's weight and its end; whether the event is to be replayed."""
        keg = self._at(event.at).kegs.get(event.keg)
        if keg is None:
            return True
        scales = self.scales.setdefault(event.keg, Scales())
        if isinstance(event, KegWeighed):
            self.terms += scales.weighed(event, keg)
            return tells_of_beer(event, keg)
        if isinstance(event, Kicked):
            self.terms += scales.emptied(keg)
            return True
        self.terms += scales.left()
        self._close(event.keg)
        if isinstance(event, Filled):
            self.scales[event.keg] = Scales()
            self.open[event.keg] = Opened(self.cellar, self.assumed.ambient_pa)
        return True

    def _close(self, keg: str) -> None:
        opened = self.open.pop(keg, None)
        if opened is not None and opened.readings:
            self.terms.append(opened.filling(keg))

    def _of_cylinder(self, event: OfCylinder) -> None:
        there = self._at(event.at).cylinders.get(event.cylinder)
        before = self.gas.get(event.cylinder)
        if before is None or there is None:
            begun = Tapped.of(event, there)
        else:
            begun = before.told(event, there, self.assumed)
        if begun is not before and before is not None:
            self.terms += before.ended()
        if begun is not None:
            self.gas[event.cylinder] = begun

    def _measured(self, event: Measured) -> None:
        keg = self._at(event.at).kegs.get(event.keg)
        opened = self.open.get(event.keg)
        if keg is None or keg.beer is None or opened is None:
            self._leave(event, "no beer was written down for it")
            return
        if event.pint_s is not None:
            self.pints.append(Pint(event.at, event.pint_s, drawn_from(keg)))
        for reading in _readings(event):
            simple = self._simple(reading, keg)
            if simple is not None:
                self.terms.append(simple)
            elif float(keg.to_ferment_vol) > MADE_VOL and reading.quantity != "temperature_k":
                self._leave(event, "it fermented, and how fast is not known")
            else:
                opened.readings.append(reading)

    def _simple(self, reading: Reading, keg: KegState) -> Linear | None:
        """A reading that needs no replay, if it is one."""
        if reading.quantity == "temperature_k":
            told = keg.place in self.cellar.places_k
            if not told or abs(float(keg.temperature_k) - keg.place_k) > SETTLED_K:
                return None
            base = float(keg.temperature_k)
            return Linear(reading, base, ((constant("thermometer", keg.place), 1.0),))
        supply = keg.supply
        if reading.quantity != "gauge_pressure_pa" or supply is None or supply.cylinder is None:
            return None
        if abs(float(keg.head_pa()) - self.assumed.ambient_pa - supply.gauge_pa) > SETTLED_PA:
            return None
        return Linear(reading, supply.gauge_pa, ((constant("gauge", supply.cylinder), 1.0),))

    def _leave(self, event: Measured, why: str) -> None:
        self.left_out.append(f"{event.at:%Y-%m-%d %H:%M} {part('keg', event.keg)}: {why}.")

    def ended(self, at: datetime) -> Lessons:
        """All that was found."""
        now = self._at(at)
        for scales in self.scales.values():
            self.terms += scales.left()
        fillings = {keg: opened.filling(keg) for keg, opened in self.open.items()}
        for keg in list(self.open):
            self._close(keg)
        cylinders = {name: one.filling(now.cylinders.get(name)) for name, one in self.gas.items()}
        for one in self.gas.values():
            self.terms += one.ended()
        return Lessons(
            tuple(self.terms),
            tuple(self.pints),
            tuple(self.left_out),
            now,
            fillings,
            cylinders,
        )


def _readings(event: Measured) -> Iterator[Reading]:
    for quantity, sd in SDS.items():
        read = getattr(event, quantity)
        if read is not None:
            yield Reading(event.at, f"keg:{event.keg}", quantity, read, sd)
