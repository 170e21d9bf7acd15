"""Beer and head that meet for a while at one temperature, under whatever hangs on the keg.

Closed forms; what leaves the beer is in the head or booked as let off, to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ullage.cellar import fermenting
from ullage.cellar.falling import fall
from ullage.cellar.head import co2_at, draw_to, relieved, valve_pa
from ullage.cellar.on_blend import on_blend
from ullage.cellar.state import NO_BEER_M3, Assumed, KegState, counted
from ullage.cellar.track import Contact
from ullage.physics import absorption, co2, shut_keg, solubility, water
from ullage.physics import beer as beer_physics
from ullage.physics.constants import (
    CO2_VOLUME_DENSITY,
    FERMENTING_RELEASE,
    SHAKEN_CONTACT,
    STONE_CONTACT,
)
from ullage.physics.numbers import Numbers

SLACK_PA = 1.0
PACKED_PA = 1.2e6
"""More than a keg's valve lets stand; what beer gave off above it left in the same stretch."""
SHORTEST_S = 30.0
"""No stretch in which a valve opens is cut more finely than this."""


def one_stretch(
    keg: KegState, seconds: float, mean_k: float, contact: Contact, assumed: Assumed
) -> KegState:
    """A stretch of one temperature, as what hangs on the keg makes it."""
    met = _met(keg, seconds, mean_k, contact, assumed)
    if keg.supply is not None and keg.supply.co2_share < 1.0:
        return _blended(met, assumed)
    if keg.supply is not None:
        return _regulated(met, assumed)
    valve = assumed.ambient_pa + valve_pa(keg)
    opens: NDArray[np.bool_] = np.less(met.head_pa, valve - SLACK_PA) & np.greater(
        _head_pa(_with_shut(met), mean_k), valve
    )
    if seconds > SHORTEST_S and np.any(opens):
        half = 0.5 * seconds
        begun = one_stretch(keg, half, mean_k, contact, assumed)
        let_off = relieved(replace(begun, temperature_k=mean_k), assumed)
        halved = one_stretch(let_off, half, mean_k, contact, assumed)
        return halved if np.all(opens) else _parted(opens, halved, _valved(met, valve))
    return _valved(met, valve)


def _parted(opens: NDArray[np.bool_], halved: KegState, whole: KegState) -> KegState:
    """Each sample by its own way, as it would go alone: cut in halves where its valve opens."""

    def pick(one: Numbers, other: Numbers) -> Numbers:
        chosen: Numbers = np.where(opens, one, other)[()]
        return chosen

    same_air = halved.air_mol is whole.air_mol
    vented = pick(halved.ledger.gas_vented_kg, whole.ledger.gas_vented_kg)
    return replace(
        halved,
        level_vol=pick(halved.level_vol, whole.level_vol),
        head_co2_kg=pick(halved.head_co2_kg, whole.head_co2_kg),
        air_mol=halved.air_mol if same_air else pick(halved.air_mol, whole.air_mol),
        nitrogen_mol=pick(halved.nitrogen_mol, whole.nitrogen_mol) if halved.has_nitrogen else 0.0,
        layer_age=pick(halved.layer_age, whole.layer_age),
        ledger=replace(halved.ledger, gas_vented_kg=vented),
    )


@dataclass(frozen=True, slots=True)
class _Met:
    """Beer and head that meet for a stretch.

    `rate` holds where the beer absorbs, `out` where it gives off, unless it rests: then `layer` is
    how much its depleted layer grows. `shut` and `older`: the stretch with no gas let in or off.
    """

    keg: KegState
    seconds: float
    mean_k: float
    factor: Numbers
    head_pa: Numbers
    rate: Numbers
    out: Numbers
    layer: Numbers | None
    shut: KegState
    older: Numbers


def _met(keg: KegState, seconds: float, mean_k: float, contact: Contact, assumed: Assumed) -> _Met:
    assert keg.beer is not None
    factor = keg.as_told(assumed)
    still = absorption.still_rate(keg.beer, mean_k, keg.depth_m)
    rate = out = still * scale(contact, assumed)
    bubbles = fermenting.bubbles(keg, mean_k)
    if bubbles:
        out = np.maximum(out, still * FERMENTING_RELEASE.value * assumed.absorption)
    layer = _layer(keg, seconds, mean_k) if contact == "still" and not bubbles else None
    over = np.greater(keg.level_vol, _held_shut(keg, mean_k, factor)) if bubbles else False
    shut, older = _shut(keg, seconds, mean_k, np.where(over, out, rate)[()], factor, layer)
    head_pa = _head_pa(keg, mean_k)
    return _Met(keg, seconds, mean_k, factor, head_pa, rate, out, layer, shut, older)


def _head_pa(keg: KegState, temperature_k: float) -> Numbers:
    return replace(keg, temperature_k=temperature_k).head_pa()


def _held_shut(keg: KegState, mean_k: float, factor: Numbers) -> Numbers:
    """Volumes that the beer holds in the end under the CO2 in its head."""
    head = co2.pressure_of_mass(keg.head_co2_kg, keg.head_m3, mean_k)
    return solubility.equilibrium_volumes(head + water.vapour_pressure(mean_k), mean_k, factor)


def _with_shut(met: _Met) -> KegState:
    """The stretch of a keg with nothing on it."""
    return replace(
        met.keg,
        level_vol=met.shut.level_vol,
        head_co2_kg=met.shut.head_co2_kg,
        layer_age=met.older,
    )


def _valved(met: _Met, limit_pa: float) -> KegState:
    """A valve that is open keeps the head at its pressure while the beer gives off."""
    keg = met.keg
    held = solubility.equilibrium_volumes(
        limit_pa - keg.inert_pa(met.mean_k), met.mean_k, met.factor
    )
    blows = np.greater(keg.level_vol, held) & np.greater(met.head_pa, limit_pa - SLACK_PA)
    if not np.any(blows):
        return _with_shut(met)
    if met.layer is None:
        level = absorption.absorb(keg.level_vol, held, met.seconds, met.out)
        older: Numbers = 0.0
    else:
        older = keg.layer_age + met.layer
        share = absorption.kept(older) / np.maximum(absorption.kept(keg.layer_age), 1e-300)
        level = held + (keg.level_vol - held) * share
    shut = _with_shut(met)
    level = np.where(blows, level, shut.level_vol)[()]
    head = keg.gas_kg() - keg.beer_m3 * level * CO2_VOLUME_DENSITY.value
    age = np.where(blows, older, shut.layer_age)[()]
    after = replace(keg, level_vol=level, head_co2_kg=np.maximum(head, 0.0), layer_age=age)
    return _let_through(after, met.mean_k)


def _let_through(keg: KegState, mean_k: float) -> KegState:
    """What an open valve let through of gas that no head could hold; the rest is let off after."""
    most = co2.gas_mass(PACKED_PA, keg.head_m3, mean_k)
    kept = np.minimum(keg.head_co2_kg, most)
    if not np.any(np.less(kept, keg.head_co2_kg)):
        return keg
    vented = keg.ledger.gas_vented_kg + keg.head_co2_kg - kept
    share = kept / np.maximum(keg.head_co2_kg, 1e-300)
    return replace(
        keg,
        head_co2_kg=kept,
        air_mol=keg.air_mol * share,
        nitrogen_mol=keg.nitrogen_mol * share if keg.has_nitrogen else 0.0,
        ledger=replace(keg.ledger, gas_vented_kg=vented),
    )


def _regulated(met: _Met, assumed: Assumed) -> KegState:
    """A regulator lets gas in but none back.

    So beer that holds less than the regulator would give it absorbs at that pressure, and beer
    that holds more gives off into the head as if the gas were shut.
    """
    keg, mean_k = met.keg, met.mean_k
    assert keg.supply is not None
    warm = replace(keg, temperature_k=mean_k)
    filled = draw_to(warm, keg.supply.true_pa, assumed)
    pressure = assumed.ambient_pa + keg.supply.true_pa
    held = solubility.equilibrium_volumes(pressure - keg.inert_pa(mean_k), mean_k, met.factor)
    above = np.asarray(np.greater(keg.head_co2_kg, _at_regulator(keg, mean_k, pressure) + 1e-12))
    if np.any(above & np.less_equal(keg.level_vol, held)):
        return _fallen(met, filled, held, assumed)
    risen = absorption.absorb(filled.level_vol, held, met.seconds, met.rate)
    opened = filled_up(replace(filled, level_vol=risen), filled, assumed)
    absorbs = np.less_equal(keg.level_vol, held) & ~above
    return _chosen(np.asarray(absorbs), opened, met.shut, met.older)


def _blended(met: _Met, assumed: Assumed) -> KegState:
    """A regulator that lets in a blend; beer that holds too much gives off as if it were shut."""
    warm = replace(met.keg, temperature_k=met.mean_k)
    comes, opened = on_blend(warm, met.rate * met.seconds / 3.0, met.factor, assumed)
    return _chosen(comes, opened, met.shut, met.older)


def _at_regulator(keg: KegState, mean_k: float, pressure_pa: float) -> Numbers:
    """CO2 (kg) in a head at the regulator's absolute pressure."""
    partial = pressure_pa - keg.inert_pa(mean_k) - water.vapour_pressure(mean_k)
    return co2.gas_mass(np.maximum(partial, 0.0), keg.head_m3, mean_k)


def _fallen(met: _Met, filled: KegState, held: Numbers, assumed: Assumed) -> KegState:
    """A stretch in which a head above the regulator falls, in each sample as far as it comes."""
    keg, mean_k = met.keg, met.mean_k
    assert keg.supply is not None
    stands = _at_regulator(keg, mean_k, assumed.ambient_pa + keg.supply.true_pa)
    per_vol = np.maximum(keg.beer_m3, NO_BEER_M3) * CO2_VOLUME_DENSITY.value
    rise = np.maximum(filled.head_co2_kg - stands, 0.0) / per_vol
    before = _held_shut(filled, mean_k, met.factor) - keg.level_vol
    gap = np.subtract(held, keg.level_vol)
    comes = np.greater(gap - rise, 0.0) & np.greater(before, 0.0)
    safe = (np.where(comes, before, 2.0), np.where(comes, gap, 1.0), np.where(comes, rise, 0.0))
    gained, left = fall(*safe, met.rate * met.seconds / 3.0)
    top = np.where(comes, held, keg.level_vol + 1.0)
    # a rate of 3 makes the time that `absorb` takes the growth
    risen = absorption.absorb(keg.level_vol + safe[2], top, np.maximum(left, 0.0), 3.0)
    opened = filled_up(replace(filled, level_vol=risen), filled, assumed)
    above_kg = filled.head_co2_kg - gained * per_vol
    slow = replace(filled, level_vol=keg.level_vol + gained, head_co2_kg=above_kg)
    fell = _chosen(np.asarray(np.greater(left, 0.0)), opened, slow, 0.0)
    return _chosen(np.asarray(comes), fell, met.shut, met.older)


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
        nitrogen_mol=pick(opened.nitrogen_mol, shut.nitrogen_mol) if opened.has_nitrogen else 0.0,
        ledger=ledger,
    )


def filled_up(after: KegState, before: KegState, assumed: Assumed) -> KegState:
    """The head filled to the regulator's pressure, and the cylinder charged with what it gave."""
    assert after.supply is not None
    head = co2_at(after, after.supply.true_pa, after.temperature_k, assumed)
    full = replace(after, head_co2_kg=head)
    drawn = counted(before.ledger.gas_drawn_kg + full.gas_kg() - before.gas_kg())
    return replace(full, ledger=replace(before.ledger, gas_drawn_kg=drawn))


def scale(contact: Contact, assumed: Assumed) -> Numbers:
    """Times the still rate that this contact absorbs at."""
    if contact == "shaken":
        return SHAKEN_CONTACT.value * assumed.shaking
    if contact == "stone":
        return STONE_CONTACT.value * assumed.stone
    return assumed.absorption
