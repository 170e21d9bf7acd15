"""A keg followed through phases of pressure and contact while it chills: levels over time.

The closed form of `ullage.physics.absorption` holds while conditions stay constant; here the time
is cut where they change, and more finely while the beer chills.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.draws import Draws
from ullage.cellar.track import Contact, KegCase, Phase, Track, edges, track
from ullage.errors import OutOfRange
from ullage.physics import absorption, solubility, thermal
from ullage.physics import beer as beer_physics
from ullage.physics.constants import CONVECTION, SHAKEN_CONTACT, STONE_CONTACT

Array = NDArray[np.float64]

HOUR_S = 3600.0
DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Course:
    """Levels at the edges of the stretches: `level_vol` (n + 1) or (n + 1, samples).

    `time_s` (n + 1) from the start; `gauge_pa` and `temperature_k` (n) hold between the edges.
    """

    time_s: Array
    level_vol: Array
    gauge_pa: Array
    temperature_k: Array
    stretches: absorption.Stretches


def serving_gauge(case: KegCase, target_vol: float) -> float:
    """Gauge pressure (Pa) that keeps `target_vol` in this beer in its place; may be negative."""
    return (
        float(_pressure(target_vol, case.place_k, case.factor)) - case.ambient_pa - case.offset_pa
    )


def equilibrium_samples(case: KegCase, gauge_pa: float, draws: Draws) -> Array:
    """What the beer may come to at a gauge reading, counting gauge, thermometer and beer."""
    factor = beer_physics.solubility_factor(
        case.beer, draws.beer_factor, draws.alcohol_effect, draws.extract_effect
    )
    pressure = np.maximum(case.ambient_pa + gauge_pa + draws.gauge_offset_pa, 0.0)
    return np.asarray(
        solubility.equilibrium_volumes(pressure, case.place_k + draws.thermometer_offset_k, factor)
    )


def gauge_samples(case: KegCase, target_vol: float, draws: Draws) -> Array:
    """The gauge reading (Pa) that would truly keep the target, in each sample."""
    factor = beer_physics.solubility_factor(
        case.beer, draws.beer_factor, draws.alcohol_effect, draws.extract_effect
    )
    pressure = _pressure(target_vol, case.place_k + draws.thermometer_offset_k, factor)
    return np.asarray(pressure - case.ambient_pa - draws.gauge_offset_pa)


def _pressure(target_vol: float, temperature_k: float | Array, factor: float | Array) -> Array:
    """Absolute pressure (Pa) that keeps the target. Raises `OutOfRange` in a brewer's words."""
    try:
        return np.asarray(solubility.equilibrium_pressure(target_vol, temperature_k, factor))
    except OutOfRange:
        if not (target_vol > 0.0 and np.all(solubility.HARD_TEMPERATURE_K[0] < temperature_k)):
            raise
        raise OutOfRange(
            f"{target_vol:.2f} volumes at this temperature need more pressure than any keg is made "
            "for (over 140 psi, 9.7 bar); serve it colder, or want fewer volumes"
        ) from None


def follow(
    case: KegCase,
    phases: Sequence[Phase],
    marks_s: Sequence[float] = (),
    draws: Draws | None = None,
    rate_factor: float | Array = 1.0,
) -> Course:
    """Follow the keg through the phases, one after another.

    `marks_s`: times at which a level is wanted. With `draws` the levels are samples of everything
    uncertain; `rate_factor` scales the rates alone (a number, samples in a row, or such a row for
    each phase).
    """
    if draws is None and np.ndim(rate_factor) == 0:
        return _one(phases, track(case, phases, marks_s, float(rate_factor)))
    cuts = np.array(edges(case, phases, marks_s))
    stretches, gauge, temperature = _stretches(case, phases, cuts, rate_factor)
    if draws is not None:
        stretches = _uncertain(case, phases, cuts, stretches, draws)
    columns = stretches.rate.shape[1:] or stretches.equilibrium_vol.shape[1:]
    start = np.full(columns, case.start_vol) if draws is None else case.starts(columns[0])
    levels = absorption.follow(start, stretches)
    return Course(cuts, levels, gauge, temperature, stretches)


def _one(phases: Sequence[Phase], gone: Track) -> Course:
    """A course of one column, from the quick way."""
    times = np.array(gone.time_s)
    index, temperature, held, rate, depletion = zip(*gone.stretches, strict=True)
    stretches = absorption.Stretches(
        seconds=np.diff(times),
        equilibrium_vol=np.array(held),
        rate=np.array(rate),
        depletion=np.array(depletion),
        agitated=np.array([phases[n].contact != "still" for n in index]),
    )
    gauge = np.array([phases[n].gauge_pa for n in index])
    return Course(times, np.array(gone.level_vol), gauge, np.array(temperature), stretches)


def first_reached(course: Course, target_vol: float) -> Array:
    """Seconds until each column of the course first holds `target_vol`; infinite where never."""
    levels = course.level_vol.reshape(len(course.time_s), -1)
    reached = levels >= target_vol
    index = np.argmax(reached, axis=0)
    before = np.maximum(index - 1, 0)
    columns = np.arange(levels.shape[1])
    span = course.stretches
    within = absorption.time_to_reach(
        levels[before, columns],
        target_vol,
        _column(span.equilibrium_vol, before, columns),
        _column(span.rate, before, columns),
    )
    seconds = course.time_s[before] + np.where(index == 0, 0.0, within)
    return np.where(reached.any(axis=0), seconds, np.inf)


def first_fallen(course: Course, target_vol: float) -> float:
    """Seconds until a course of one column has fallen to `target_vol`; infinite where never."""
    fallen = course.level_vol <= target_vol
    if not fallen.any():
        return math.inf
    index = int(np.argmax(fallen))
    if index == 0:
        return 0.0
    high, low = course.level_vol[index - 1], course.level_vol[index]
    share = float((high - target_vol) / (high - low))
    return float(
        course.time_s[index - 1] + share * (course.time_s[index] - course.time_s[index - 1])
    )


def _stretches(
    case: KegCase, phases: Sequence[Phase], cuts: Array, rate_factor: float | Array
) -> tuple[absorption.Stretches, Array, Array]:
    seconds = np.diff(cuts)
    index = _phase_index(phases, cuts)
    gauge = np.array([phase.gauge_pa for phase in phases])[index]
    contact = np.array([case.contact(phase.contact) for phase in phases])[index]
    agitated = np.array([phase.contact != "still" for phase in phases])[index]
    temperature = thermal.mean_temperatures(case.start_k, case.place_k, cuts, case.tau_s)
    viscosity_ratio = beer_physics.viscosity_ratio(case.beer)
    still = absorption.still_rate(case.beer, temperature, case.depth_m)
    rate = np.asarray(still * contact)
    factor = case.factor
    stretches = absorption.Stretches(
        seconds=seconds,
        equilibrium_vol=np.asarray(
            solubility.equilibrium_volumes(
                case.ambient_pa + gauge + case.offset_pa, temperature, factor
            )
        ),
        rate=_scaled(rate, rate_factor, index),
        depletion=np.asarray(
            absorption.diffusivity(temperature, viscosity_ratio) / case.depth_m**2
        ),
        agitated=agitated,
    )
    return stretches, gauge, temperature


def _scaled(rate: Array, factor: float | Array, index: NDArray[np.int64]) -> Array:
    """The rates (n), or (n, samples) where the factor has a row for all phases or for each."""
    if np.ndim(factor) == 0:
        return rate * factor
    rows = np.atleast_2d(factor)
    scaled: Array = rate[:, None] * (rows[index] if len(rows) > 1 else rows)
    return scaled


def _uncertain(
    case: KegCase,
    phases: Sequence[Phase],
    cuts: Array,
    known: absorption.Stretches,
    draws: Draws,
) -> absorption.Stretches:
    """The same stretches with a column for each sample; offsets count to first order."""
    index = _phase_index(phases, cuts)
    temperature = thermal.mean_temperatures(case.start_k, case.place_k, cuts, case.tau_s)
    shown = np.array([phase.gauge_pa for phase in phases])[index]
    pressure, factor = case.ambient_pa + shown + case.offset_pa, case.factor
    base = known.equilibrium_vol

    def rise(dp: float, dt: float) -> Array:
        shifted = solubility.equilibrium_volumes(pressure + dp, temperature + dt, factor)
        return np.asarray((shifted - base) / (dp + dt))

    per_pascal, per_kelvin = rise(1000.0, 0.0), rise(0.0, 0.1)
    relative = np.asarray(
        beer_physics.solubility_factor(
            case.beer, draws.beer_factor, draws.alcohol_effect, draws.extract_effect
        )
        / factor
    )
    level = (
        base[:, None]
        + np.outer(per_pascal, draws.gauge_offset_pa - case.offset_pa)
        + np.outer(per_kelvin, draws.thermometer_offset_k)
    ) * relative
    contacts = [phase.contact for phase in phases]
    scale = np.stack([relative_rates(case, contact, draws) for contact in contacts])
    return replace(known, equilibrium_vol=level, rate=known.rate[:, None] * scale[index])


def relative_rates(case: KegCase, contact: Contact, draws: Draws) -> Array:
    """How much quicker or slower each sample absorbs than this case's best guess."""
    usual = {"still": 1.0, "shaken": SHAKEN_CONTACT.value, "stone": STONE_CONTACT.value}
    return rate_samples(contact, draws) * (usual[contact] / case.contact(contact))


def rate_samples(contact: Contact, draws: Draws) -> Array:
    """How much quicker or slower than usual each sample absorbs, dimensionless."""
    if contact == "shaken":
        return draws.shaken / SHAKEN_CONTACT.value
    if contact == "stone":
        return draws.stone / STONE_CONTACT.value
    return draws.convection / CONVECTION.value


def _phase_index(phases: Sequence[Phase], cuts: Array) -> NDArray[np.int64]:
    """The phase that each stretch between two edges belongs to."""
    ends = np.cumsum([phase.seconds for phase in phases])
    middles = 0.5 * (cuts[:-1] + cuts[1:])
    found: NDArray[np.int64] = np.minimum(np.searchsorted(ends, middles), len(phases) - 1)
    return found


def _column(values: Array, rows: NDArray[np.int64], columns: NDArray[np.int64]) -> Array:
    picked: Array = values[rows] if values.ndim == 1 else values[rows, columns]
    return picked
