"""What can happen to cylinders, lines, fermenters, places; batches, gatherings, notes, undoing."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ullage.cellar.happening import (
    CylinderGauge,
    Day,
    Happening,
    Id,
    Level,
    Mass,
    Moment,
    Name,
    OfCylinder,
    OfLine,
    Seconds,
    Temperature,
    Text,
    Volume,
)

Gravity = Annotated[float, Field(ge=0.98, le=1.2)]
Share = Annotated[float, Field(ge=0.0, le=0.25)]
CO2Share = Annotated[float, Field(ge=0.01, le=1.0)]


class CylinderConnected(OfCylinder):
    """A cylinder of a catalogue size put to use; full unless its contents were weighed.

    `co2_share`: CO2 in its gas, in moles, the rest nitrogen; 1 is straight CO2.
    """

    kind: Literal["cylinder_connected"] = "cylinder_connected"
    size: Name
    contents_kg: Mass | None = None
    place: Name | None = None
    co2_share: CO2Share = 1.0


class CylinderWeighed(OfCylinder):
    """Its CO2 by weight: gross less the tare stamped on it, `tare_kg` where that was told."""

    kind: Literal["cylinder_weighed"] = "cylinder_weighed"
    contents_kg: Mass
    tare_kg: Mass | None = None


class CylinderRead(OfCylinder):
    """What its gauge showed, and how warm it was."""

    kind: Literal["cylinder_read"] = "cylinder_read"
    gauge_pressure_pa: CylinderGauge
    temperature_k: Temperature


class CylinderSwapped(OfCylinder):
    """Exchanged or refilled; full unless told.

    `co2_share`: CO2 in its gas, in moles, the rest nitrogen; `None`: as it was.
    `tare_kg` and `tested`: the empty weight and the last test date stamped on the one that is there
    now.
    """

    kind: Literal["cylinder_swapped"] = "cylinder_swapped"
    contents_kg: Mass | None = None
    tare_kg: Mass | None = None
    tested: Day | None = None
    co2_share: CO2Share | None = None


class LineCleaned(OfLine):
    """Beer line cleaned, with what."""

    kind: Literal["line_cleaned"] = "line_cleaned"
    cleaner: Text = ""


class LineReplaced(OfLine):
    """Beer line replaced."""

    kind: Literal["line_replaced"] = "line_replaced"


class LeakTested(OfCylinder):
    """Pressure on a part that is shut in, read again after a time."""

    kind: Literal["leak_tested"] = "leak_tested"
    part: Name
    start_gauge_pa: CylinderGauge
    end_gauge_pa: CylinderGauge
    duration_s: Seconds
    start_k: Temperature
    end_k: Temperature


class PlaceSet(Happening):
    """A place and how cold or warm it is kept from now on."""

    subject_kind = "place"
    subject_field = "place"

    kind: Literal["place_set"] = "place_set"
    place: Name
    temperature_k: Temperature


class HouseholdSet(Happening):
    """Where the cellar stands and how its keeper reads numbers. A later one replaces it."""

    subject_kind = "cellar"
    subject_field = "household"

    kind: Literal["household_set"] = "household_set"
    household: Name = "home"
    altitude_m: Annotated[float, Field(ge=-430.0, le=9000.0)] = 0.0
    units: Literal["us", "metric"] = "us"


class BatchDescribed(Happening):
    """A batch of beer: what it is and how it is wanted. A later one replaces an earlier one."""

    subject_kind = "batch"
    subject_field = "batch"

    kind: Literal["batch_described"] = "batch_described"
    batch: Name
    style: Text = ""
    target_vol: Level
    tolerance_vol: Annotated[float, Field(gt=0.0, le=1.0)] = 0.2
    serving_k: Temperature | None = None
    og: Gravity | None = None
    fg: Gravity | None = None
    abv: Share | None = None
    brewed: Day | None = None
    packaged: Day | None = None
    ready_by: Day | None = None


class UpkeepDone(Happening):
    """A task of upkeep done that no other event tells: which, and on what part."""

    subject_kind = "cellar"
    subject_field = "about"

    kind: Literal["upkeep_done"] = "upkeep_done"
    task: Name
    about: Name


class Noted(Happening):
    """A note about anything."""

    subject_kind = "cellar"
    subject_field = "about"

    kind: Literal["noted"] = "noted"
    about: Name
    text: Text


class Brewed(Happening):
    """A batch brewed into a fermenter, and how much: it is full until a keg is filled with it."""

    subject_kind = "fermenter"
    subject_field = "fermenter"

    kind: Literal["brewed"] = "brewed"
    fermenter: Name
    batch: Name
    volume_m3: Volume


class Gathering(Happening):
    """A party, or a season, in which more or less is drunk than usual, from `at` until `ends`.

    `beer_m3`: drunk in all while it lasts, instead of the usual; or `factor`: how many times the
    usual rate, 0 where nobody is there. Usually planned; once it is past it stays as it was told.
    """

    subject_kind = "cellar"
    subject_field = "about"

    kind: Literal["gathering"] = "gathering"
    about: Name
    ends: Moment
    guests: Annotated[int, Field(ge=1, le=10_000)] | None = None
    beer_m3: Annotated[float, Field(ge=0.0, le=5.0)] | None = None
    factor: Annotated[float, Field(ge=0.0, le=20.0)] | None = None

    @model_validator(mode="after")
    def _told(self) -> Self:
        if self.ends <= self.at:
            raise ValueError("it ends before it begins; give an end that is later")
        if (self.beer_m3 is None) == (self.factor is None):
            raise ValueError("give the beer in all, or the factor on the usual rate, one of them")
        return self


class Undone(Happening):
    """An earlier event taken back: it stays in the log and counts no more.

    `of` is the stream of the event that is undone, so that both are read together.
    """

    subject_kind = "cellar"
    subject_field = "of"

    kind: Literal["undone"] = "undone"
    event: Id
    of: Text

    @property
    def stream(self) -> str:
        """The stream of the event that is taken back."""
        return self.of
