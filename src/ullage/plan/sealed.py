"""A keg with its gas off, followed through charges, vents, shaking and the work of yeast.

The laws are those of `ullage.physics.shut_keg`, as replay follows them. Every array has a column
for the usual keg, then one for each sample of what is not known exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.course import rate_samples
from ullage.cellar.draws import HIGH, LOW, SEED, Draws
from ullage.cellar.track import KegCase, chill_cuts
from ullage.physics import absorption, shut_keg, solubility, thermal
from ullage.physics import beer as beer_physics
from ullage.physics.constants import CO2_VOLUME_DENSITY, FERMENTING_TIME, SHAKEN_CONTACT
from ullage.physics.fermentation import making_rate
from ullage.physics.shut_keg import ShutKeg
from ullage.plan.answers import Band

Array: TypeAlias = NDArray[np.float64]

LONGEST_STRETCH_S = 2 * 86_400.0
SLOWEST_YEAST = 0.3
LEAST_HEAD_PA = 1.0


@dataclass(frozen=True, slots=True)
class Nature:
    """What is not known exactly, the usual first, then samples; the offset in Pa, the rest bare.

    `factor` is the beer's solubility over water's, the thermometer's error counted in it to first
    order.
    """

    factor: Array
    still: Array
    shaken: Array
    yeast: Array
    gauge_offset_pa: Array


def nature(case: KegCase, samples: Draws) -> Nature:
    """The usual keg and its samples."""
    factor = beer_physics.solubility_factor(
        case.beer, samples.beer_factor, samples.alcohol_effect, samples.extract_effect
    )
    normal = np.random.default_rng(SEED).standard_normal(len(samples.beer_factor))
    slower = 1.0 + FERMENTING_TIME.sd / FERMENTING_TIME.value * normal
    return Nature(
        factor=_led_by(case.factor, np.asarray(factor * _misread(case, samples))),
        still=_led_by(case.contact("still"), rate_samples("still", samples)),
        shaken=_led_by(
            case.contact("shaken") / SHAKEN_CONTACT.value, rate_samples("shaken", samples)
        ),
        yeast=_led_by(1.0, 1.0 / np.maximum(slower, SLOWEST_YEAST)),
        gauge_offset_pa=_led_by(case.offset_pa, samples.gauge_offset_pa),
    )


def _misread(case: KegCase, samples: Draws) -> Array:
    """How much more or less the beer holds than at the temperature that is read, bare."""
    read = solubility.equilibrium_volumes(case.ambient_pa, case.place_k)
    truly = case.place_k + samples.thermometer_offset_k
    return np.asarray(solubility.equilibrium_volumes(case.ambient_pa, truly) / read)


def _led_by(usual: float, samples: Array) -> Array:
    return np.concatenate(([usual], samples))


@dataclass(frozen=True, slots=True)
class SealedKeg:
    """One keg at `at_s` from the start of its way. CO2 in m³ at 0 °C and 1 atm, in columns.

    `to_make_m3`: what the yeast will yet make; `valve_pa`: gauge pressure above which a spunding
    valve lets off; `layer_age`: of the depleted layer of beer that holds too much, D t/depth².
    """

    case: KegCase
    nature: Nature
    at_s: float
    temperature_k: float
    level_vol: Array
    gas_m3: Array
    to_make_m3: Array
    drawn_m3: Array
    layer_age: Array
    valve_pa: float | None = None

    @property
    def head_pa(self) -> Array:
        """Absolute pressure of its head."""
        return np.asarray(_box(self).head_pa)

    @property
    def drawn_kg(self) -> float:
        """CO2 that the usual keg took from the cylinder."""
        return float(self.drawn_m3[0]) * CO2_VOLUME_DENSITY.value


def purged(case: KegCase, known: Nature) -> SealedKeg:
    """The keg at the start, its head CO2 at the room's pressure."""
    level = _led_by(case.start_vol, case.starts(len(known.factor) - 1))
    nothing = np.zeros(known.factor.shape)
    keg = SealedKeg(case, known, 0.0, case.start_k, level, nothing, nothing, nothing, nothing)
    return replace(keg, gas_m3=_gas_at(keg, np.full(level.shape, case.ambient_pa)))


def balanced(keg: SealedKeg) -> SealedKeg:
    """Beer and head shaken to their balance."""
    rest = shut_keg.shut_equilibrium(_box(keg), keg.nature.factor)
    return _with_level(keg, np.asarray(rest.beer_vol), np.zeros(keg.layer_age.shape))


def in_balance(case: KegCase, known: Nature) -> SealedKeg:
    """The keg at the start, its head in balance with what the beer holds."""
    keg = purged(case, known)
    pressure = solubility.equilibrium_pressure(keg.level_vol, keg.temperature_k, known.factor)
    return replace(keg, gas_m3=_gas_at(keg, np.asarray(pressure)))


def charged(keg: SealedKeg, gauge_pa: float) -> SealedKeg:
    """Gas let in until the head stands at a gauge reading; what stands higher stays."""
    pressure = keg.case.ambient_pa + gauge_pa + keg.nature.gauge_offset_pa
    gas = np.maximum(_gas_at(keg, np.maximum(pressure, keg.case.ambient_pa)), keg.gas_m3)
    return replace(keg, gas_m3=gas, drawn_m3=keg.drawn_m3 + gas - keg.gas_m3)


def vented(keg: SealedKeg, gauge_pa: float = 0.0) -> SealedKeg:
    """The head let down to a gauge pressure."""
    left = _gas_at(keg, np.full(keg.gas_m3.shape, keg.case.ambient_pa + gauge_pa))
    return replace(keg, gas_m3=np.minimum(left, keg.gas_m3))


def shaken(keg: SealedKeg, seconds: float) -> SealedKeg:
    """Shaken for a time with the gas off."""
    still = absorption.still_rate(keg.case.beer, keg.temperature_k, keg.case.depth_m)
    rate = still * SHAKEN_CONTACT.value * keg.nature.shaken
    after = shut_keg.absorb_shut(_box(keg), seconds, rate, keg.nature.factor)
    still_layer = np.zeros(keg.layer_age.shape)
    return replace(
        _with_level(keg, np.asarray(after.beer_vol), still_layer), at_s=keg.at_s + seconds
    )


def later(keg: SealedKeg, at_s: float) -> SealedKeg:
    """The keg at a later time, left alone: it chills or warms, absorbs, gives off or ferments."""
    seconds = at_s - keg.at_s
    if seconds <= 0.0:
        return keg
    away = keg.temperature_k - keg.case.place_k
    cuts = {0.0, seconds, *np.arange(LONGEST_STRETCH_S, seconds, LONGEST_STRETCH_S).tolist()}
    cuts |= {cut for cut in chill_cuts(abs(away), keg.case.tau_s) if cut < seconds}
    edges = np.array(sorted(cuts))
    means = thermal.mean_temperatures(keg.temperature_k, keg.case.place_k, edges, keg.case.tau_s)
    for (begin, end), mean in zip(pairwise(edges.tolist()), means.tolist(), strict=True):
        keg = _stretch(keg, end - begin, mean)
    left_k = keg.case.place_k + away * math.exp(-seconds / keg.case.tau_s)
    return replace(keg, at_s=at_s, temperature_k=left_k)


def moved(keg: SealedKeg, place_k: float) -> SealedKeg:
    """The keg taken to a place of another temperature."""
    return replace(keg, case=replace(keg.case, place_k=place_k))


def band_of(columns: Array) -> Band:
    """The usual value with the 80 % band of the samples, if any; infinite values are kept so."""
    low, high = np.quantile(columns[min(1, len(columns) - 1) :], (LOW, HIGH), method="nearest")
    usual = float(columns[0])
    return Band(usual, min(float(low), usual), max(float(high), usual))


def gas_for_level(keg: SealedKeg, level_vol: float) -> Array:
    """CO2 (m³) that the head must hold now so that the shut keg comes to rest at a level."""
    pressure = solubility.equilibrium_pressure(level_vol, keg.temperature_k, keg.nature.factor)
    at_rest = _gas_at(keg, np.asarray(pressure))
    return at_rest + keg.case.beer_m3 * (level_vol - keg.level_vol)


def gauge_of_gas(keg: SealedKeg, gas_m3: float, most_pa: float) -> float:
    """Gauge pressure (Pa) of the usual keg's head with so much CO2 in it, 0 to `most_pa`."""
    ambient = np.full(keg.gas_m3.shape, keg.case.ambient_pa)
    if gas_m3 >= _gas_at(keg, ambient + most_pa)[0]:
        return most_pa
    if gas_m3 <= _gas_at(keg, ambient)[0]:
        return 0.0
    one = replace(keg, gas_m3=np.full(keg.gas_m3.shape, gas_m3))
    return float(one.head_pa[0]) - keg.case.ambient_pa


def _stretch(keg: SealedKeg, seconds: float, mean_k: float) -> SealedKeg:
    """A time of one temperature. Beer that ferments is carried to its balance by its bubbles."""
    warm = replace(keg, temperature_k=mean_k)
    speed = making_rate(mean_k) * keg.nature.yeast
    left = keg.to_make_m3 * np.exp(-speed * seconds)
    if np.any(left < keg.to_make_m3):
        total = keg.case.beer_m3 * keg.level_vol + keg.gas_m3 + keg.to_make_m3 - left
        return balanced(_holding(replace(warm, to_make_m3=left), total))
    return _at_rest(warm, seconds)


def _holding(keg: SealedKeg, total_m3: Array) -> SealedKeg:
    """The keg with so much CO2 in all, less what its spunding valve lets off."""
    if keg.valve_pa is not None:
        most = keg.case.ambient_pa + keg.valve_pa + keg.nature.gauge_offset_pa
        held = solubility.equilibrium_volumes(most, keg.temperature_k, keg.nature.factor)
        total_m3 = np.minimum(total_m3, keg.case.beer_m3 * held + _gas_at(keg, most))
    head = _gas_at(keg, np.full(total_m3.shape, keg.case.ambient_pa))
    return replace(keg, gas_m3=head, level_vol=(total_m3 - head) / keg.case.beer_m3)


def _at_rest(keg: SealedKeg, seconds: float) -> SealedKeg:
    ratio = beer_physics.viscosity_ratio(keg.case.beer)
    layer = absorption.diffusivity(keg.temperature_k, ratio) / keg.case.depth_m**2 * seconds
    rate = absorption.still_rate(keg.case.beer, keg.temperature_k, keg.case.depth_m)
    box = _box(keg)
    held = solubility.equilibrium_volumes(box.head_pa, keg.temperature_k, keg.nature.factor)
    depletion = shut_keg.renewed(keg.layer_age, layer) / seconds
    after = shut_keg.absorb_shut(
        box, seconds, rate * keg.nature.still, keg.nature.factor, depletion
    )
    older = np.where(keg.level_vol > held, keg.layer_age + layer, 0.0)
    return _with_level(keg, np.asarray(after.beer_vol), older)


def _with_level(keg: SealedKeg, level_vol: Array, layer_age: Array) -> SealedKeg:
    """What the beer gave off is in the head, to the last digit."""
    gas = keg.gas_m3 + keg.case.beer_m3 * (keg.level_vol - level_vol)
    return replace(keg, level_vol=level_vol, gas_m3=np.maximum(gas, 0.0), layer_age=layer_age)


def _box(keg: SealedKeg) -> ShutKeg:
    empty = ShutKeg(
        keg.case.beer_m3, keg.case.head_m3, keg.temperature_k, keg.level_vol, LEAST_HEAD_PA
    )
    total = keg.case.beer_m3 * keg.level_vol + keg.gas_m3
    return shut_keg.with_beer(empty, total, keg.level_vol)


def _gas_at(keg: SealedKeg, pressure_pa: Array) -> Array:
    return np.asarray(shut_keg.gas_m3(pressure_pa, keg.case.head_m3, keg.temperature_k))
