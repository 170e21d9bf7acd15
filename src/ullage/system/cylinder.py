"""A cylinder of gas: straight CO2, or a blend of CO2 and nitrogen. Frozen, SI inside."""

from __future__ import annotations

from typing import Annotated, Final, Self

from pydantic import Field, StrictBool, model_validator

from ullage.physics import blend, blend_cylinder
from ullage.physics.cylinder import water_capacity
from ullage.system.part import Part
from ullage.system.parts import cylinder_size
from ullage.system.quantities import Co2Share, CylinderSizeName, Day, Mass, Name, refuse

BLEND_VALVE: Final = "that of a blend"
"""What the outlet of a blend's cylinder is called where nobody told: it is not that of CO2."""
WEIGHED_OFF: Final = 1.05
"""So much over what it holds is what two weighings may be off; our choice."""


class Cylinder(Part):
    """A cylinder of gas. Weigh it (`gross_weight` and the `tare` stamped on it) or give `contents`.

    Masses in kg; neither given means full. `co2`: the share of CO2 in its gas, in moles of 1, the
    rest nitrogen; 1 is straight CO2. `valve`: by its standard, `None`: see `outlet_valve`.
    `requalified`: the last test date stamped on it.
    `used`: it came used, or nobody knows when it was last seen to; `to_buy`: planned, not there
    yet; so with all parts.
    """

    name: Name
    size: CylinderSizeName
    place: Name
    co2: Annotated[Co2Share, Field(json_schema_extra={"default": "100 %"})] = 1.0
    contents: Mass | None = None
    gross_weight: Mass | None = None
    tare: Mass | None = None
    valve: Name | None = None
    requalified: Day | None = None
    used: StrictBool = False
    to_buy: StrictBool = False

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
        """The gas in it by what was told or weighed, in kg; `None` means full."""
        if self.gross_weight is None or self.tare is None:
            return self.contents
        return self.gross_weight - self.tare

    @property
    def is_blend(self) -> bool:
        """Whether nitrogen is in its gas."""
        return self.co2 < 1.0

    @property
    def full_kg(self) -> float:
        """What it holds when full, in kg."""
        return full_kg(self.size, self.co2)

    @property
    def held_kg(self) -> float:
        """The gas in it in kg, full where nothing was told."""
        return self.full_kg if self.contents_kg is None else self.contents_kg

    def co2_of(self, gas_kg: float) -> float:
        """The CO2 (kg) in so much of its gas."""
        return gas_kg / blend.kg_per_co2(self.co2) if self.is_blend else gas_kg

    @property
    def outlet_valve(self) -> str:
        """Its valve by the standard's name: as told, else what such a size commonly has.

        A blend's has another than one of CO2, and which differs: `BLEND_VALVE`.
        """
        return self.valve or (BLEND_VALVE if self.is_blend else cylinder_size(self.size).valve)


def full_kg(size: str, co2_share: float = 1.0) -> float:
    """What a full cylinder of a size holds: its rated CO2, or a blend at its usual pressure.

    Raises `UnknownName`.
    """
    rated = cylinder_size(size).rated_kg
    return rated if co2_share >= 1.0 else blend_cylinder.full_mass(water_capacity(rated), co2_share)


def most_kg(size: str, co2_share: float = 1.0) -> float:
    """What no cylinder of a size holds more of, kg, some error of two weighings granted.

    Of CO2 that is what it is rated for; a blend may be filled higher than is usual. Raises
    `UnknownName`.
    """
    rated = cylinder_size(size).rated_kg
    if co2_share >= 1.0:
        return rated * WEIGHED_OFF
    volume, highest = water_capacity(rated), blend_cylinder.HIGHEST_FULL_PA
    return WEIGHED_OFF * blend_cylinder.full_mass(volume, co2_share, highest)
