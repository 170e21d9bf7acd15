"""The leak test: from two readings to a leak rate with its 90 % band, or "no leak seen" honestly.

Pressure hold: the CO2 shut in is counted at both readings from absolute pressure and temperature,
m = ρ(p, T) V. What is missing is the leak. Gauge, thermometer and volume are off by some amount
each; their errors are drawn many times and each draw gives a rate. A leak slows as pressure
falls; the rate is told for the pressure at the start, midway between the two laws a hole may follow
(a wide one, proportional to the absolute pressure; a fine one, to p² less the air's squared), and
the band reaches around both. Once the gauge is at 0 nobody knows since when: the rate has a lower
bound then, from the whole time, and no upper one. More gas at the end than at the start voids a
test: what came in may hide any leak.

Weighing: the loss of weight, less what was used, over the time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from ullage.cellar.draws import SEED
from ullage.cellar.leak_verdict import GAUGE_SD_PA, WARMTH_SD_K
from ullage.errors import OutOfRange
from ullage.physics import co2
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.physics.numbers import Numbers
from ullage.plan import cautions
from ullage.plan.answers import Band, Caution
from ullage.plan.fault_cautions import SOAP
from ullage.plan.leak_answer import LeakAnswer, Verdict
from ullage.plan.leak_next import after_hold, after_weighing

LEAST_RATE: Final = 1e-15
MONTH_S: Final = 30 * 86_400.0
SAMPLES: Final = 10_000
LOW, HIGH = 0.05, 0.95
LEAST_LOSS: Final = 1e-12
ABSORBING: Final = (
    "Beer that takes up gas looks like a leak: test with the kegs' gas off, or with an empty keg."
)
SAME_SCALE: Final = "Same scale, same spot, nothing hanging on the cylinder, both times."
MOST_GROWN: Final = 20.0
"""A leak's rate at the start over its mean: above what a gauge that stands clear of 0 can tell."""
AT_NOTHING: Final = 2.0
"""A gauge within so many of its errors of 0 may have been there for any part of the time."""
Array = NDArray[np.float64]
Laws: TypeAlias = tuple[Numbers, Numbers]
"""Numbers for a wide hole and for a fine one."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A gauge and a thermometer read together: Pa gauge, K."""

    gauge_pa: float
    temperature_k: float


@dataclass(frozen=True, slots=True)
class HoldErrors:
    """How far readings are off, one standard deviation each.

    `gauge_pa`: one reading of the needle, half a division or so (a wrong scale shifts both readings
    alike and hardly matters); `temperature_k`: of the gas against the thermometer; `volume`: share
    of the volume. Common practice, no source.
    """

    gauge_pa: float = GAUGE_SD_PA
    temperature_k: float = WARMTH_SD_K
    volume: float = 0.1


@dataclass(frozen=True, slots=True)
class Hold:
    """A pressure-hold test: two readings `duration_s` apart on `volume_m3` of gas shut in.

    `contents_kg`: CO2 in the cylinder, if the days until it is empty are wanted.
    """

    start: Reading
    end: Reading
    duration_s: float
    volume_m3: float
    contents_kg: float | None = None
    ambient_pa: float = STANDARD_ATMOSPHERE.value
    errors: HoldErrors = HoldErrors()


@dataclass(frozen=True, slots=True)
class Weighings:
    """A weigh test: two weights of the cylinder (kg), `used_kg` between them that is known of.

    `scale_kg`: standard deviation of one weighing. `contents_kg` after the second.
    """

    start_kg: float
    end_kg: float
    duration_s: float
    scale_kg: float
    used_kg: float = 0.0
    contents_kg: float | None = None


def pressure_hold(test: Hold) -> LeakAnswer:
    """Tell the leak of a pressure-hold test. Raises `OutOfRange` for readings that cannot be."""
    _check_hold(test)
    best_lost, best = _lost(test, None)
    lost, rates = _lost(test, np.random.default_rng(SEED))
    rate = _outer(0.5 * float(best[0] + best[1]), rates)
    verdict = _verdict(lost, test.end.gauge_pa <= AT_NOTHING * test.errors.gauge_pa)
    alike = (test.end.gauge_pa + test.ambient_pa) * test.start.temperature_k
    drop = test.start.gauge_pa + test.ambient_pa - alike / test.end.temperature_k
    return _answer(
        verdict,
        rate,
        (float(best_lost), lost),
        test.contents_kg,
        Said(
            drop,
            (ABSORBING,),
            (*after_hold(verdict, test.duration_s), *_long_enough(verdict, test)),
        ),
    )


def weigh_test(test: Weighings) -> LeakAnswer:
    """Tell the leak from two weighings of the cylinder. Raises `OutOfRange`."""
    if not test.duration_s > 0.0 or test.scale_kg <= 0.0 or test.used_kg < 0.0:
        raise OutOfRange("a weigh test needs a time above 0, a scale's error, and no negative use")
    lost = test.start_kg - test.end_kg - test.used_kg
    noise = ndtri((np.arange(SAMPLES) + 0.5) / SAMPLES)  # evenly drawn: the errors are normal
    samples = lost + 2.0**0.5 * test.scale_kg * noise
    verdict = _verdict(samples, gone=False)
    rate = _band(lost / test.duration_s, samples / test.duration_s)
    said = Said(None, (SAME_SCALE,), after_weighing(verdict))
    return _answer(verdict, rate, (lost, samples), test.contents_kg, said)


@dataclass(frozen=True, slots=True)
class Said:
    """What an answer says besides its masses."""

    drop_pa: float | None
    remarks: tuple[str, ...]
    next_steps: tuple[str, ...]


def _verdict(lost: Numbers, gone: bool) -> Verdict:
    """What the samples of the loss come to; `gone`: the gauge was at 0 at the end."""
    low, high = np.quantile(np.asarray(lost), (LOW, HIGH))
    if high < 0.0:
        return "void"
    if low <= 0.0:
        return "none seen"
    return "at least" if gone else "leak"


def _answer(
    verdict: Verdict,
    rate: Band,
    lost: tuple[float, Numbers],
    contents_kg: float | None,
    said: Said,
) -> LeakAnswer:
    """The answer with the numbers that such a verdict has. `lost`: the best guess, samples."""
    void, at_least = verdict == "void", verdict == "at least"
    return LeakAnswer(
        verdict=verdict,
        leaks=verdict in ("leak", "at least"),
        rate_kg_s=None if void or at_least else rate,
        at_least_kg_s=rate.low if at_least else None,
        lost_kg=None if void else _band(*lost),
        gained_kg=_band(-lost[0], -lost[1]) if void else None,
        empty_in_s=_empty(rate, contents_kg) if verdict == "leak" else None,
        drop_pa=said.drop_pa,
        remarks=said.remarks,
        next_steps=said.next_steps,
        cautions=(SOAP, cautions.PRESSURE, cautions.CO2_AIR, Caution("note", cautions.DEFER)),
    )


def seconds_to_see(rate_kg_s: float, test: Hold) -> float:
    """How long such a test must last (s) for that leak to stand out of the readings' error."""
    if rate_kg_s <= 0.0:
        raise OutOfRange("a leak to look for needs a rate above 0")
    start = test.start.gauge_pa + test.ambient_pa
    mass = co2.gas_mass(start, test.volume_m3, test.start.temperature_k)
    gauge = 2.0**0.5 * test.errors.gauge_pa / start
    warm = 2.0**0.5 * test.errors.temperature_k / test.start.temperature_k
    return float(_Z_ONE_SIDE * mass * (gauge**2 + warm**2) ** 0.5 / rate_kg_s)


_Z_ONE_SIDE: Final = 1.645
"""Of the normal distribution, 95 % below."""


def _check_hold(test: Hold) -> None:
    if not test.duration_s > 0.0:
        raise OutOfRange("the two readings need some time between them")
    if not test.volume_m3 > 0.0:
        raise OutOfRange("the volume shut in must be above 0: pipes, headspace, empty keg")
    if test.start.gauge_pa < 0.0 or test.end.gauge_pa < 0.0:
        raise OutOfRange("a gauge shows 0 or more: give what it shows over the air's pressure")
    if test.start.gauge_pa < 5.0 * test.errors.gauge_pa:
        raise OutOfRange("that is too little pressure for a test: begin with 15 psi (1 bar) or so")


def _lost(test: Hold, random: np.random.Generator | None) -> tuple[Numbers, Laws]:
    """CO2 lost (kg), and its rate at the start (kg/s) by both laws: the best guess, or samples."""
    errors = test.errors
    start, end = (one.gauge_pa + test.ambient_pa for one in (test.start, test.end))
    warm, cold = test.start.temperature_k, test.end.temperature_k
    if random is None:
        return _rate(test, start, end, (warm, cold), test.volume_m3)

    def off(sd: float) -> Array:
        return sd * random.standard_normal(SAMPLES)

    volume = test.volume_m3 * np.exp(off(errors.volume))
    return _rate(
        test,
        np.maximum(start + off(errors.gauge_pa), test.ambient_pa),
        np.maximum(end + off(errors.gauge_pa), 0.5 * test.ambient_pa),
        (warm + off(errors.temperature_k), cold + off(errors.temperature_k)),
        volume,
    )


def _rate(
    test: Hold,
    start_pa: Numbers,
    end_pa: Numbers,
    warmth_k: tuple[Numbers, Numbers],
    volume: Numbers,
) -> tuple[Numbers, Laws]:
    before = co2.gas_mass(start_pa, volume, warmth_k[0])
    after = co2.gas_mass(end_pa, volume, warmth_k[1])
    mean = (before - after) / test.duration_s
    # what is left as if at the start's temperature, as a share of the start's absolute pressure
    left = np.clip(after / before, 1e-3, None)
    wide = np.log(1.0 / left) / np.maximum(1.0 - left, LEAST_LOSS)
    wide = np.where(np.abs(1.0 - left) < 1e-6, 1.0, wide)
    narrow = _narrow(start_pa, left, test.ambient_pa)
    laws = (wide, narrow)
    grown = [np.where(left < 1.0, np.clip(law, 1.0, MOST_GROWN), 1.0) for law in laws]
    return before - after, (mean * grown[0], mean * grown[1])


def _narrow(start_pa: Numbers, left: Numbers, ambient_pa: float) -> Numbers:
    """Rate at the start over the mean rate, where flow follows p² less the air's squared.

    dp/dt = −K (p² − a²): K t = ln[(p0 − a)(p1 + a) / ((p0 + a)(p1 − a))] / 2a.
    """
    end_pa = np.maximum(start_pa * left, 1.001 * ambient_pa)
    top = np.maximum(start_pa, 1.002 * ambient_pa)
    turns = np.log((top - ambient_pa) * (end_pa + ambient_pa))
    turns = turns - np.log((top + ambient_pa) * (end_pa - ambient_pa))
    rate = (top**2 - ambient_pa**2) * turns / (2.0 * ambient_pa)
    fallen = np.maximum(top - end_pa, 1e-6 * top)
    found: Numbers = np.where(top - end_pa < 1e-6 * top, 1.0, rate / fallen)
    return found


def _outer(value: float, laws: Laws) -> Band:
    """The band around the answer that holds the bands of both laws."""
    bands = [_band(value, one) for one in laws]
    return Band(bands[0].value, min(one.low for one in bands), max(one.high for one in bands))


def _band(value: Numbers, samples: Numbers) -> Band:
    low, high = np.quantile(np.asarray(samples), (LOW, HIGH))
    best = max(float(value), 0.0)
    return Band(best, min(max(float(low), 0.0), best), max(float(high), best))


def _empty(rate: Band, contents_kg: float | None) -> Band | None:
    """Seconds until the cylinder is empty at that rate."""
    if contents_kg is None:
        return None
    return Band(*(contents_kg / max(one, LEAST_RATE) for one in (rate.value, rate.high, rate.low)))


def _long_enough(verdict: Verdict, test: Hold) -> tuple[str, ...]:
    """How long such a test must last to see a leak that matters, where none was seen."""
    if verdict != "none seen" or not test.contents_kg:
        return ()
    hours = seconds_to_see(test.contents_kg / MONTH_S, test) / 3600.0
    return (
        f"A leak that empties this cylinder in a month stands out of such a test after {hours:.1f} "
        "h.",
    )
