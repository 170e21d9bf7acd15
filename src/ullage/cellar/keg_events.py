"""What can happen to a keg."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ullage.cellar.happening import Gauge, Level, Mass, Name, OfKeg, Seconds, Temperature, Volume
from ullage.physics.fermentation import Sugar


class KegAcquired(OfKeg):
    """A keg came into the cellar: its catalogue kind and where it stands.

    `used`: it came used, so nobody knows when it was last seen to; left out where it is not said.
    """

    kind: Literal["keg_acquired"] = "keg_acquired"
    keg_kind: Name
    place: Name
    used: bool | None = None


class KegCleaned(OfKeg):
    """Cleaned; `stripped`: taken apart with new seals or old."""

    kind: Literal["keg_cleaned"] = "keg_cleaned"
    stripped: bool = False


class KegSanitised(OfKeg):
    """Sanitised; `pushed`: filled with sanitiser and pushed empty with gas, so it holds no air.

    What pushed it counts as gone from the cylinder that fed the keg last, or from the only one.
    """

    kind: Literal["keg_sanitised"] = "keg_sanitised"
    pushed: bool = False


class Purged(OfKeg):
    """The headspace charged and vented `cycles` times at a gauge pressure."""

    kind: Literal["purged"] = "purged"
    cycles: Annotated[int, Field(ge=1, le=100)]
    gauge_pressure_pa: Gauge


class Filled(OfKeg):
    """Filled with beer: a volume or a net weight, its temperature, and how gassy it came.

    `start_vol`, or `fermentation_k` (warmest since fermentation ended) from which it follows.
    `gravity`: specific gravity where the beer still ferments; down to the batch's final one it
    makes gas. `fermenter`: the one it was drawn from, where it was brewed here.
    """

    kind: Literal["filled"] = "filled"
    batch: Name
    volume_m3: Volume | None = None
    net_kg: Annotated[float, Field(gt=0.0, le=200.0)] | None = None
    temperature_k: Temperature
    start_vol: Level | None = None
    fermentation_k: Temperature | None = None
    gravity: Annotated[float, Field(ge=0.98, le=1.16)] | None = None
    air_purged: bool = False
    fermenter: Name | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.volume_m3 is None) == (self.net_kg is None):
            raise ValueError("give the volume or the net weight of the beer, one of them")
        if self.start_vol is not None and self.fermentation_k is not None:
            raise ValueError("give the volumes at the start or the fermentation temperature")
        return self


class Primed(OfKeg):
    """Sugar added, for the yeast to make CO2 from in the keg."""

    kind: Literal["primed"] = "primed"
    sugar: Sugar
    sugar_kg: Annotated[float, Field(gt=0.0, le=5.0)]


class SpundingSet(OfKeg):
    """A spunding valve put on, that lets off all above a gauge pressure; at 0 it is taken off.

    It sits where the gas would: gas on, cleaning and filling end it, and it ends the gas.
    """

    kind: Literal["spunding_set"] = "spunding_set"
    gauge_pressure_pa: Gauge


class GasOn(OfKeg):
    """Gas connected at a gauge pressure, from a cylinder; through a stone or from above."""

    kind: Literal["gas_on"] = "gas_on"
    gauge_pressure_pa: Gauge
    cylinder: Name | None = None
    contact: Literal["still", "stone"] = "still"


class GasOff(OfKeg):
    """Gas shut or its disconnect taken off."""

    kind: Literal["gas_off"] = "gas_off"


class Vented(OfKeg):
    """Head pressure let down to a gauge pressure, usually none."""

    kind: Literal["vented"] = "vented"
    gauge_pressure_pa: Gauge = 0.0


class ToppedUp(OfKeg):
    """A charge by hand: gas on until the head is at a gauge pressure, and off again."""

    kind: Literal["topped_up"] = "topped_up"
    gauge_pressure_pa: Gauge
    cylinder: Name | None = None


class Shaken(OfKeg):
    """Rocked or rolled for a time, with the gas as it was."""

    kind: Literal["shaken"] = "shaken"
    duration_s: Seconds


class Moved(OfKeg):
    """Taken to another place."""

    kind: Literal["moved"] = "moved"
    place: Name


class Tapped(OfKeg):
    """Its beer line connected to a tap, where no other keg is then.

    Cleaning, sanitising and filling take it off again; beer that leaves it after that, by a pour, a
    timed pint or a weighing, tells that it is back on the same tap.
    """

    kind: Literal["tapped"] = "tapped"
    tap: Name


class Poured(OfKeg):
    """Beer drawn: a volume."""

    kind: Literal["poured"] = "poured"
    volume_m3: Volume


class KegWeighed(OfKeg):
    """Weighed as it stands, disconnects off.

    On gas, beer found gone was pushed out, and its cylinder counts as that much lighter.
    """

    kind: Literal["keg_weighed"] = "keg_weighed"
    gross_kg: Mass


class Measured(OfKeg):
    """A reading: temperature, head pressure, level by a shaken gauge, or a timed pint."""

    kind: Literal["measured"] = "measured"
    temperature_k: Temperature | None = None
    gauge_pressure_pa: Gauge | None = None
    level_vol: Level | None = None
    pint_s: Seconds | None = None

    @model_validator(mode="after")
    def _something(self) -> Self:
        readings = (self.temperature_k, self.gauge_pressure_pa, self.level_vol, self.pint_s)
        if all(reading is None for reading in readings):
            raise ValueError("give at least one reading")
        return self


class Kicked(OfKeg):
    """Empty: gas came instead of beer."""

    kind: Literal["kicked"] = "kicked"
