"""A keg with its gas off whose valves stay shut: beer and head meet, and nothing comes or goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ullage.cellar import fermenting
from ullage.cellar.head import valve_pa
from ullage.cellar.keg_shape import keg_shape
from ullage.cellar.kept_in import KeptIn, kept_in
from ullage.cellar.state import Assumed, KegState
from ullage.cellar.stretch import scale
from ullage.cellar.track import Contact
from ullage.physics.beer_table import HIGHEST_K, LOWEST_K, exact_row
from ullage.physics.constants import GAS_CONSTANT

NEAR = 1.02
"""A head so near to its valve's pressure is not followed here, for it might open."""
SHALLOW_M = 1e-3


def gas_off(
    keg: KegState,
    pieces: Sequence[tuple[float, float, float]],
    contact: Contact,
    assumed: Assumed,
) -> KegState | None:
    """The keg after pieces of time, its moment as before, or `None` where it does more than that.

    pieces: seconds, mean temperature and that at the end (K).
    """
    beer, shape = keg.beer, keg_shape(keg.keg_kind)
    if keg.supply is not None or beer is None or np.ndim(keg.beer_m3) or np.ndim(keg.air_mol):
        return None
    if keg.has_nitrogen:
        return None
    beer_m3 = float(keg.beer_m3)
    room, depth = shape.capacity_m3 - beer_m3, beer_m3 / shape.area_m2
    warmest = max(max(mean, end) for _, mean, end in pieces)
    coldest = min(min(mean, end) for _, mean, end in pieces)
    if depth < SHALLOW_M or coldest < LOWEST_K or warmest > HIGHEST_K:
        return None
    if fermenting.works(keg, max(float(np.max(keg.temperature_k)), keg.place_k)):
        return None
    factor, speed = keg.as_told(assumed), scale(contact, assumed)
    air_pa_k = float(keg.air_mol) * GAS_CONSTANT.value / room
    valve = (assumed.ambient_pa + valve_pa(keg)) / NEAR
    level, head_kg, age = keg.level_vol, keg.head_co2_kg, keg.layer_age
    for seconds, mean, end in pieces:
        shut = KeptIn(exact_row(beer, mean), mean, beer_m3, room)
        growth = speed * (shut.row[4] * seconds / depth / 3.0)
        layer = (age, shut.row[5] * seconds / depth**2) if contact == "still" else None
        level, later_kg, age = kept_in(shut, level, head_kg, factor, growth, layer)
        most = shut.pressure_pa(np.maximum(head_kg, later_kg)) + shut.row[3] + air_pa_k * mean
        if np.max(most) * max(end / mean, 1.0) > valve:
            return None
        head_kg = later_kg
    return replace(
        keg, temperature_k=pieces[-1][2], level_vol=level, head_co2_kg=head_kg, layer_age=age
    )
