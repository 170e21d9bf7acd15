"""What is owned: places, cylinders, regulators, kegs, beers, taps. Frozen, SI inside.

Temperatures in K, lengths in m, volumes in m³, masses in kg, pressures in Pa gauge, durations in s,
flows in m³/s, carbonation in volumes of CO2. In the file the same fields are text with units.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, StrictBool, model_validator

from ullage.everyday_units import PSI
from ullage.system.links import check_links
from ullage.system.parts import unknown
from ullage.system.quantities import (
    AlcoholByVolume,
    Altitude,
    BeerTemperature,
    Bore,
    Carbonation,
    ChangesPerHour,
    CylinderSizeName,
    Day,
    DisconnectName,
    Duration,
    FaucetName,
    Flow,
    GaugePressure,
    Gravity,
    KegKindName,
    Length,
    LineMaterialName,
    Mass,
    Name,
    PlaceTemperature,
    Rating,
    Rise,
    RoomVolume,
    ShankName,
    Tolerance,
    Volume,
    refuse,
)

MOST_OF_A_KIND = 200


def _written(text: str) -> dict[str, Any]:
    """The default as a file would write it, for the JSON Schema."""
    return {"default": text}


class Part(BaseModel):
    """What every part of a system has in common: frozen, and no keys but the ones it knows."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_by_name=True, validate_by_alias=True
    )


class Place(Part):
    """Where things stand: a fridge, a keezer, a room. `temperature` in K."""

    name: Name
    temperature: PlaceTemperature


class Room(Part):
    """The room that leaking gas would fill. `volume` in m³, `air_changes` per hour."""

    name: Name
    volume: RoomVolume
    air_changes: ChangesPerHour = 0.3
    below_ground: StrictBool = False


class Cylinder(Part):
    """A CO2 cylinder. Weigh it (`gross_weight` and the `tare` stamped on it) or give `contents`.

    Masses in kg; neither given means full. `requalified`: the last test date stamped on it.
    """

    name: Name
    size: CylinderSizeName
    place: Name
    contents: Mass | None = None
    gross_weight: Mass | None = None
    tare: Mass | None = None
    valve: Name = "CGA 320"
    requalified: Day | None = None

    @model_validator(mode="after")
    def _weighed_or_told(self) -> Self:
        if self.gross_weight is None:
            return self
        if self.contents is not None:
            raise refuse("give contents or gross_weight, not both")
        if self.tare is None:
            raise refuse("gross_weight needs tare, the empty weight stamped on the cylinder (TW)")
        if self.gross_weight < self.tare:
            raise refuse("gross_weight is less than tare: a cylinder cannot hold less than nothing")
        return self

    @property
    def contents_kg(self) -> float | None:
        """The CO2 in it by what was told or weighed, in kg; `None` means full."""
        if self.gross_weight is None or self.tare is None:
            return self.contents
        return self.gross_weight - self.tare


class Regulator(Part):
    """A regulator on a cylinder. `pressure` is what it is set to now, in Pa gauge."""

    name: Name
    cylinder: Name
    pressure: GaugePressure | None = None
    max_pressure: Annotated[Rating, Field(json_schema_extra=_written("60 psi"))] = 60.0 * PSI
    valve: Name = "CGA 320"


class Beer(Part):
    """A beer and the carbonation it is wanted at, `volumes` within `tolerance` (volumes of CO2).

    Strength by `og` and `fg`, or by `abv` (share of 1), or neither: the standard beer of the
    trade's chart. `fermentation_temperature`: the highest since fermentation ended, in K; `None`:
    20 °C.
    """

    name: Name
    style: Name | None = None
    volumes: Carbonation
    tolerance: Annotated[Tolerance, Field(json_schema_extra=_written("0.2 vol"))] = 0.2
    og: Gravity | None = None
    fg: Gravity | None = None
    abv: AlcoholByVolume | None = None
    fermentation_temperature: BeerTemperature | None = None
    ready_by: Day | None = None

    @model_validator(mode="after")
    def _one_strength(self) -> Self:
        if (self.og is None) != (self.fg is None):
            raise refuse("give og and fg together, or neither")
        if self.og is not None and self.abv is not None:
            raise refuse("give og and fg, or abv, not both")
        if self.og is not None and self.fg is not None and self.fg > self.og:
            raise refuse(f"fg {self.fg:.3f} is above og {self.og:.3f}: have they changed places?")
        return self


class Keg(Part):
    """A keg where it stands. `volume` of beer in m³, `temperature` in K, `max_pressure` Pa gauge.

    `None`: the kind's usual fill; the CO2 left by fermentation; the place's temperature; the
    kind's rating.
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


class LinePiece(Part):
    """A piece of beer line, in m; `temperature` in K, `None`: that of the keg's place."""

    length: Length
    bore: Bore
    material: LineMaterialName = "vinyl"
    temperature: BeerTemperature | None = None


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
    kegs: tuple[Keg, ...] = Field(default=(), alias="keg", max_length=MOST_OF_A_KIND)
    taps: tuple[Tap, ...] = Field(default=(), alias="tap", max_length=MOST_OF_A_KIND)

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

    def keg(self, name: str) -> Keg:
        """Return the keg of that name. Raises `UnknownName`."""
        return _named(self.kegs, name, "keg")

    def tap(self, name: str) -> Tap:
        """Return the tap of that name. Raises `UnknownName`."""
        return _named(self.taps, name, "tap")

    def taps_of(self, keg: str) -> tuple[Tap, ...]:
        """Return the taps on the keg of that name, in the file's order."""
        return tuple(tap for tap in self.taps if tap.keg == keg)


Named = TypeVar("Named", Place, Cylinder, Regulator, Beer, Keg, Tap)


def _named(items: tuple[Named, ...], name: str, kind: str) -> Named:
    for item in items:
        if item.name == name:
            return item
    raise unknown(kind, name, [item.name for item in items])
