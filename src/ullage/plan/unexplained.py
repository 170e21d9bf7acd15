"""Gas that nobody's beer took: how much, how sure, since when, and whether it is a leak.

Every reading of a cylinder's contents is held against the log: what it held at the reading before,
less what replay has the kegs take and what the log tells beside it (sanitiser pushed out, empty
kegs purged). What is missing between two readings is a leak, what nobody
writes down (purges, ventings, cleaning), or the error of the two readings; a reading that is too
low makes one stretch lose too much and the next too little, so that only the first and the last
count in a sum.

The probability of a leak follows from Bayes' rule: that no leak, or one of any size that began at
any of the readings, would leave just these stretches missing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.events import Event, facts_until
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
)
from ullage.cellar.state import CellarState
from ullage.errors import OutOfRange
from ullage.physics import blend_cylinder
from ullage.physics.constants import GAS_HANDLING, STANDARD_ATMOSPHERE
from ullage.physics.cylinder import mass_from_pressure, water_capacity
from ullage.plan.spoken import date_text
from ullage.system import parts
from ullage.system.cylinder import full_kg
from ullage.units import Kind, UnitSystem, format_quantity

LOOKED_BACK: Final = timedelta(days=120)
PRIOR: Final = 0.2
"""How many households have a leak in such a time, before anything is read; common practice, no
source."""
LEAST_KG_DAY, MOST_KG_DAY = 0.003, 0.3
"""Leaks from a small cylinder in two years to one in a week, each size of ten as likely as another;
common practice, no source."""
SCALE_SD_KG: Final = 0.05
"""Of one weighing on a bathroom scale (0.1 lb or 50 g steps); common practice, no source."""
FILL_SD_SHARE: Final = 0.03
"""Of what a cylinder holds that is called full and was not weighed; common practice, no source."""
GAUGE_SD_PA: Final = 276e3
"""Of a high-pressure gauge, 2 % of a scale of 2,000 psi; from memory."""
CYLINDER_SD_K: Final = 2.0
"""How much colder or warmer a cylinder is than is told; common practice, no source."""
VOLUME_SD_SHARE: Final = 0.02
"""Of the water capacity, where its size alone is known; common practice, no source."""
USE_SD: Final = 0.2
"""Of what replay has the kegs take, as a share: how much is vented and not written down; common
practice, no source."""
SIZES: Final = 60
LIKELY, SURELY = 0.5, 0.9
SURE: Final = 1.64
"""Standard deviations that one reading in twenty exceeds by its errors alone."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Unexplained:
    """Gas that readings of a cylinder did not find and no beer took.

    `missing_kg`, give or take `sd_kg` (one standard deviation), is what went from `since` to
    `until` beyond what the beer took and what is commonly vented beside it (`GAS_HANDLING`);
    negative where more was found than the log leaves. `rate_kg_day`: the same a day, 0 or
    more. `probability`: that it is a leak, 0 to 1. `since`: where a leak is likelier than none, the
    reading before which it most probably began; else the first that counts. `readings`: how many
    were held against the log.
    """

    cylinder: str
    missing_kg: float
    sd_kg: float
    rate_kg_day: float
    probability: float
    since: datetime
    until: datetime
    readings: int
    sentence: str


@dataclass(frozen=True, slots=True)
class _Told:
    """The contents of a cylinder as an event tells them; `replayed_kg` `None`: it begins anew."""

    at: datetime
    sd_kg: float
    read_kg: float
    replayed_kg: float | None


@dataclass(frozen=True, slots=True)
class _Stretches:
    """Between readings: what is missing (kg), how long (days), its errors' covariance (kg²)."""

    missing_kg: Array
    days: Array
    covariance: Array
    begins: tuple[datetime, ...]
    until: datetime


def unexplained(
    log: Sequence[Event],
    cellar: CellarState,
    cylinder: str,
    at: datetime,
    units: UnitSystem = "us",
) -> Unexplained | None:
    """Tell how much gas no beer took, and how probably it leaks.

    `log`: events in any order; `cellar`: the same replayed, with its residuals; `at`: until when.
    `None` where fewer than two events of the last `LOOKED_BACK` tell what the cylinder holds.
    """
    facts = facts_until(log, at)
    pairs = [
        (before, here)
        for before, here in pairwise(_told(facts, cellar, cylinder))
        if here.replayed_kg is not None and at - here.at <= LOOKED_BACK
    ]
    if not pairs:
        return None
    found = _stretches(pairs)
    chance, begin = _leak(found)
    first = begin if chance >= LIKELY else 0
    missing = float(np.sum(found.missing_kg[first:]))
    sd = math.sqrt(float(np.sum(found.covariance[first:, first:])))
    since = found.begins[first]
    days = max(float(np.sum(found.days[first:])), 1e-6)
    one = Unexplained(
        cylinder=cylinder,
        missing_kg=missing,
        sd_kg=sd,
        rate_kg_day=max(missing, 0.0) / days,
        probability=chance,
        since=since,
        until=found.until,
        readings=len(found.missing_kg),
        sentence="",
    )
    return replace(one, sentence=_sentence(one, units))


def gauge_sd(gauge_pa: float, kelvin: float, rated_kg: float, share: float = 1.0) -> float:
    """How far contents told by a gauge are off (kg, one standard deviation), the liquid gone.

    gauge_pa: Pa over ambient; kelvin: of the cylinder; rated_kg: its rated fill of CO2; share: CO2
    in its gas, where it is a blend. The errors of
    gauge, thermometer and volume through the state of the gas, which near saturation thickens
    quickly, so that the gauge tells least there.
    """
    volume = water_capacity(rated_kg)

    def held(pascal: float, warm: float) -> float:
        if share < 1.0:
            pressure = max(pascal, 0.0) + STANDARD_ATMOSPHERE.value
            return volume * blend_cylinder.density(pressure, warm, share)
        return mass_from_pressure(max(pascal, 0.0), volume, warm)

    try:
        here = held(gauge_pa, kelvin)
        by_gauge = here - held(gauge_pa - GAUGE_SD_PA, kelvin)
        by_warmth = here - held(gauge_pa, kelvin + CYLINDER_SD_K)
    except OutOfRange:
        return 0.5 * rated_kg
    return math.hypot(by_gauge, by_warmth, VOLUME_SD_SHARE * here)


def _told(facts: Sequence[Event], cellar: CellarState, cylinder: str) -> Iterator[_Told]:
    """Every event that tells what it holds, with its error."""
    known = cellar.cylinders.get(cylinder)
    rated = 0.0 if known is None else parts.cylinder_size(known.size).rated_kg
    share = 1.0 if known is None else known.co2_share
    filled = 0.0 if known is None else full_kg(known.size, share)
    replayed = {
        one.at: one
        for one in cellar.residuals
        if one.keg == cylinder and one.quantity == "contents_kg"
    }
    for event in facts:
        if event.subject != cylinder:
            continue
        if isinstance(event, CylinderConnected | CylinderSwapped):
            full = event.contents_kg is None
            held = filled if event.contents_kg is None else event.contents_kg
            yield _Told(event.at, FILL_SD_SHARE * filled if full else SCALE_SD_KG, held, None)
        elif isinstance(event, CylinderWeighed | CylinderRead) and event.at in replayed:
            one, sd = replayed[event.at], SCALE_SD_KG
            if isinstance(event, CylinderRead):
                sd = gauge_sd(event.gauge_pressure_pa, event.temperature_k, rated, share)
            yield _Told(event.at, sd, one.read, one.replayed)


def _stretches(pairs: Sequence[tuple[_Told, _Told]]) -> _Stretches:
    """What is missing from each reading to the next."""
    replayed = np.array([here.replayed_kg or 0.0 for _, here in pairs])
    used = np.maximum(np.array([before.read_kg for before, _ in pairs]) - replayed, 0.0)
    missing = replayed - np.array([here.read_kg for _, here in pairs])
    covariance = np.outer(USE_SD * used, USE_SD * used)
    for row, (before, here) in enumerate(pairs):
        covariance[row, row] += before.sd_kg**2 + here.sd_kg**2
        if row and pairs[row - 1][1] is before:
            covariance[row, row - 1] -= before.sd_kg**2
            covariance[row - 1, row] -= before.sd_kg**2
    return _Stretches(
        missing_kg=missing - GAS_HANDLING.value * used,
        days=np.array([(here.at - before.at) / timedelta(days=1) for before, here in pairs]),
        covariance=covariance,
        begins=tuple(before.at for before, _ in pairs),
        until=pairs[-1][1].at,
    )


def _leak(found: _Stretches) -> tuple[float, int]:
    """The probability of a leak, and the stretch with which it most probably began."""
    sizes = np.geomspace(LEAST_KG_DAY, MOST_KG_DAY, SIZES)
    count = len(found.missing_kg)
    solved = np.linalg.inv(found.covariance + 1e-12 * np.eye(count))
    # by the stretch it began with, then by its size: what it would have taken in each stretch
    ran = np.triu(np.ones((count, count))) * found.days
    by_size = ran @ solved @ found.missing_kg
    square = np.einsum("ki,ij,kj->k", ran, solved, ran)
    grown = np.outer(by_size, sizes) - 0.5 * np.outer(square, sizes**2)
    top = float(np.max(grown))
    each = np.mean(np.exp(grown - top), axis=1)
    # over the likelihood of no leak, which is 1 on this scale
    odds = math.log(PRIOR / (1.0 - PRIOR)) + top + math.log(float(np.mean(each)))
    return 1.0 / (1.0 + math.exp(-max(min(odds, 700.0), -700.0))), int(np.argmax(each))


def _sentence(one: Unexplained, units: UnitSystem) -> str:
    """The answer in words, with what it rests on."""

    def said(kg: float) -> str:
        return format_quantity(abs(kg), Kind.MASS, units)

    of = f"cylinder {one.cylinder}"
    since, sd = date_text(one.since, one.until), said(one.sd_kg)
    count = "one reading" if one.readings == 1 else f"{one.readings} readings"
    if one.missing_kg < -SURE * one.sd_kg:
        return (
            f"Of {of} {said(one.missing_kg)} more was found than the log leaves, give or take "
            f"{sd} ({count} since {since}): is a tare, a pour or a filling written down wrong?"
        )
    if one.probability < LIKELY and one.missing_kg < SURE * one.sd_kg:
        return (
            f"What went from {of} is what the beer took, give or take {sd} ({count} since "
            f"{since}); a leak has a chance of {_percent(one.probability)}."
        )
    likely = (
        "a leak"
        if one.probability >= SURELY
        else "probably a leak"
        if one.probability >= LIKELY
        else "rather something not written down than a leak"
    )
    return (
        f"From {of} went {said(one.missing_kg)} that no beer took, give or take {sd}, since "
        f"{since} ({said(one.rate_kg_day)} a day, {count}): {likely} "
        f"({_percent(one.probability)})."
    )


def _percent(share: float) -> str:
    whole = round(100.0 * share)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"
