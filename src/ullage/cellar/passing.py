"""What time does to a keg: it chills, its beer absorbs or gives off, its gas is drawn.

Closed forms over stretches of constant conditions; the gas in beer, head and cylinder is one
account that closes to the last digit.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.state import NO_BEER_M3, Assumed, KegState
from ullage.cellar.track import Contact, chill_cuts
from ullage.physics import absorption, co2, shut_keg, solubility, thermal, water
from ullage.physics import beer as beer_physics
from ullage.physics.constants import CO2_VOLUME_DENSITY, SHAKEN_CONTACT, STONE_CONTACT
from ullage.physics.numbers import Numbers

Array = NDArray[np.float64]

LONGEST_SHUT_S = 2 * 86_400.0
SLACK_PA = 1.0


def pass_time(
    keg: KegState, until: datetime, assumed: Assumed, contact: Contact | None = None
) -> KegState:
    """The keg at `until`, nothing having been done to it meanwhile.

    `contact` overrides how beer and gas meet (a keg that is being shaken). A moment before the
    keg's own leaves it as it is.
    """
    seconds = (until - keg.at).total_seconds()
    if seconds <= 0.0:
        return keg
    if not keg.holds_beer:
        return _empty_later(keg, until, seconds, assumed)
    how: Contact = contact or ("still" if keg.supply is None else keg.supply.contact)
    edges = _edges(keg, seconds, assumed)
    after = _all_open(keg, edges, how, assumed)
    if after is None:
        after = _piece_by_piece(keg, edges, how, assumed)
    return replace(after, at=until)


def time_constant(keg: KegState, assumed: Assumed) -> float:
    """Seconds in which the keg comes nearer to its place by a factor e."""
    beer_kg = float(np.mean(keg.beer_m3)) * 1010.0
    return keg.kind.time_constant(beer_kg) / assumed.chilling


def draw_to(keg: KegState, gauge_pa: float, assumed: Assumed) -> KegState:
    """Gas let in until the head stands at a gauge pressure; what stands higher stays there."""
    wanted = _co2_at(keg, gauge_pa, keg.temperature_k, assumed)
    head = np.maximum(keg.head_co2_kg, wanted)
    drawn = keg.ledger.gas_drawn_kg + head - keg.head_co2_kg
    return replace(keg, head_co2_kg=head, ledger=replace(keg.ledger, gas_drawn_kg=drawn))


def _co2_at(keg: KegState, gauge_pa: float, temperature_k: Numbers, assumed: Assumed) -> Numbers:
    """CO2 (kg) in the head when it stands at a gauge pressure, its air and vapour left out."""
    vapour = water.vapour_pressure(temperature_k)
    partial = assumed.ambient_pa + gauge_pa - keg.air_pa(temperature_k) - vapour
    return co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, temperature_k)


def _empty_later(keg: KegState, until: datetime, seconds: float, assumed: Assumed) -> KegState:
    """A keg without beer only takes its place's temperature, and gas if that is on."""
    tau = time_constant(keg, assumed)
    warm = thermal.temperature_after(keg.temperature_k, keg.place_k, seconds, tau)
    later = replace(keg, at=until, temperature_k=warm)
    return later if keg.supply is None else draw_to(later, keg.supply.gauge_pa, assumed)


def _edges(keg: KegState, seconds: float, assumed: Assumed) -> Array:
    """Where the time is cut: finely while the beer chills, and within what a shut keg bears."""
    away = float(np.max(np.abs(np.subtract(keg.temperature_k, keg.place_k))))
    cuts = [np.array([0.0, seconds])]
    cuts.append(np.array(chill_cuts(away, time_constant(keg, assumed))))
    if keg.supply is None:
        cuts.append(np.arange(LONGEST_SHUT_S, seconds, LONGEST_SHUT_S))
    edges = np.unique(np.concatenate(cuts))
    kept: Array = edges[edges <= seconds]
    return kept


def _temperatures(keg: KegState, edges: Array, assumed: Assumed) -> tuple[Numbers, Numbers]:
    """Mean temperature of each stretch, and that at the end. Kegs chill alike in every sample."""
    tau = time_constant(keg, assumed)
    away = float(np.mean(keg.temperature_k)) - keg.place_k
    mean = thermal.mean_temperatures(keg.place_k + away, keg.place_k, edges, tau)
    return mean, keg.place_k + away * math.exp(-float(edges[-1]) / tau)


def _all_open(keg: KegState, edges: Array, contact: Contact, assumed: Assumed) -> KegState | None:
    """All stretches at once, for a keg on gas that cools and only absorbs; else `None`."""
    if keg.supply is None or keg.beer is None or np.any(np.less(keg.temperature_k, keg.place_k)):
        return None
    pressure = assumed.ambient_pa + keg.supply.gauge_pa
    if np.any(np.greater(keg.head_pa(), pressure + SLACK_PA)):
        return None
    mean, end_k = _temperatures(keg, edges, assumed)
    samples = np.ndim(keg.level_vol) + np.ndim(keg.beer_m3) + np.ndim(_scale(contact, assumed))
    samples += np.ndim(assumed.beer_factor)
    column = np.asarray(mean)[:, None] if samples else mean
    equilibrium = solubility.equilibrium_volumes(
        pressure - keg.air_pa(column), column, keg.solubility(assumed)
    )
    rate = absorption.still_rate(keg.beer, column, keg.depth_m) * _scale(contact, assumed)
    count = len(edges) - 1
    each = [np.shape(part)[1:] for part in (equilibrium, rate)] if samples else []
    columns = np.broadcast_shapes(np.shape(keg.level_vol), *each)
    stretches = absorption.Stretches(
        seconds=np.diff(edges),
        equilibrium_vol=np.broadcast_to(equilibrium, (count, *columns)),
        rate=np.broadcast_to(rate, (count, *columns)),
        depletion=np.zeros(count),
        agitated=np.ones(count, dtype=np.bool_),
    )
    start = np.broadcast_to(keg.level_vol, columns) if samples else keg.level_vol
    levels = absorption.follow(start, stretches)
    if np.any(levels[:-1] > stretches.equilibrium_vol + 1e-9):
        return None
    last = levels[-1] if samples else float(levels[-1])
    return _on_gas(replace(keg, level_vol=last, temperature_k=end_k, layer_age=0.0), keg, assumed)


def _on_gas(after: KegState, before: KegState, assumed: Assumed) -> KegState:
    """The head filled to the regulator's pressure, and the cylinder charged with what it gave."""
    assert after.supply is not None
    head = _co2_at(after, after.supply.gauge_pa, after.temperature_k, assumed)
    full = replace(after, head_co2_kg=head)
    drawn = before.ledger.gas_drawn_kg + full.gas_kg() - before.gas_kg()
    return replace(full, ledger=replace(before.ledger, gas_drawn_kg=drawn))


def _scale(contact: Contact, assumed: Assumed) -> Numbers:
    if contact == "shaken":
        return SHAKEN_CONTACT.value * assumed.shaking
    if contact == "stone":
        return STONE_CONTACT.value * assumed.stone
    return assumed.absorption


def _piece_by_piece(keg: KegState, edges: Array, contact: Contact, assumed: Assumed) -> KegState:
    """Stretch after stretch, for a keg whose gas is off or whose beer holds too much."""
    means, end_k = _temperatures(keg, edges, assumed)
    tau = time_constant(keg, assumed)
    away = float(np.mean(keg.temperature_k)) - keg.place_k
    begin = keg.at
    for i, seconds in enumerate(np.diff(edges)):
        at = begin + timedelta(seconds=float(edges[i + 1]))
        later_k = keg.place_k + away * math.exp(-float(edges[i + 1]) / tau)
        keg = _one_stretch(keg, float(seconds), float(np.asarray(means)[i]), contact, assumed)
        keg = replace(keg, at=at, temperature_k=later_k)
        if keg.supply is not None:
            keg = draw_to(keg, keg.supply.gauge_pa, assumed)
    return replace(keg, temperature_k=end_k)


def _one_stretch(
    keg: KegState, seconds: float, mean_k: float, contact: Contact, assumed: Assumed
) -> KegState:
    """A stretch of one temperature. A regulator lets gas in but none back.

    So beer that holds less than the regulator would give it absorbs at that pressure, and beer
    that holds more gives off into the head as if the gas were shut.
    """
    assert keg.beer is not None
    factor = keg.solubility(assumed)
    rate = absorption.still_rate(keg.beer, mean_k, keg.depth_m) * _scale(contact, assumed)
    age = _layer(keg, seconds, mean_k) if contact == "still" else None
    shut, older = _shut(keg, seconds, mean_k, rate, factor, age)
    if keg.supply is None:
        return replace(keg, level_vol=shut.level_vol, head_co2_kg=shut.head_co2_kg, layer_age=older)
    warm = replace(keg, temperature_k=mean_k)
    filled = draw_to(warm, keg.supply.gauge_pa, assumed)
    pressure = assumed.ambient_pa + keg.supply.gauge_pa
    held = solubility.equilibrium_volumes(pressure - keg.air_pa(mean_k), mean_k, factor)
    risen = absorption.absorb(filled.level_vol, held, seconds, rate)
    opened = _on_gas(replace(filled, level_vol=risen), filled, assumed)
    absorbs = np.less_equal(keg.level_vol, held) & np.less_equal(
        keg.head_co2_kg, filled.head_co2_kg + 1e-12
    )
    return _chosen(np.asarray(absorbs), opened, shut, older)


def _layer(keg: KegState, seconds: float, mean_k: float) -> Numbers:
    """Growth of the depleted layer in this stretch, D t/depth²."""
    assert keg.beer is not None
    ratio = beer_physics.viscosity_ratio(keg.beer)
    return absorption.diffusivity(mean_k, ratio) / keg.depth_m**2 * seconds


def _shut(
    keg: KegState,
    seconds: float,
    mean_k: float,
    rate: Numbers,
    factor: Numbers,
    layer: Numbers | None,
) -> tuple[KegState, Numbers]:
    """The stretch with no gas let in, and the age of the depleted layer after it."""
    vapour = water.vapour_pressure(mean_k)
    head = co2.pressure_of_mass(keg.head_co2_kg, keg.head_m3, mean_k) + vapour
    beer_m3 = np.maximum(keg.beer_m3, NO_BEER_M3)
    box = shut_keg.ShutKeg(beer_m3, keg.head_m3, mean_k, keg.level_vol, head)
    held = solubility.equilibrium_volumes(head, mean_k, factor)
    over = np.greater(keg.level_vol, held)
    per_second = None if layer is None else _slower(keg.layer_age, layer) / seconds
    after = shut_keg.absorb_shut(box, seconds, rate, factor, per_second)
    level = after.beer_vol
    gas = keg.gas_kg() - keg.beer_m3 * level * CO2_VOLUME_DENSITY.value
    older = np.where(over, keg.layer_age + layer, 0.0) if layer is not None else 0.0
    return replace(keg, level_vol=level, head_co2_kg=np.maximum(gas, 0.0)), older


def _slower(age: Numbers, layer: Numbers) -> Numbers:
    """The growth from nothing that keeps as much of an excess as this growth from `age` does."""
    share = absorption.kept(age + layer) / np.maximum(absorption.kept(age), 1e-300)
    early: Numbers = np.pi * ((1.0 - np.minimum(share, 1.0)) / 2.0) ** 2
    return early


def _chosen(
    absorbs: NDArray[np.bool_], opened: KegState, shut: KegState, older: Numbers
) -> KegState:
    """In each sample the open or the shut outcome."""

    def pick(one: Numbers, other: Numbers) -> Numbers:
        chosen: Numbers = np.where(absorbs, one, other)[()]
        return chosen

    ledger = replace(
        opened.ledger,
        gas_drawn_kg=pick(opened.ledger.gas_drawn_kg, shut.ledger.gas_drawn_kg),
    )
    return replace(
        opened,
        level_vol=pick(opened.level_vol, shut.level_vol),
        head_co2_kg=pick(opened.head_co2_kg, shut.head_co2_kg),
        layer_age=pick(0.0, older),
        ledger=ledger,
    )
