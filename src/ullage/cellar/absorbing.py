"""A keg on gas that only absorbs, followed from event to event: what one number and samples share.

Most of a log is this: pours and turns of the regulator on a keg that stands in its fridge. Beer,
pressure and temperature are then single numbers, the beer's properties come from a table, and only
what the beer holds may be samples. A keg comes out of it the same to the last bit however its
events are parted, so nothing here may depend on where a run began.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TypeAlias

from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Poured
from ullage.cellar.keg_shape import KegShape
from ullage.cellar.state import NO_BEER_M3, KegState, Ledger, Supply, counted
from ullage.cellar.track import CHILL_SHARE, CHILLED_K
from ullage.physics.beer_table import BeerTable, Row
from ullage.physics.constants import CO2_MOLAR_MASS, CO2_VOLUME_DENSITY, GAS_CONSTANT
from ullage.physics.numbers import Numbers

_R, VOLUME_KG_M3 = GAS_CONSTANT.value, CO2_VOLUME_DENSITY.value
KG_K_J = CO2_MOLAR_MASS.value / _R
"""An ideal gas's mass for each joule of pressure times volume, times kelvin."""
SETTLED_K = 1e-6
"""A keg this near to its place has its place's temperature."""
WARMS_K = 2.0
"""Warmed by more than this most beer comes to hold too much; a reading puts a keg less below."""
DRIFT_VOL = 1e-9
"""Beer that holds this much more than it could is in balance but for rounding."""

_MOST_CUTS = 40
_LEFT = tuple(math.exp(-CHILL_SHARE * n) for n in range(_MOST_CUTS + 1))
"""Share of its way that a chilling keg has before it, after so many equal parts of time."""
_MEAN = tuple((_LEFT[n] - _LEFT[n + 1]) / CHILL_SHARE for n in range(_MOST_CUTS))
"""The same on the mean of each part."""

Piece: TypeAlias = tuple[float, float]
"""Seconds at one temperature (K)."""


@dataclass(slots=True)
class Absorbing(ABC):
    """The keg's numbers at hand; `keg` is what it was when they were taken."""

    keg: KegState
    shape: KegShape
    table: BeerTable
    cold: Row
    factor: Numbers
    speed: Numbers
    ambient_pa: float
    at: datetime
    level: Numbers
    kelvin: float
    place_k: float
    air_mol: float
    gauge_pa: float
    poured_m3: Numbers
    poured_kg: Numbers
    age: Numbers
    """That of the depleted layer of beer which holds too much; see `KegState`."""
    agitated: bool
    """Whether beer and gas meet otherwise than at rest."""
    offset_pa: float = 0.0
    """What the regulator gives more than `gauge_pa`, which it shows."""
    head_kg: Numbers | None = None
    """CO2 in a head that stands above the regulator; `None` where it stands at it."""
    beer_m3: float = 0.0
    pressure_pa: float = 0.0
    """The regulator's, absolute."""
    air_pa_k: float = 0.0
    """Pressure of the air in the head for each kelvin."""
    pace: Numbers = 0.0
    """Times the beer's rate and seconds: how much 1 / ∛gap grows by."""

    def __post_init__(self) -> None:
        """Take the pressure from the regulator."""
        self.pressure_pa = self.ambient_pa + self.gauge_pa + self.offset_pa

    @abstractmethod
    def pass_time(self, until: datetime) -> bool:
        """Bring it to a moment; `False`, and nothing changed, where it does more than absorb."""

    @abstractmethod
    def stand(self, head_kg: Numbers | None) -> None:
        """Have that much in the head, or what the regulator gives where it is not more."""

    def take(self, events: Sequence[Event], begin: int, cylinder: str | None) -> int:
        """Do what the events from `begin` on do, each at its moment; how many it could do."""
        name, taken = self.keg.name, 0
        for event in islice(events, begin, None):
            if type(event) is Poured:
                took = event.keg == name and self._pour(event)
            elif type(event) is GasOn:
                took = event.keg == name and self._turn(event, cylinder)
            else:
                break
            if not took:
                break
            taken += 1
        return taken

    def _pour(self, event: Poured) -> bool:
        """Beer leaves with its gas; the head is filled up behind it, or stands above still."""
        volume = event.volume_m3
        left = self.beer_m3 - volume
        if left <= NO_BEER_M3 or not self.pass_time(event.at):
            return False
        self.poured_kg = self.poured_kg + volume * self.level * VOLUME_KG_M3
        self.poured_m3 = self.poured_m3 + volume
        self.hold(left)
        if self.head_kg is not None:
            self.stand(self.head_kg)
        return True

    def _turn(self, event: GasOn, cylinder: str | None) -> bool:
        """The regulator at another pressure, at its moment."""
        supply = self.keg.supply
        assert supply is not None
        if event.contact != supply.contact or (event.cylinder or cylinder) != supply.cylinder:
            return False
        if not self.pass_time(event.at):
            return False
        gauge = min(event.gauge_pressure_pa, self.shape.rating_pa)
        head_kg = self.head_kg
        if head_kg is None and gauge < self.gauge_pa:
            head_kg = self.mass(self.row(), self.kelvin, self.pressure_pa)
        self.gauge_pa, self.pressure_pa = gauge, self.ambient_pa + gauge + self.offset_pa
        if head_kg is not None:
            self.stand(head_kg)
        return True

    def hold(self, beer_m3: float) -> None:
        """Hold another amount of beer, and what follows from it."""
        shape, self.beer_m3 = self.shape, beer_m3
        self.air_pa_k = self.air_mol * _R / (shape.capacity_m3 - beer_m3)
        self.pace = shape.area_m2 / beer_m3 / 3.0 * self.speed

    def row(self) -> Row:
        """The beer's properties now."""
        return self.cold if self.kelvin == self.place_k else self.table.at(self.kelvin)

    def pieces(self, seconds: float, away: float) -> tuple[Sequence[Piece], float]:
        """The time of a keg so far from its place in pieces, each at its mean, and that at the end.

        It is cut where it has gone through equal shares of what is left of its way, so that one
        looked at often is cut no more finely than one followed at once.
        """
        shape, place_k = self.shape, self.place_k
        tau = shape.bare_s + shape.per_m3_s * self.beer_m3
        left = math.exp(-seconds / tau)
        after, part = place_k + away * left, CHILL_SHARE * tau
        if seconds <= part or -CHILLED_K <= away <= CHILLED_K:
            return ((seconds, place_k + away * tau * (1.0 - left) / seconds),), after
        cuts = min(int(seconds / part), int(math.log(abs(away) / CHILLED_K) / CHILL_SHARE))
        if part * cuts >= seconds:
            cuts -= 1
        found = [(part, place_k + away * mean) for mean in _MEAN[:cuts]]
        rest = seconds - part * cuts
        found.append((rest, place_k + away * tau * (_LEFT[cuts] - left) / rest))
        return found, after

    def mass(self, row: Row, kelvin: float, pressure_pa: float) -> float:
        """CO2 (kg) in the head at an absolute pressure, its air and vapour left out."""
        room = self.shape.capacity_m3 - self.beer_m3
        partial = pressure_pa - self.air_pa_k * kelvin - row[3]
        if partial <= 0.0:
            return 0.0
        z = 0.5 + 0.5 * math.sqrt(1.0 + 4.0 * row[1] * partial)
        return partial * (room * KG_K_J / kelvin) / z

    def done(self) -> KegState:
        """The keg as it is now, its head filled and its gas accounted for."""
        keg, ledger, supply = self.keg, self.keg.ledger, self.keg.supply
        assert supply is not None
        if supply.gauge_pa != self.gauge_pa:
            supply = Supply(self.gauge_pa, supply.cylinder, supply.contact, self.offset_pa)
        head = self.head_kg
        if head is None:
            head = self.mass(self.row(), self.kelvin, self.pressure_pa)
        return KegState(
            keg.name,
            keg.keg_kind,
            self.at,
            keg.place,
            keg.place_k,
            self.kelvin,
            keg.batch,
            keg.beer,
            keg.filled_at,
            self.beer_m3,
            self.level,
            head,
            keg.air_mol,
            keg.air_share,
            supply,
            keg.spunding_pa,
            keg.to_ferment_vol,
            self.age,
            keg.tap if self.poured_m3 is ledger.beer_poured_m3 else keg.tap or keg.tap_before,
            keg.cleaned_at,
            keg.fills_since_stripped,
            self._account(ledger, head),
            0.0,
            keg.fed_by,
            keg.tap_before,
        )

    def _account(self, ledger: Ledger, head_kg: Numbers) -> Ledger:
        """The keg's ledger: what is there and went out but did not come otherwise was drawn."""
        gas = self.beer_m3 * self.level * VOLUME_KG_M3 + head_kg
        came = ledger.gas_filled_kg + ledger.gas_made_kg + ledger.gas_corrected_kg
        return Ledger(
            ledger.beer_filled_m3,
            self.poured_m3,
            ledger.beer_corrected_m3,
            ledger.gas_filled_kg,
            counted(gas + (self.poured_kg + ledger.gas_vented_kg) - came),
            ledger.gas_made_kg,
            self.poured_kg,
            ledger.gas_vented_kg,
            ledger.gas_corrected_kg,
        )
