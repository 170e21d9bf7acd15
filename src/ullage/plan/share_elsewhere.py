"""Where a beer outside its tolerance would be kept: in another place, or at another temperature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from scipy.optimize import brentq

from ullage.physics.solubility import SOUND_TEMPERATURE_K
from ullage.plan.own import thermometer_offset
from ullage.plan.share_answer import Elsewhere
from ullage.plan.share_hung import Hung
from ullage.plan.share_points import Point
from ullage.system.links import BEER_FREEZES_K
from ullage.system.model import System

WARMEST_K: Final = 291.15
"""18 °C: warmer beer is served to nobody; our own choice."""
COLDEST_K: Final = SOUND_TEMPERATURE_K[0]
assert COLDEST_K > BEER_FREEZES_K
NEAR_K: Final = 0.05


def elsewhere(
    system: System, points: Sequence[Point], rows: Sequence[Hung]
) -> tuple[Elsewhere, ...]:
    """For each beer outside: places that would keep it at a pressure that is there, and how warm
    or cold its own place would have to be.

    The pressures stay as they are, so nothing changes for the others, but for those that stand in
    a place whose temperature is changed.
    """
    on = {keg: row for row in rows for keg in row.kegs}
    found: list[Elsewhere] = []
    for point in points:
        gauge = on[point.keg].gauge_pa or 0.0
        if not point.keeps(gauge):
            found += _moved(system, point, rows)
            found += _warmer(points, point, on)
    return tuple(found)


def _moved(system: System, point: Point, rows: Sequence[Hung]) -> Iterator[Elsewhere]:
    """The best of the pressures in each other place, where it keeps the beer."""
    for place in system.places:
        kelvin = place.temperature
        if place.name == point.place or not COLDEST_K <= kelvin <= WARMEST_K:
            continue
        there = kelvin + thermometer_offset(system, place.name) - point.offset_k
        ways = [
            (abs(point.off_vol(row.gauge_pa, there)), row.gauge_pa, row)
            for row in rows
            if row.gauge_pa is not None and row.gauge_pa <= point.highest_pa
        ]
        if not ways:
            continue
        _, gauge, row = min(ways, key=lambda way: way[0])
        if point.keeps(gauge, there):
            yield _way(point, place.name, kelvin, row, gauge)


def _warmer(points: Sequence[Point], point: Point, on: dict[str, Hung]) -> Iterator[Elsewhere]:
    """The temperature at which its own pressure keeps it, where that is one for beer."""
    row = on[point.keg]
    gauge = row.gauge_pa or 0.0

    def over(kelvin: float) -> float:
        return point.off_vol(gauge, kelvin)

    if over(COLDEST_K) * over(WARMEST_K) > 0.0:
        return
    kelvin = float(brentq(over, COLDEST_K, WARMEST_K, xtol=NEAR_K))
    upset = [
        one.keg
        for one in points
        if one.place == point.place and one.keg != point.keg
        if one.keeps(on[one.keg].gauge_pa or 0.0)
        if not one.keeps(on[one.keg].gauge_pa or 0.0, kelvin)
    ]
    yield _way(point, point.place, kelvin, row, gauge, tuple(upset))


def _way(
    point: Point,
    place: str,
    kelvin: float,
    row: Hung,
    gauge_pa: float,
    upsets: tuple[str, ...] = (),
) -> Elsewhere:
    return Elsewhere(
        keg=point.keg,
        beer=point.beer,
        place=place,
        moves=place != point.place,
        temperature_k=kelvin,
        regulator=row.regulator.name,
        gauge_pressure_pa=gauge_pa,
        comes_to_vol=point.level(gauge_pa, kelvin),
        upsets=upsets,
    )
