"""The state of kegs and cylinders at a moment. Made by replay only; no one sets it by hand.

Numbers may be arrays of samples: the same replay then gives a band.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

import numpy as np

from ullage.cellar.misread import Misread
from ullage.physics import beer as beer_physics
from ullage.physics import blend, co2, water
from ullage.physics.beer import Composition
from ullage.physics.constants import (
    ALCOHOL_ON_SOLUBILITY,
    CO2_VOLUME_DENSITY,
    EXTRACT_ON_SOLUBILITY,
    GAS_CONSTANT,
    STANDARD_ATMOSPHERE,
)
from ullage.physics.fitted import BEER_FACTOR
from ullage.physics.numbers import Numbers
from ullage.system import parts

NO_BEER_M3 = 1e-5
"""Less beer than this (10 mL) counts as an empty keg."""
EMPTY_M3 = 5e-5
"""Beer (50 mL) that no glass is drawn from any more: to whoever asks, the keg is empty."""


@dataclass(frozen=True, slots=True)
class Own:
    """What a household's parts have of their own, by their names; what is not named is as usual.

    `gauge_pa`: what must be added to the pressure that the regulator on a cylinder shows,
    `thermometer_k` to the temperature that a place is told to have, `tare_kg` to a keg's empty
    weight; `scale_kg` is what a cylinder's weighing shows too much. `chilling` scales how quickly
    a place chills. `handling` is the gas lost over what kegs draw, `leak_kg_s` what a cylinder
    loses at all times.
    """

    gauge_pa: Mapping[str, float] = field(default_factory=dict)
    thermometer_k: Mapping[str, float] = field(default_factory=dict)
    chilling: Mapping[str, float] = field(default_factory=dict)
    tare_kg: Mapping[str, float] = field(default_factory=dict)
    scale_kg: Mapping[str, float] = field(default_factory=dict)
    handling: Numbers = 0.0
    leak_kg_s: Mapping[str, Numbers] = field(default_factory=dict)

    def kelvin(self, place: str, told_k: float) -> float:
        """How warm a place truly is."""
        return told_k + self.thermometer_k.get(place, 0.0)

    def lost_kg(self, cylinder: CylinderState, at: datetime) -> Numbers:
        """Gas that a cylinder lost since it was last known, besides what kegs drew."""
        seconds = max((at - cylinder.known_at).total_seconds(), 0.0)
        leak: Numbers = self.leak_kg_s.get(cylinder.name, 0.0)
        return self.handling * cylinder.drawn_kg + leak * seconds


NO_OFFSETS = Own()


@dataclass(frozen=True, slots=True)
class Assumed:
    """What replay assumes of nature and of this household; numbers, or samples of them.

    `absorption`, `shaking` and `stone` scale the usual rates. `misread`: only where it is samples.
    """

    beer_factor: Numbers = BEER_FACTOR.value
    alcohol_effect: Numbers = ALCOHOL_ON_SOLUBILITY.value
    extract_effect: Numbers = EXTRACT_ON_SOLUBILITY.value
    absorption: Numbers = 1.0
    shaking: Numbers = 1.0
    stone: Numbers = 1.0
    ambient_pa: float = STANDARD_ATMOSPHERE.value
    own: Own = NO_OFFSETS
    misread: Misread | None = None


@dataclass(frozen=True, slots=True)
class Supply:
    """Gas connected to a keg: its gauge pressure, the cylinder if known, and the contact.

    `gauge_pa` is what the regulator shows; it gives `offset_pa` more. `co2_share`: CO2 in the gas,
    the rest nitrogen.
    """

    gauge_pa: float
    cylinder: str | None
    contact: Literal["still", "stone"] = "still"
    offset_pa: float = 0.0
    co2_share: float = 1.0

    @property
    def true_pa(self) -> float:
        """The gauge pressure that it gives."""
        return self.gauge_pa + self.offset_pa


_GRAINS_PER_KG = 2.0**45


def counted(gas_kg: Numbers) -> Numbers:
    """Gas rounded to 3e-14 kg, so that what a cylinder gave adds up the same in any order."""
    if isinstance(gas_kg, float):
        return round(gas_kg * _GRAINS_PER_KG) / _GRAINS_PER_KG
    return np.rint(gas_kg * _GRAINS_PER_KG) / _GRAINS_PER_KG


@dataclass(frozen=True, slots=True)
class Ledger:
    """All that came into a keg and went out of it since it was filled: m³ of beer, kg of CO2.

    `gas_made_kg`: by yeast, in the keg. `corrected` is what weighings and readings added (or,
    negative, took away).
    """

    beer_filled_m3: Numbers = 0.0
    beer_poured_m3: Numbers = 0.0
    beer_corrected_m3: Numbers = 0.0
    gas_filled_kg: Numbers = 0.0
    gas_drawn_kg: Numbers = 0.0
    gas_made_kg: Numbers = 0.0
    gas_poured_kg: Numbers = 0.0
    gas_vented_kg: Numbers = 0.0
    gas_corrected_kg: Numbers = 0.0

    def beer_m3(self) -> Numbers:
        """The beer that must be there."""
        return self.beer_filled_m3 - self.beer_poured_m3 + self.beer_corrected_m3

    def gas_kg(self) -> Numbers:
        """The CO2 that must be there, dissolved and in the head."""
        came = self.gas_filled_kg + self.gas_drawn_kg + self.gas_made_kg + self.gas_corrected_kg
        return came - self.gas_poured_kg - self.gas_vented_kg


@dataclass(frozen=True, slots=True)
class KegState:
    """One keg at `at`. The head holds `head_co2_kg` of CO2 and `air_mol` moles of air.

    `air_share` is the share of air in an empty keg's gas, for its next filling. `layer_age` is
    that of the depleted layer of over-carbonated beer at rest, D t/depth². `to_ferment_vol` is what
    the yeast will yet make, in volumes of this beer; `spunding_pa` the gauge pressure above which
    a spunding valve lets off. `nitrogen_mol`: of a blend, in head and beer together. `fed_by`: the
    cylinder that gave it gas last. `tap_before`: the tap it was taken off for cleaning or filling;
    beer drawn from it since tells that it is on there again.
    """

    name: str
    keg_kind: str
    at: datetime
    place: str
    place_k: float
    temperature_k: Numbers
    batch: str | None = None
    beer: Composition | None = None
    filled_at: datetime | None = None
    beer_m3: Numbers = 0.0
    level_vol: Numbers = 0.0
    head_co2_kg: Numbers = 0.0
    air_mol: Numbers = 0.0
    air_share: float = 1.0
    supply: Supply | None = None
    spunding_pa: float | None = None
    to_ferment_vol: Numbers = 0.0
    layer_age: Numbers = 0.0
    tap: str | None = None
    cleaned_at: datetime | None = None
    fills_since_stripped: int = 0
    ledger: Ledger = field(default_factory=Ledger)
    nitrogen_mol: Numbers = 0.0
    fed_by: str | None = None
    tap_before: str | None = None

    @property
    def kind(self) -> parts.KegKind:
        """Its catalogue kind."""
        return parts.keg_kind(self.keg_kind)

    @property
    def holds_beer(self) -> bool:
        """Whether there is beer in it, in any sample."""
        if self.beer is None or isinstance(self.beer_m3, float):
            return self.beer is not None and bool(self.beer_m3 > NO_BEER_M3)
        return bool(np.any(np.greater(self.beer_m3, NO_BEER_M3)))

    @property
    def gives_a_glass(self) -> bool:
        """Whether a glass can still be drawn from it; of single numbers, not samples."""
        return self.beer is not None and float(self.beer_m3) > EMPTY_M3

    @property
    def head_m3(self) -> Numbers:
        """Volume of the gas above the beer."""
        return self.kind.capacity_m3 - self.beer_m3

    @property
    def depth_m(self) -> Numbers:
        """Height of the beer, at least a millimetre."""
        deep: Numbers = np.maximum(self.beer_m3 / self.kind.cross_section_m2, 1e-3)
        return deep

    def air_pa(self, temperature_k: Numbers) -> Numbers:
        """Pressure of the air in the head."""
        return self.air_mol * GAS_CONSTANT.value * temperature_k / self.head_m3

    @property
    def has_nitrogen(self) -> bool:
        """Whether a blend has brought it nitrogen, in any sample."""
        held = self.nitrogen_mol
        return (held != 0.0) if type(held) is float else bool(np.any(held))

    def nitrogen_pa(self, temperature_k: Numbers) -> Numbers:
        """Pressure of a blend's nitrogen in the head, in balance with what the beer holds of it."""
        held = blend.nitrogen_held(self.beer_m3, self.head_m3, temperature_k)
        return self.nitrogen_mol / held

    def inert_pa(self, temperature_k: Numbers) -> Numbers:
        """Pressure of all in the head that carbonates nothing: air, and a blend's nitrogen."""
        air = self.air_pa(temperature_k)
        return air + self.nitrogen_pa(temperature_k) if self.has_nitrogen else air

    def head_pa(self) -> Numbers:
        """Absolute pressure of the head: CO2, the beer's vapour and air."""
        gas = co2.pressure_of_mass(self.head_co2_kg, self.head_m3, self.temperature_k)
        vapour = water.vapour_pressure(self.temperature_k)
        return gas + vapour + self.inert_pa(self.temperature_k)

    def gas_kg(self) -> Numbers:
        """All CO2 in the keg, dissolved and gas."""
        return self.beer_m3 * self.level_vol * CO2_VOLUME_DENSITY.value + self.head_co2_kg

    def oxygen_fraction(self) -> Numbers:
        """Mole fraction of oxygen in the head, from the air left in it."""
        total = self.head_pa() * self.head_m3 / (GAS_CONSTANT.value * self.temperature_k)
        share: Numbers = 0.2095 * self.air_mol / np.maximum(total, 1e-12)
        return share

    def solubility(self, assumed: Assumed) -> Numbers:
        """The beer's solubility over water's."""
        return beer_physics.solubility_factor(
            self.beer or beer_physics.standard_beer(),
            assumed.beer_factor,
            assumed.alcohol_effect,
            assumed.extract_effect,
        )

    def as_told(self, assumed: Assumed) -> Numbers:
        """The same with what gauge and thermometer may be off by: of told pressure and warmth."""
        factor = self.solubility(assumed)
        if assumed.misread is None:
            return factor
        return factor * self.misread(assumed.misread, assumed.ambient_pa)

    def misread(self, by: Misread, ambient_pa: float) -> Numbers:
        """Times as much as told that its beer comes to hold, by what its instruments are off."""
        warmth = by.warmth(self.place, self.place_k)
        return (
            warmth if self.supply is None else warmth + by.gauge(self.supply.cylinder, ambient_pa)
        )


@dataclass(frozen=True, slots=True)
class CylinderState:
    """One cylinder: what it held when last known, and what the kegs took since.

    `lost_kg`: what went besides, where that was learnt; counted up to the moment it is asked for.
    `co2_share`: CO2 in its gas, the rest nitrogen; kg are of all of it.
    """

    name: str
    size: str
    known_kg: float
    known_at: datetime
    drawn_kg: Numbers = 0.0
    connected_at: datetime | None = None
    lost_kg: Numbers = 0.0
    co2_share: float = 1.0

    @property
    def contents_kg(self) -> Numbers:
        """What is left in it by replay; below zero shows that gas went that nobody wrote down."""
        return self.known_kg - self.drawn_kg - self.lost_kg


@dataclass(frozen=True, slots=True)
class BatchState:
    """A batch as described last."""

    name: str
    style: str
    target_vol: float
    tolerance_vol: float
    beer: Composition
    fg: float | None
    serving_k: float | None
    brewed: date | None
    packaged: date | None
    ready_by: date | None


@dataclass(frozen=True, slots=True)
class Residual:
    """A reading against replay: both in the unit that `quantity` ends with."""

    at: datetime
    keg: str
    quantity: str
    read: float
    replayed: float


@dataclass(frozen=True, slots=True)
class CellarState:
    """Everything at one moment. `warnings` say what of the log could not be taken as told."""

    at: datetime | None = None
    kegs: dict[str, KegState] = field(default_factory=dict)
    cylinders: dict[str, CylinderState] = field(default_factory=dict)
    batches: dict[str, BatchState] = field(default_factory=dict)
    places_k: dict[str, float] = field(default_factory=dict)
    lines_cleaned: dict[str, datetime] = field(default_factory=dict)
    lines_replaced: dict[str, datetime] = field(default_factory=dict)
    residuals: tuple[Residual, ...] = ()
    warnings: tuple[str, ...] = ()
