"""Invented households that drink at random, with what truly happens to their cylinder by hand.

Each day somebody pours glasses at random: more at weekends, more in one season than in another,
more in some weeks than in others, nothing in a week away. Kegs are kicked and swapped, some with
the next one ready, some filled only then. How much gas goes besides is drawn for each household,
and what its scale and the stamped tare are off by. The gas that is truly used is counted here by
hand, litre by litre; nothing of it comes from the program.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegWeighed,
    Kicked,
    Poured,
    Purged,
    Tapped,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    PlaceSet,
)

BEGIN = datetime(2026, 1, 5, 12, tzinfo=UTC)
PSI, POUND = 6894.757293168361, 0.45359237
COLD_K = 276.4833  # 38 °F
GAUGE_PA = 12 * PSI
FILL_M3, CAPACITY_M3 = 18.93e-3, 19.3e-3
BEER_KG_M3, TARE_KG = 1010.0, 4.5
RATED_KG = {"2.5 lb": 2.5 * POUND, "5 lb": 5 * POUND, "10 lb": 10 * POUND}

# by hand: (101.3 + 82.7) kPa over 188.9 J/(kg K) and 276.5 K are 3.52 kg/m3, 1.5 % more as a real
# gas
PUSH_KG_M3 = 3.575
# published: 12 psi at 38 °F hold 2.57 volumes (Miller 1994); flat beer of 20 °C holds 0.82; a
# volume is 1.977 g/L
CARBONATE_KG_M3 = (2.57 - 0.82) * 1.977
# by hand: five charges of the headspace by 30 psi, 207 kPa over the same: 3.96 kg/m3 each
PURGE_KG = 5 * 3.96 * (CAPACITY_M3 - FILL_M3)
CARBONATES_DAYS = 4.0
LONGEST_DAYS = 2500


@dataclass
class Keg:
    """One keg of a tap and its spare: when it was filled, what is left, what its gas came to."""

    name: str
    left_m3: float = 0.0
    filled_day: float | None = None
    tapped: bool = False


@dataclass
class Household:
    """A household's log, and the truth beside it: gas left on each day, the day it was gone."""

    log: list[Event] = field(default_factory=list)
    left_kg: list[float] = field(default_factory=list)
    empty_day: float = float("inf")


@dataclass(frozen=True)
class Ways:
    """How a household drinks and what it writes down, drawn once."""

    litres_a_day: float
    season: float
    phase: float
    weeks_sd: float
    glass_l: float
    share: float
    spare: bool
    pours_written: bool
    weighs_days: int | None

    @classmethod
    def drawn(cls, random: np.random.Generator) -> Ways:
        return cls(
            litres_a_day=0.4 * float(np.exp(0.45 * random.standard_normal())),
            season=float(random.uniform(0.0, 0.35)),
            phase=float(random.uniform(0.0, 365.0)),
            weeks_sd=float(random.uniform(0.1, 0.4)),
            glass_l=float(random.uniform(0.25, 0.5)),
            share=max(0.1 + 0.1 * float(random.standard_normal()), 0.0),
            spare=bool(random.random() < 0.5),
            pours_written=bool(random.random() < 0.6),
            weighs_days=None if random.random() < 0.5 else int(random.integers(14, 45)),
        )


def household(seed: int) -> Household:
    """One household from a new cylinder until its gas is gone, or for four years."""
    random = np.random.default_rng(seed)
    ways = Ways.drawn(random)
    taps = int(random.integers(1, 4))
    size = str(random.choice(list(RATED_KG)))
    found = Household()
    scale = 0.1 * float(random.standard_normal())
    kegs = _begun(found, taps, ways, size)
    held = RATED_KG[size] * (1.0 + 0.02 * float(random.standard_normal()))
    week = 1.0
    for day in range(LONGEST_DAYS):
        if day % 7 == 0:
            away = random.random() < 0.05
            week = 0.0 if away else float(np.exp(ways.weeks_sd * random.standard_normal()))
        used = sum(_lived(found, pair, day, ways, week, random) for pair in kegs)
        left = held - (1.0 + ways.share) * used
        if left <= 0.0:
            found.empty_day = day + held / max(held - left, 1e-9)
            return found
        held = left
        found.left_kg.append(held)
        if ways.weighs_days is not None and day % ways.weighs_days == ways.weighs_days - 1:
            read = max(held + scale + 0.05 * float(random.standard_normal()), 0.0)
            found.log.append(CylinderWeighed(at=_at(day, 0.95), cylinder="main", contents_kg=read))
    return found


def _begun(found: Household, taps: int, ways: Ways, size: str) -> list[list[Keg]]:
    found.log += [
        PlaceSet(at=_at(-1), place="fridge", temperature_k=COLD_K),
        CylinderConnected(at=_at(-1), cylinder="main", size=size),
        BatchDescribed(at=_at(-1), batch="pale", target_vol=2.57, og=1.048, fg=1.010),
    ]
    kegs = []
    for tap in range(taps):
        pair = [Keg(f"K{tap}{letter}") for letter in ("a", "b" if ways.spare else "")]
        kegs.append([one for one in pair if len(one.name) > 2])
        for keg in kegs[-1]:
            found.log.append(
                KegAcquired(at=_at(-1), keg=keg.name, keg_kind="ball-lock-5gal", place="fridge")
            )
    return kegs


def _lived(
    found: Household,
    kegs: list[Keg],
    day: int,
    ways: Ways,
    week: float,
    random: np.random.Generator,
) -> float:
    """One tap for one day; what its kegs took (kg)."""
    used = 0.0
    for keg in kegs:
        if keg.left_m3 <= 0.0 and random.random() < 0.25:
            used += _filled(found, keg, day)
        if keg.filled_day is not None and keg.left_m3 > 0.0:
            begin, end = day - keg.filled_day, day + 1 - keg.filled_day
            gained = np.exp(-max(begin, 0) / CARBONATES_DAYS) - np.exp(-end / CARBONATES_DAYS)
            used += FILL_M3 * CARBONATE_KG_M3 * float(gained)
    tapped = next((one for one in kegs if one.tapped), None)
    if tapped is None:
        ready = [k for k in kegs if k.left_m3 > 0.0 and day - (k.filled_day or 0.0) >= 7.0]
        if not ready:
            return used
        tapped = min(ready, key=lambda one: one.filled_day or 0.0)
        tapped.tapped = True
        found.log.append(Tapped(at=_at(day, 0.1), keg=tapped.name, tap=tapped.name[:2]))
    return used + _drunk(found, tapped, day, ways, week, random)


def _filled(found: Household, keg: Keg, day: int) -> float:
    keg.left_m3, keg.filled_day, keg.tapped = FILL_M3, float(day), False
    found.log += [
        KegCleaned(at=_at(day, 0.0), keg=keg.name),
        Filled(
            at=_at(day, 0.01),
            keg=keg.name,
            batch="pale",
            volume_m3=FILL_M3,
            temperature_k=COLD_K,
        ),
        Purged(at=_at(day, 0.02), keg=keg.name, cycles=5, gauge_pressure_pa=30 * PSI),
        GasOn(at=_at(day, 0.03), keg=keg.name, gauge_pressure_pa=GAUGE_PA, cylinder="main"),
    ]
    return PURGE_KG


def _drunk(
    found: Household,
    keg: Keg,
    day: int,
    ways: Ways,
    week: float,
    random: np.random.Generator,
) -> float:
    yearly = 1.0 + ways.season * np.sin(2.0 * np.pi * (day + ways.phase) / 365.0)
    weekend = 1.75 if day % 7 in (4, 5, 6) else 0.4375
    wanted = ways.litres_a_day * yearly * weekend * week
    drunk = 0.0
    for glass in range(random.poisson(wanted / ways.glass_l)):
        volume = 1e-3 * ways.glass_l * float(random.uniform(0.8, 1.2))
        at = _at(day, 0.25 + 0.02 * min(glass, 20))
        if volume >= keg.left_m3:
            drunk += keg.left_m3
            keg.left_m3, keg.tapped = 0.0, False
            found.log += [
                Kicked(at=at, keg=keg.name),
                GasOff(at=at + timedelta(minutes=1), keg=keg.name),
            ]
            return PUSH_KG_M3 * drunk
        keg.left_m3 -= volume
        drunk += volume
        if ways.pours_written:
            found.log.append(Poured(at=at, keg=keg.name, volume_m3=volume))
    if not ways.pours_written and day % 7 == 6:
        gross = TARE_KG + BEER_KG_M3 * keg.left_m3 + 0.1 * float(random.standard_normal())
        found.log.append(KegWeighed(at=_at(day, 0.9), keg=keg.name, gross_kg=max(gross, TARE_KG)))
    return PUSH_KG_M3 * drunk


def _at(day: float, share: float = 0.0) -> datetime:
    return BEGIN + timedelta(days=day + share)
