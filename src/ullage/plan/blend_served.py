"""What the gas on a keg is to its beer: a blend at a pressure is as straight CO2 at a lower one.

Every answer that asks what keeps a beer's level, or what a pressure brings it to, asks here, with
the share of CO2 in the gas that the keg hangs on. Straight CO2 comes back as it went in.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.course import equilibrium_samples
from ullage.cellar.draws import Draws
from ullage.cellar.track import KegCase
from ullage.physics import beer as beer_physics
from ullage.physics import blend, solubility
from ullage.physics.numbers import Numbers

STRAIGHT: Final = 1.0


def kept_by(pure_pa: Numbers, share: float, temperature_k: Numbers) -> Numbers:
    """The pressure of a gas that keeps what straight CO2 keeps at `pure_pa`; absolute Pa, K."""
    return pure_pa if share >= STRAIGHT else blend.blend_pressure(pure_pa, share, temperature_k)


def as_straight(pressure_pa: Numbers, share: float, temperature_k: Numbers) -> Numbers:
    """The pressure of straight CO2 that is to the beer as a gas at a pressure; absolute Pa, K.

    Of a head that is all fresh gas: in a shut keg the nitrogen that comes along holds it back.
    """
    if share >= STRAIGHT:
        return pressure_pa
    return blend.pure_equivalent(pressure_pa, share, temperature_k)


def kept_gauge(case: KegCase, pure_gauge_pa: float, share: float) -> float:
    """What the gauge shows (Pa) where a gas keeps what straight CO2 keeps at `pure_gauge_pa`."""
    if share >= STRAIGHT:
        return pure_gauge_pa
    besides = case.ambient_pa + case.offset_pa
    return float(kept_by(pure_gauge_pa + besides, share, case.place_k)) - besides


def straight_gauge(case: KegCase, gauge_pa: float, share: float) -> float:
    """What the gauge of straight CO2 would show (Pa) that is to the beer as that gas; inverse."""
    if share >= STRAIGHT:
        return gauge_pa
    besides = case.ambient_pa + case.offset_pa
    return float(as_straight(gauge_pa + besides, share, case.place_k)) - besides


def kept_gauge_samples(
    case: KegCase, pure_gauge_pa: NDArray[np.float64], share: float, draws: Draws
) -> NDArray[np.float64]:
    """The same of samples, with what gauge and thermometer may be off."""
    if share >= STRAIGHT:
        return pure_gauge_pa
    besides = case.ambient_pa + draws.gauge_offset_pa
    warm = case.place_k + draws.thermometer_offset_k
    return np.asarray(kept_by(pure_gauge_pa + besides, share, warm) - besides)


def comes_to(case: KegCase, gauge_pa: float, share: float, draws: Draws) -> NDArray[np.float64]:
    """Samples of the level (volumes) under a gas, fresh in the head, at a gauge reading (Pa)."""
    if share >= STRAIGHT:
        return equilibrium_samples(case, gauge_pa, draws)
    factor = beer_physics.solubility_factor(
        case.beer, draws.beer_factor, draws.alcohol_effect, draws.extract_effect
    )
    warm = case.place_k + draws.thermometer_offset_k
    pressure = np.maximum(case.ambient_pa + gauge_pa + draws.gauge_offset_pa, 0.0)
    held = solubility.equilibrium_volumes(as_straight(pressure, share, warm), warm, factor)
    return np.asarray(held)
