"""Kegs of households that are not like the usual one: what is told of them, and what truly happens.

Each is told in a log with the usual constants. What truly happens is a second log, with a keg that
was filled with a little more or less than told, replayed with constants drawn by their spreads: the
beer's solubility and how alcohol and extract change it, absorption, what the regulator's gauge and
the fridge's thermometer are off by, how quickly the fridge chills.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

import numpy as np

from tests.cellar.logs import PSI, SEA_LEVEL, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired, KegCleaned, Moved, Purged
from ullage.cellar.learnt import LEARNABLE, ConstantName, ConstantsKept, KeptConstant
from ullage.cellar.other_events import BatchDescribed, CylinderConnected, PlaceSet
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, Own
from ullage.physics.constants import (
    ALCOHOL_ON_SOLUBILITY,
    CONVECTION,
    EXTRACT_ON_SOLUBILITY,
    HEAT_LOSS,
    Constant,
)

KIND = "ball-lock-5gal"
FILL_SD_M3 = 0.25e-3
"""How well an amount filled is known: half a pint; common practice, no source."""
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Scene:
    """What a keeper tells of one keg: all in SI but the gauge's psi."""

    cold_k: float
    target_vol: float
    og: float
    fg: float
    fill_m3: float
    warm: bool
    gauge_psi: float

    def log(self, fill_m3: float) -> list[Event]:
        """Described, filled with so much, purged, and carried into the fridge; no gas on yet."""
        place = "room" if self.warm else "fridge"
        batch = BatchDescribed(
            at=day(-1), batch="pale", target_vol=self.target_vol, og=self.og, fg=self.fg
        )
        kelvin = 293.15 if self.warm else self.cold_k
        return [
            PlaceSet(at=day(-3), place="fridge", temperature_k=self.cold_k),
            PlaceSet(at=day(-3), place="room", temperature_k=293.15),
            CylinderConnected(at=day(-2), cylinder="main", size="10 lb"),
            batch,
            KegAcquired(at=day(-2), keg="K1", keg_kind=KIND, place=place),
            KegCleaned(at=day(-0.5), keg="K1"),
            Filled(at=day(0), keg="K1", batch="pale", volume_m3=fill_m3, temperature_k=kelvin),
            Purged(at=day(0.001), keg="K1", cycles=5, gauge_pressure_pa=30 * PSI),
            Moved(at=day(0.002), keg="K1", place="fridge"),
        ]

    def on_gas(self, fill_m3: float) -> list[Event]:
        """The same with the gas on, set by a chart."""
        gauge = self.gauge_psi * PSI
        on = GasOn(at=day(0.003), keg="K1", gauge_pressure_pa=gauge, cylinder="main")
        return [*self.log(fill_m3), on]


@cache
def scene(number: int) -> Scene:
    """One keg as it is told: cold or warm, full or less, a lager or a stout."""
    random = np.random.default_rng(7_000 + number)
    cold_k, target = float(random.uniform(274.7, 279.2)), float(random.uniform(2.1, 2.7))
    # published: a chart's reading near these levels, 10.4 psi for 2.4 volumes at 38 °F (Miller
    # 1994), 7.1 psi a volume and 1.1 psi a kelvin about it; a hand sets half psi
    psi = 10.4 + 7.1 * (target - 2.4) + 1.1 * (cold_k - 276.483)
    return Scene(
        cold_k=cold_k,
        target_vol=target,
        og=float(random.uniform(1.040, 1.065)),
        fg=float(random.uniform(1.008, 1.015)),
        fill_m3=float(random.uniform(13e-3, 18.95e-3)),
        warm=bool(random.random() < 0.5),
        gauge_psi=round(2 * psi) / 2,
    )


@dataclass(frozen=True)
class Truth:
    """One household as it truly is."""

    assumed: Assumed
    fill_off_m3: float

    def cellar(self, log: Sequence[Event], at: datetime) -> CellarState:
        """What is there at a moment."""
        return at_moment(replay(log, self.assumed, until=at), at, self.assumed)

    def level(self, log: Sequence[Event], at: datetime) -> float:
        """Volumes that the beer truly holds."""
        return float(self.cellar(log, at).kegs["K1"].level_vol)

    def first(self, log: Sequence[Event], least_vol: float, begin: datetime) -> datetime | None:
        """When the beer first truly holds so much, to five minutes; `None`: not in 28 days."""
        low, high = 0.0, 28 * 24.0
        state = replay(log, self.assumed, until=begin)
        later = [event for event in log if event.at > begin]

        def there(hours: float) -> bool:
            at = begin + hours * HOUR
            passed = [event for event in later if event.at <= at]
            cellar = at_moment(replay(passed, self.assumed, begun=state), at, self.assumed)
            return float(cellar.kegs["K1"].level_vol) >= least_vol

        if not there(high):
            return None
        while high - low > 1 / 12:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if there(middle) else (middle, high)
        return begin + high * HOUR


def true(seed: int, kept: ConstantsKept | None = None) -> Truth:
    """A household drawn from the priors; what it kept narrows them."""
    random = np.random.default_rng(seed)

    def near(constant: Constant) -> float:
        return constant.value + constant.sd * float(random.standard_normal())

    def own(name: ConstantName, about: str | None = None) -> float:
        z = float(random.standard_normal())
        one = None if kept is None else _kept(kept, name, about)
        return LEARNABLE[name].at(z) if one is None else one.value + one.sd * z

    assumed = Assumed(
        beer_factor=own("beer factor"),
        alcohol_effect=near(ALCOHOL_ON_SOLUBILITY),
        extract_effect=near(EXTRACT_ON_SOLUBILITY),
        absorption=own("absorption") / CONVECTION.value,
        ambient_pa=SEA_LEVEL,
        own=Own(
            gauge_pa={"main": own("gauge", "main")},
            thermometer_k={"fridge": own("thermometer", "fridge")},
            chilling={"fridge": own("chilling", "fridge") / HEAT_LOSS.value},
        ),
    )
    return Truth(assumed, FILL_SD_M3 * float(random.standard_normal()))


def _kept(kept: ConstantsKept, name: ConstantName, about: str | None) -> KeptConstant | None:
    return next((one for one in kept.kept if (one.constant, one.about) == (name, about)), None)


def share(held: Sequence[bool]) -> float:
    """How many of them, as a share of 1."""
    return sum(held) / len(held)
