"""Households whose constants are known, and logs of theirs with readings as a hand would take them.

What truly happens and what is told of it are two logs: a keg is filled with a little more or less
than told, beer comes a little gassier, a place is a little warmer than its thermostat says. The
true log is replayed with the true constants, and what its instruments would show is read off with
errors.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from tests.cellar.logs import COLD_K, FILL_M3, PSI, ROOM_K, SEA_LEVEL, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegWeighed,
    Measured,
    Moved,
    Poured,
    Purged,
    Shaken,
)
from ullage.cellar.learnt import LEARNABLE, ConstantName
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    PlaceSet,
)
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, Own
from ullage.physics import beer as beer_physics
from ullage.physics.constants import CONVECTION, HEAT_LOSS, SHAKEN_CONTACT
from ullage.physics.fitted import BEER_FACTOR
from ullage.system import parts

KIND = "ball-lock-5gal"
KEGS = ("K1", "K2")
RATED_KG = parts.cylinder_size("10 lb").rated_kg
Key = tuple[ConstantName, str | None]
TRUE: tuple[Key, ...] = (
    ("absorption", None),
    ("shaking", None),
    ("beer factor", None),
    ("handling", None),
    ("leak", "main"),
    ("gauge", "main"),
    ("scale", "main"),
    ("thermometer", "fridge"),
    ("chilling", "fridge"),
    ("tare", "K1"),
    ("tare", "K2"),
)
"""What is drawn for each household."""


@dataclass(frozen=True)
class Truth:
    """The constants of one household, and how its hands err."""

    z: dict[Key, float]
    random: np.random.Generator = field(repr=False)

    def __getitem__(self, key: Key) -> float:
        return LEARNABLE[key[0]].at(self.z[key])

    def off(self, sd: float) -> float:
        """An error of that standard deviation."""
        return float(sd * self.random.standard_normal())

    @property
    def assumed(self) -> Assumed:
        """Nature and parts as they are here."""
        return Assumed(
            beer_factor=self["beer factor", None],
            absorption=self["absorption", None] / CONVECTION.value,
            shaking=self["shaking", None] / SHAKEN_CONTACT.value,
            ambient_pa=SEA_LEVEL,
            own=Own(
                gauge_pa={"main": self["gauge", "main"]},
                thermometer_k={"fridge": self["thermometer", "fridge"]},
                chilling={"fridge": self["chilling", "fridge"] / HEAT_LOSS.value},
            ),
        )


def drawn(seed: int) -> Truth:
    """A household drawn from the priors."""
    random = np.random.default_rng(seed)
    return Truth({key: float(random.standard_normal()) for key in TRUE}, random)


def happened(volumes: Sequence[float], levels: Sequence[float]) -> list[Event]:
    """Two kegs filled warm, carried into the fridge, carbonated, poured from; one is kicked."""
    log: list[Event] = [
        PlaceSet(at=day(-3), place="fridge", temperature_k=COLD_K),
        PlaceSet(at=day(-3), place="room", temperature_k=ROOM_K),
        CylinderConnected(at=day(-2), cylinder="main", size="10 lb"),
        BatchDescribed(at=day(-1), batch="pale", target_vol=2.4, og=1.048, fg=1.010),
    ]
    for number, (keg, volume, level) in enumerate(zip(KEGS, volumes, levels, strict=True)):
        log += _keg(keg, 7.0 * number, volume, level)
    return log


def _keg(keg: str, since: float, volume: float, level: float) -> Iterator[Event]:
    def at(days: float) -> datetime:
        return day(since + days)

    yield KegAcquired(at=at(-0.5), keg=keg, keg_kind=KIND, place="room")
    yield KegCleaned(at=at(-0.4), keg=keg)
    yield Filled(
        at=at(0), keg=keg, batch="pale", volume_m3=volume, temperature_k=ROOM_K, start_vol=level
    )
    yield Purged(at=at(0.01), keg=keg, cycles=5, gauge_pressure_pa=30 * PSI)
    yield Moved(at=at(0.02), keg=keg, place="fridge")
    yield GasOn(at=at(0.03), keg=keg, gauge_pressure_pa=12 * PSI, cylinder="main")
    if keg == "K2":
        yield Shaken(at=at(1.5), keg=keg, duration_s=240.0)
    for glass in range(16):
        yield Poured(at=at(16 + glass), keg=keg, volume_m3=0.0008)


def told_log(true: Truth, readings: int = 1) -> list[Event]:
    """What the household writes down; `readings`: how often each is taken in a row."""
    told = happened((FILL_M3, FILL_M3), (0.86, 0.86))
    truly = happened(
        [FILL_M3 + true.off(2.5e-4) for _ in KEGS], [0.86 + true.off(0.05) for _ in KEGS]
    )
    held = RATED_KG * (1.0 + true.off(0.02))
    read: list[Event] = []
    for at, keg, what in sorted(_taken()):
        cellar = at_moment(replay(truly, true.assumed, until=at), at, true.assumed)
        for _ in range(readings):
            read.append(_read(true, cellar, at, keg, what, held))
    return [*told, *read]


def _taken() -> Iterator[tuple[datetime, str, str]]:
    """When what is read of what."""
    for number, keg in enumerate(KEGS):
        since = 7.0 * number
        yield day(since + 0.3), keg, "weight"
        for days in (0.25, 0.5, 0.9, 9.0):
            yield day(since + days), keg, "temperature"
        for days in (1.4, 3.0, 6.0, 15.0):
            yield day(since + days), keg, "level"
        for days in (10.0, 15.5):
            yield day(since + days), keg, "gauge"
    for days in (0.2, 12.0, 30.0, 55.0, 80.0):
        yield day(days), "main", "cylinder"


def _read(
    true: Truth, cellar: CellarState, at: datetime, subject: str, what: str, held: float
) -> Event:
    if what == "cylinder":
        drawn_kg = float(cellar.cylinders["main"].drawn_kg)
        seconds = (at - day(-2)).total_seconds()
        gone = (1.0 + true["handling", None]) * drawn_kg + true["leak", "main"] * seconds
        shown = held - gone + true["scale", "main"] + true.off(0.05)
        return CylinderWeighed(at=at, cylinder="main", contents_kg=max(shown, 0.0))
    keg = cellar.kegs[subject]
    if what == "weight":
        assert keg.beer is not None
        density = float(beer_physics.density(keg.beer, float(keg.temperature_k)))
        gross = keg.kind.tare_kg + true["tare", subject] + density * float(keg.beer_m3)
        return KegWeighed(at=at, keg=subject, gross_kg=gross + true.off(0.1))
    if what == "temperature":
        return Measured(at=at, keg=subject, temperature_k=float(keg.temperature_k) + true.off(0.3))
    if what == "level":
        level = float(keg.level_vol) * BEER_FACTOR.value / true["beer factor", None]
        return Measured(at=at, keg=subject, level_vol=max(level + true.off(0.07), 0.0))
    gauge = float(keg.head_pa()) - SEA_LEVEL + true.off(1_700.0)
    return Measured(at=at, keg=subject, gauge_pressure_pa=max(gauge, 0.0))
