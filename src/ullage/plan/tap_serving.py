"""The pressure a tap is meant to pour at: what keeps its beer, not what is on it in passing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ullage.errors import UllageError
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.answers import Caution
from ullage.plan.blend_served import STRAIGHT, as_straight
from ullage.plan.cases import composition
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.own import gauge_offset, own_factor, share_on, thermometer_offset
from ullage.plan.spoken import headed
from ullage.system.model import Beer, Keg, System, Tap
from ullage.units import Kind, UnitSystem, format_quantity

BURST_VOL: Final = 0.5
"""A pressure that would bring the beer this far past its level is on it in passing; our own
choice: beers that share a regulator are seldom as far from what each wants."""


@dataclass(frozen=True, slots=True)
class Serving:
    """What a tap's keg is set to now and what keeps its beer at its level, Pa gauge.

    `set_pa`: `None` where no regulator is on it. `over_vol`: by how many volumes what is set would
    bring the beer past its level in time, below zero where it falls short; `tolerance_vol`: by how
    many it may.
    """

    set_pa: float | None
    keeps_pa: float
    over_vol: float
    tolerance_vol: float

    @property
    def off(self) -> bool:
        """Whether what is set is not what keeps the beer."""
        return self.set_pa is not None and abs(self.over_vol) > self.tolerance_vol

    @property
    def bursting(self) -> bool:
        """Whether what is set is on the beer in passing."""
        return self.over_vol > max(BURST_VOL, self.tolerance_vol)


def serving(system: System, tap: Tap) -> Serving | None:
    """How a tap is meant to pour; `None` without a beer, or where no pressure keeps its level."""
    keg = system.keg(tap.keg)
    if keg.beer is None:
        return None
    beer = system.beer(keg.beer)
    try:
        keeps = keeping_gauge(system, keg, beer)
        if keeps <= 0.0:
            return None
        set_pa = None if keg.regulator is None else system.regulator(keg.regulator).pressure
        over = 0.0 if set_pa is None else _comes_to(system, keg, beer, set_pa) - beer.volumes
    except UllageError:
        return None
    return Serving(set_pa, keeps, over, beer.tolerance)


def _comes_to(system: System, keg: Keg, beer: Beer, gauge_pa: float) -> float:
    """The level (vol) that the beer comes to in its place at that gauge pressure."""
    warm = system.place(keg.place).temperature + thermometer_offset(system, keg.place)
    absolute = ambient_pressure(system.altitude) + gauge_pa + gauge_offset(system, keg.name)
    straight = float(as_straight(absolute, share_on(system, keg.name), warm))
    return solubility.equilibrium_volumes(straight, warm, own_factor(system, composition(beer)))


def not_yet(system: System, tap: Tap, units: UnitSystem) -> Caution | None:
    """That what is set just now is not what a tap's line is made for; `None` where it is.

    Nor is there anything to pour where its keg was taken off it.
    """
    if not tap.hangs:
        was = headed("keg", tap.keg)
        return Caution("note", f"{was} was taken off this tap, to be cleaned or filled.")
    found = serving(system, tap)
    if found is None or found.set_pa is None or not found.off:
        return None
    is_set, keeps = (
        format_quantity(each, Kind.PRESSURE, units) for each in (found.set_pa, found.keeps_pa)
    )
    if found.set_pa <= 0.0:
        return Caution("note", f"Its regulator is at 0: {keeps} keeps the beer at its level.")
    if found.bursting and share_on(system, tap.keg) < STRAIGHT:
        return Caution(
            "warning",
            f"Its regulator stands at {is_set}: on a blend that is no burst, as the nitrogen that "
            f"comes along stops the beer from carbonating. Carbonate with straight CO2, set the "
            f"blend to {keeps}, which keeps the beer at its level, and pour then.",
        )
    if found.bursting:
        return Caution(
            "warning",
            f"Its regulator stands at {is_set}: do not pour while it is burst. Pour after it "
            f"stands at {keeps}, which keeps the beer at its level; a line is made for that.",
        )
    way = "more gas into the beer than it is wanted at" if found.over_vol > 0.0 else "it go flat"
    verb = "brings" if found.over_vol > 0.0 else "lets"
    return Caution(
        "note",
        f"Its regulator stands at {is_set}, which in time {verb} {way}; {keeps} keeps it at its "
        f"level, and the line is made for that. Ask for {is_set} to see how it pours so.",
    )
