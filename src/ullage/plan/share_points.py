"""Kegs as points on the gauge, and regulators as what they can reach: the sharing in numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.errors import OutOfRange
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.cases import beer_volume, composition, keg_rating
from ullage.plan.own import gauge_offset, own_factor, thermometer_offset
from ullage.plan.share_answer import STEP_PA, LeftOut, ShareQuestion, Wish
from ullage.plan.share_puzzle import Kind, Puzzle
from ullage.system import parts
from ullage.system.model import Keg, Regulator, System

Array = NDArray[np.float64]
NEW: Final = "new regulator"
ROUNDING: Final = 1e-9
HALF_TOLD_VOL: Final = 0.005
"""Levels are told to a hundredth of a volume: half of that beyond a tolerance is within it."""


@dataclass(frozen=True, slots=True)
class Point:
    """One keg's beer on the gauge: temperature in K, levels in volumes, gauge pressures in Pa.

    `gauge_pa` keeps the target, `low_pa` and `high_pa` the ends of its tolerance: negative where
    even without gauge pressure the beer takes up more. `highest_pa`: the lowest rating of the keg
    and its lines. Pressures are as its gauge shows them, temperatures as its thermometer does:
    `offset_pa` and `offset_k` are what these show too little.
    """

    keg: str
    beer: str
    place: str
    present: str | None
    temperature_k: float
    target_vol: float
    tolerance_vol: float
    factor: float
    ambient_pa: float
    highest_pa: float
    gauge_pa: float
    low_pa: float
    high_pa: float
    offset_pa: float = 0.0
    offset_k: float = 0.0

    @property
    def near_vol(self) -> float:
        """How far from its target it still counts as within its tolerance."""
        return self.tolerance_vol + HALF_TOLD_VOL

    def off_vol(self, gauge_pa: float, temperature_k: float | None = None) -> float:
        """How far above its target it comes to lie at a gauge pressure, here or elsewhere."""
        return self.level(gauge_pa, temperature_k) - self.target_vol

    def keeps(self, gauge_pa: float, temperature_k: float | None = None) -> bool:
        """Whether it comes to lie within its tolerance."""
        return abs(self.off_vol(gauge_pa, temperature_k)) <= self.near_vol * (1.0 + ROUNDING)

    def level(self, gauge_pa: float, temperature_k: float | None = None) -> float:
        """The volumes that it comes to at a gauge pressure, here or at another temperature."""
        kelvin = self.temperature_k if temperature_k is None else temperature_k
        whole = self.ambient_pa + self.offset_pa + gauge_pa
        return float(solubility.equilibrium_volumes(whole, kelvin + self.offset_k, self.factor))

    def off(self, gauges_pa: Array) -> Array:
        """How far off it comes to lie at each pressure, in tolerances; infinite where forbidden."""
        held = solubility.equilibrium_volumes(
            np.maximum(self.ambient_pa + self.offset_pa + gauges_pa, 0.0),
            self.temperature_k + self.offset_k,
            self.factor,
        )
        away = np.asarray(held - self.target_vol) / self.near_vol
        return np.where(gauges_pa <= self.highest_pa * (1.0 + ROUNDING), away, np.inf)


@dataclass(frozen=True, slots=True)
class Sharing:
    """A system as points, the regulators that may serve them, and what was left out.

    `regulators`: those that are there, then those that would be bought. `reach`: the kegs that may
    hang on each, by its name.
    """

    system: System
    points: tuple[Point, ...]
    regulators: tuple[Regulator, ...]
    reach: Mapping[str, frozenset[str]]
    left_out: tuple[LeftOut, ...]

    @property
    def step_pa(self) -> float:
        """The step of the gauge."""
        return STEP_PA[self.system.units]

    @property
    def there(self) -> int:
        """How many regulators there are, those that would be new left out."""
        return len(self.system.regulators)

    def puzzle(self) -> Puzzle:
        """The same as a table of the beers over the pressures that a gauge shows."""
        gauges = self._gauges()
        off = np.array([one.off(gauges) for one in self.points])
        kinds = tuple(
            Kind(
                reach=tuple(one.keg in self.reach[regulator.name] for one in self.points),
                limit=int(
                    np.searchsorted(gauges, regulator.max_pressure * (1.0 + ROUNDING), "right")
                ),
            )
            for regulator in self.regulators
        )
        return Puzzle(gauges, off, kinds, self.there)

    def _gauges(self) -> Array:
        """Every step from the least pressure that a keg wants, or may have, to the greatest.

        Beyond these two all beers only come to lie further off.
        """
        top = max(one.max_pressure for one in self.regulators)
        may = [max(min(one.gauge_pa, one.highest_pa), 0.0) for one in self.points]
        highest = min(max(may), top)
        least = min(*may, *(one.max_pressure for one in self.regulators))
        first = math.floor(least / self.step_pa + ROUNDING)
        last = max(math.ceil(highest / self.step_pa - ROUNDING), first)
        return self.step_pa * np.arange(first, last + 1, dtype=np.float64)


def warmed(system: System, temperature_k: float | None) -> System:
    """The system with every place that holds beer at a temperature; as it is for `None`."""
    if temperature_k is None:
        return system
    there = {keg.place for keg in system.kegs if keg.beer is not None}
    places = tuple(
        one.model_copy(update={"temperature": temperature_k}) if one.name in there else one
        for one in system.places
    )
    return system.model_copy(update={"places": places})


def sharing(system: System, question: ShareQuestion, most: int) -> Sharing:
    """The system as points, with regulators to buy up to `most`.

    Raises `OutOfRange` where no keg with beer can be counted, or a wish contradicts another;
    `UnknownName` for a keg or regulator in a wish that is not there.
    """
    found, left_out = _points(system)
    regulators = _regulators(system, most)
    _check(question.keep, [one.keg for one in found], [one.name for one in regulators])
    if not found:
        raise OutOfRange(
            "no keg with beer can be counted: name a keg's beer and its volumes in the system file"
        )
    reach = _kept(_reach(system, found, regulators), question.keep)
    return Sharing(system, found, regulators, reach, left_out)


def _points(system: System) -> tuple[tuple[Point, ...], tuple[LeftOut, ...]]:
    found, left_out = list[Point](), list[LeftOut]()
    for keg in system.kegs:
        if keg.beer is None or beer_volume(keg) <= 0.0:
            continue
        try:
            found.append(_point(system, keg, keg.beer))
        except OutOfRange as beyond:
            left_out.append(LeftOut(keg.name, str(beyond)))
    return tuple(found), tuple(left_out)


def _point(system: System, keg: Keg, name: str) -> Point:
    beer, ambient = system.beer(name), ambient_pressure(system.altitude)
    shown_k = system.place(keg.place).temperature
    offset_pa, offset_k = gauge_offset(system, keg.name), thermometer_offset(system, keg.place)
    kelvin, nothing = shown_k + offset_k, ambient + offset_pa
    factor = own_factor(system, composition(beer))
    wanted, low = (
        float(solubility.equilibrium_pressure(max(level, 0.0), kelvin, factor)) - nothing
        for level in (beer.volumes, beer.volumes - beer.tolerance)
    )
    try:
        most = beer.volumes + beer.tolerance
        high = float(solubility.equilibrium_pressure(most, kelvin, factor)) - nothing
    except OutOfRange:
        high = solubility.HARD_PRESSURE_PA - nothing
    lines = [
        parts.line_material(piece.material).max_gauge_pa
        for tap in system.taps  # a free one too, whose line is often left on its last keg
        if tap.keg == keg.name
        for piece in tap.line
    ]
    return Point(
        keg=keg.name,
        beer=beer.name,
        place=keg.place,
        present=keg.regulator,
        temperature_k=shown_k,
        target_vol=beer.volumes,
        tolerance_vol=beer.tolerance,
        factor=factor,
        ambient_pa=ambient,
        highest_pa=min(keg_rating(keg), *lines) if lines else keg_rating(keg),
        gauge_pa=wanted,
        low_pa=low,
        high_pa=high,
        offset_pa=offset_pa,
        offset_k=offset_k,
    )


def _regulators(system: System, most: int) -> tuple[Regulator, ...]:
    """Those that are there, and new ones on the first one's cylinder up to `most` in all."""
    there = system.regulators
    cylinder = there[0].cylinder if there else next((one.name for one in system.cylinders), "")
    names = {one.name for one in there}
    free = (name for number in count(1) if (name := _new_name(number)) not in names)
    new = [
        Regulator.model_construct(name=next(free), cylinder=cylinder, to_buy=True)
        for _ in range(most - len(there))
    ]
    return (*there, *new)


def _new_name(number: int) -> str:
    return NEW if number == 1 else f"{NEW} {number}"


def _reach(
    system: System, points: Sequence[Point], regulators: Sequence[Regulator]
) -> dict[str, frozenset[str]]:
    """The kegs that may hang on each regulator, before any wish.

    A keg reaches a regulator if it, or another keg of its place, hangs on it now, if the
    cylinder stands in its place, or if the regulator feeds nothing yet. One that reaches none of
    those that are there may hang on all: its gas line is still to be run.
    """
    found = {
        one.name: frozenset(point.keg for point in points if _reaches(system, one, point.place))
        for one in regulators
    }
    there = {one.name for one in system.regulators}
    lost = {one.keg for one in points if not any(one.keg in found[name] for name in there)}
    return {name: kegs | lost for name, kegs in found.items()}


def _reaches(system: System, regulator: Regulator, place: str) -> bool:
    fed = {one.place for one in system.kegs if one.regulator == regulator.name}
    stands = {one.place for one in system.cylinders if one.name == regulator.cylinder}
    return not fed or place in fed | stands


def _check(keep: Sequence[Wish], kegs: Sequence[str], regulators: Sequence[str]) -> None:
    for wish in keep:
        if wish.keg not in kegs:
            raise parts.unknown("keg with beer", wish.keg, kegs)
        if wish.regulator not in regulators:
            raise parts.unknown("regulator", wish.regulator, regulators)
    for wish in keep:
        others = {one.regulator for one in keep if one.keg == wish.keg}
        if len(others) > 1:
            raise OutOfRange(
                f'keg "{wish.keg}" is to stay on {" and on ".join(sorted(others))}: name one'
            )


def _kept(
    reach: Mapping[str, frozenset[str]], keep: Iterable[Wish]
) -> Mapping[str, frozenset[str]]:
    """The same with each wish: its keg hangs there and nowhere else."""
    found = dict(reach)
    for wish in keep:
        found = {name: kegs - {wish.keg} for name, kegs in found.items()}
        found[wish.regulator] |= {wish.keg}
    return found
