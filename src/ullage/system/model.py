"""What is owned: places, cylinders, regulators, kegs, beers, taps. Frozen, SI inside.

Temperatures in K, lengths in m, volumes in m³, masses in kg, pressures in Pa gauge, durations in s,
flows in m³/s, carbonation in volumes of CO2. In the file the same fields are text with units.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import Field, StrictBool, model_validator

from ullage.everyday_units import PSI
from ullage.system.cylinder import Cylinder
from ullage.system.inside import Inside
from ullage.system.links import check_links
from ullage.system.part import Part
from ullage.system.parts import cylinder_size, unknown
from ullage.system.quantities import (
    AlcoholByVolume,
    Altitude,
    BatchVolume,
    BeerTemperature,
    Bore,
    Carbonation,
    ChangesPerHour,
    ConditioningTime,
    Count,
    DisconnectName,
    Duration,
    EndName,
    FaucetName,
    FermentingTime,
    Flow,
    GaugePressure,
    Gravity,
    KegKindName,
    Length,
    LineMaterialName,
    Name,
    NearDay,
    PlaceTemperature,
    Rating,
    Rise,
    RoomVolume,
    ShankName,
    Tolerance,
    Volume,
    refuse,
)
from ullage.system.sensor import Sensor

MOST_OF_A_KIND = 200


def _written(text: str) -> dict[str, Any]:
    """The default as a file would write it, for the JSON Schema."""
    return {"default": text}


class Place(Part):
    """Where things stand: a fridge, a keezer, a room. `temperature` in K.

    `inside`: what a tape measures in it, to tell what fits.
    """

    name: Name
    temperature: PlaceTemperature
    inside: Inside | None = None


class Room(Part):
    """The room that leaking gas would fill. `volume` in m³, `air_changes` per hour."""

    name: Name
    volume: RoomVolume
    air_changes: ChangesPerHour = 0.3
    below_ground: StrictBool = False


class LinePiece(Part):
    """A piece of beer line, in m; `temperature` in K, `None`: that of the keg's place."""

    length: Length
    bore: Bore
    material: LineMaterialName = "vinyl"
    temperature: BeerTemperature | None = None


class Regulator(Part):
    """A regulator on a cylinder. `pressure` is what it is set to now, in Pa gauge.

    `valve`: its inlet by the standard of the cylinder valve it fits, `None`: see `inlet_valve`.
    `outlet`: its low-pressure end by the catalogue's name, `None`: what is usual with such an
    inlet. `check_valve`: whether that end has one. `gas_line`: from it to its manifold.
    """

    name: Name
    cylinder: Name
    pressure: GaugePressure | None = None
    max_pressure: Annotated[Rating, Field(json_schema_extra=_written("60 psi"))] = 60.0 * PSI
    valve: Name | None = None
    outlet: EndName | None = None
    check_valve: StrictBool = False
    gas_line: LinePiece | None = None
    used: StrictBool = False
    to_buy: StrictBool = False

    def inlet_valve(self, cylinder: Cylinder) -> str:
        """The valve its inlet fits: as told, else what a cylinder of that size commonly has.

        On a blend's the cylinder's own: nobody has a usual one for it.
        """
        usual = cylinder_size(cylinder.size).valve
        return self.valve or (cylinder.outlet_valve if cylinder.is_blend else usual)


class Beer(Part):
    """A beer and the carbonation it is wanted at, `volumes` within `tolerance` (volumes of CO2).

    Strength by `og` and `fg`, or by `abv` (share of 1), or neither: the standard beer of the
    trade's chart. `fermentation_temperature`: the highest since fermentation ended, in K; `None`:
    20 °C. `gravity`: what it reads now, while it still ferments down to `fg`. `ferments_in`,
    `conditions_in`: s in the fermenter, and kept cold in it after that (14 days: common practice,
    no source).
    """

    name: Name
    style: Name | None = None
    volumes: Carbonation
    tolerance: Annotated[Tolerance, Field(json_schema_extra=_written("0.2 vol"))] = 0.2
    og: Gravity | None = None
    fg: Gravity | None = None
    gravity: Gravity | None = None
    abv: AlcoholByVolume | None = None
    fermentation_temperature: BeerTemperature | None = None
    ready_by: NearDay | None = None
    ferments_in: Annotated[FermentingTime, Field(json_schema_extra=_written("14 days"))] = (
        14 * 86_400.0
    )
    conditions_in: Annotated[ConditioningTime, Field(json_schema_extra=_written("0 days"))] = 0.0

    @model_validator(mode="after")
    def _one_strength(self) -> Self:
        if (self.og is None) != (self.fg is None):
            raise refuse("give og and fg together, or neither")
        if self.og is not None and self.abv is not None:
            raise refuse("give og and fg, or abv, not both")
        if self.og is not None and self.fg is not None and self.fg > self.og:
            raise refuse(f"fg {self.fg:.3f} is above og {self.og:.3f}: have they changed places?")
        return self

    @model_validator(mode="after")
    def _between(self) -> Self:
        if self.gravity is None:
            return self
        if self.og is None or self.fg is None:
            raise refuse("gravity needs og and fg: what is left to ferment is counted down to fg")
        if not self.fg <= self.gravity <= self.og:
            raise refuse(
                f"gravity {self.gravity:.3f} is not between og {self.og:.3f} and fg {self.fg:.3f}"
            )
        return self


class Fermenter(Part):
    """A fermenter. `volume`: the finished beer that a batch in it gives, in m³."""

    name: Name
    volume: BatchVolume
    to_buy: StrictBool = False


class Keg(Part):
    """A keg where it stands. `volume` of beer in m³, `temperature` in K, `max_pressure` Pa gauge.

    `None`: the kind's usual fill; the CO2 left by fermentation; the place's temperature; the
    kind's rating. `stone`, `spunding_valve`: whether it has a carbonation stone, and such a valve.
    `gas_disconnect`: `None`, the one that fits. `gas_line`: from regulator or manifold to it.
    """

    name: Name
    kind: KegKindName
    place: Name
    regulator: Name | None = None
    beer: Name | None = None
    volume: Volume | None = None
    carbonation: Carbonation | None = None
    temperature: BeerTemperature | None = None
    max_pressure: Rating | None = None
    stone: StrictBool = False
    spunding_valve: StrictBool = False
    gas_disconnect: DisconnectName | None = None
    gas_line: LinePiece | None = None
    used: StrictBool = False
    to_buy: StrictBool = False


class Tap(Part):
    """A faucet and the way to it. `rise` is its height above the middle of the keg, in m.

    `disconnect` `None`: the one that the keg's kind takes. `tower_temperature` in K is that of
    shank and faucet, `None`: the place's. `pint_in`: the wanted time for a US pint, in s.
    `drinking`: what is drunk from it, in m³/s.
    """

    name: Name
    keg: Name
    line: tuple[LinePiece, ...] = Field(min_length=1, max_length=20)
    rise: Rise
    shank: ShankName | None = "shank-4in"
    faucet: FaucetName = "faucet-rear-seal"
    disconnect: DisconnectName | None = None
    tower_temperature: BeerTemperature | None = None
    pint_in: Annotated[Duration, Field(json_schema_extra=_written("10 s"))] = 10.0
    drinking: Flow | None = None
    used: StrictBool = False
    to_buy: StrictBool = False

    @property
    def hangs(self) -> bool:
        """Whether its line hangs on its keg: as a file says, until a log tells otherwise."""
        return True


class Have(Part):
    """Small parts at hand: `count` of a part, or a `length` (m) of line of a `bore` (m)."""

    part: Name
    count: Count = 1
    bore: Bore | None = None
    length: Length | None = None


class OwnPart(Part):
    """Small parts that the catalogue lacks: `count` of them, each with two `ends`; Pa gauge."""

    name: Name
    ends: tuple[EndName, ...] = Field(min_length=2, max_length=2)
    medium: Literal["gas", "beer", "any"] = "any"
    max_pressure: Annotated[Rating, Field(json_schema_extra=_written("60 psi"))] = 60.0 * PSI
    count: Count = 1


class System(Part):
    """All that one keeper owns. `altitude` in m above the sea."""

    format: Literal[1] = 1
    name: Name
    units: Literal["us", "metric"] = "us"
    altitude: Annotated[Altitude, Field(json_schema_extra=_written("0 ft"))] = 0.0
    room: Room | None = None
    places: tuple[Place, ...] = Field(default=(), alias="place", max_length=MOST_OF_A_KIND)
    cylinders: tuple[Cylinder, ...] = Field(default=(), alias="cylinder", max_length=MOST_OF_A_KIND)
    regulators: tuple[Regulator, ...] = Field(
        default=(), alias="regulator", max_length=MOST_OF_A_KIND
    )
    beers: tuple[Beer, ...] = Field(default=(), alias="beer", max_length=MOST_OF_A_KIND)
    fermenters: tuple[Fermenter, ...] = Field(
        default=(), alias="fermenter", max_length=MOST_OF_A_KIND
    )
    kegs: tuple[Keg, ...] = Field(default=(), alias="keg", max_length=MOST_OF_A_KIND)
    taps: tuple[Tap, ...] = Field(default=(), alias="tap", max_length=MOST_OF_A_KIND)
    have: tuple[Have, ...] = Field(default=(), max_length=MOST_OF_A_KIND)
    own_parts: tuple[OwnPart, ...] = Field(default=(), alias="own_part", max_length=MOST_OF_A_KIND)
    sensors: tuple[Sensor, ...] = Field(default=(), alias="sensor", max_length=MOST_OF_A_KIND)

    @model_validator(mode="after")
    def _linked(self) -> Self:
        check_links(self)
        return self

    def place(self, name: str) -> Place:
        """Return the place of that name. Raises `UnknownName` with the names there are."""
        return _named(self.places, name, "place")

    def cylinder(self, name: str) -> Cylinder:
        """Return the cylinder of that name. Raises `UnknownName`."""
        return _named(self.cylinders, name, "cylinder")

    def regulator(self, name: str) -> Regulator:
        """Return the regulator of that name. Raises `UnknownName`."""
        return _named(self.regulators, name, "regulator")

    def beer(self, name: str) -> Beer:
        """Return the beer of that name. Raises `UnknownName`."""
        return _named(self.beers, name, "beer")

    def fermenter(self, name: str) -> Fermenter:
        """Return the fermenter of that name. Raises `UnknownName`."""
        return _named(self.fermenters, name, "fermenter")

    def keg(self, name: str) -> Keg:
        """Return the keg of that name. Raises `UnknownName`."""
        return _named(self.kegs, name, "keg")

    def tap(self, name: str) -> Tap:
        """Return the tap of that name. Raises `UnknownName`."""
        return _named(self.taps, name, "tap")

    def taps_of(self, keg: str) -> tuple[Tap, ...]:
        """Return the taps on the keg of that name, in the file's order."""
        return tuple(tap for tap in self.taps if tap.keg == keg and tap.hangs)


Named = TypeVar("Named", Place, Cylinder, Regulator, Beer, Fermenter, Keg, Tap)


def _named(items: tuple[Named, ...], name: str, kind: str) -> Named:
    for item in items:
        if item.name == name:
            return item
    raise unknown(kind, name, [item.name for item in items])
