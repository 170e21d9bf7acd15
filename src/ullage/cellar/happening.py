"""What every event of the log has in common: frozen, versioned, SI, each about one subject.

A fact and a planned step are the same type; only `planned` differs. Numbers are SI with the unit as
suffix of the name; gauge pressures count from the air's.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated, ClassVar, Literal
from uuid import uuid4

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

SubjectKind = Literal["keg", "cylinder", "line", "fermenter", "batch", "place", "cellar"]
LONGEST_TEXT = 2_000

EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)
LATEST = datetime(2200, 1, 1, tzinfo=UTC)
"""Moments and days of a log lie between: at the calendar's ends no zone's clock can tell them."""

Day = Annotated[date, Field(ge=EARLIEST.date(), lt=LATEST.date())]
Moment = Annotated[AwareDatetime, Field(ge=EARLIEST, lt=LATEST)]
Name = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]+$")]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
Text = Annotated[str, Field(max_length=LONGEST_TEXT)]
Source = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]+$")]
Volume = Annotated[float, Field(gt=0.0, le=0.2)]
Mass = Annotated[float, Field(ge=0.0, le=200.0)]
Gauge = Annotated[float, Field(ge=0.0, le=1.0e6)]
CylinderGauge = Annotated[float, Field(ge=0.0, le=2.0e7)]
Temperature = Annotated[float, Field(ge=250.0, le=330.0)]
Seconds = Annotated[float, Field(gt=0.0, le=3.2e7)]
Level = Annotated[float, Field(ge=0.0, le=6.0)]


def new_id() -> str:
    """A name for an event that no other has."""
    return uuid4().hex


class Happening(BaseModel):
    """When, of what, whether only planned, and a word beside it.

    `version` is that of the event's form, so that a form can change and old logs still read. `plan`
    names the plan that a step belongs to; `does` the planned step that this fact fulfils. `source`
    is the sensor that told it; a person did where there is none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    subject_kind: ClassVar[SubjectKind]
    subject_field: ClassVar[str]

    version: Literal[1] = 1
    id: Id = Field(default_factory=new_id)
    at: Moment
    planned: bool = False
    plan: Id | None = None
    does: Id | None = None
    source: Source | None = None
    remark: Text = ""

    @property
    def subject(self) -> str:
        """The name of the thing it happened to."""
        name: str = getattr(self, self.subject_field)
        return name

    @property
    def stream(self) -> str:
        """The stream it is kept in: `keg:K1`, `cylinder:main`."""
        return f"{self.subject_kind}:{self.subject}"


class OfKeg(Happening):
    """An event of a keg."""

    subject_kind = "keg"
    subject_field = "keg"
    keg: Name


class OfCylinder(Happening):
    """An event of a cylinder."""

    subject_kind = "cylinder"
    subject_field = "cylinder"
    cylinder: Name


class OfLine(Happening):
    """An event of the beer line of a tap."""

    subject_kind = "line"
    subject_field = "tap"
    tap: Name
