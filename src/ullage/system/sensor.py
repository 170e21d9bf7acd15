"""A sensor of the household: which thing it watches, in which unit it speaks, what it may write."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Final, Literal, Self, TypeAlias, get_args

from pydantic import AfterValidator, Field, StrictBool, model_validator

from ullage.errors import UnitError
from ullage.system.part import Part
from ullage.system.parts import unknown
from ullage.system.quantities import Name, refuse
from ullage.unit_text import terms
from ullage.units import LONGEST_TEXT, Kind, from_unit, kind_of, parse, shown

if TYPE_CHECKING:
    from ullage.system.model import System

Measures: TypeAlias = Literal["weight", "temperature", "pressure", "flow"]
ThingKind: TypeAlias = Literal["keg", "place", "cylinder", "tap"]

LONGEST: Final = 200
"""Letters of a topic, or of a way to a field."""
KINDS: Final[dict[Measures, Kind]] = {
    "weight": Kind.MASS,
    "temperature": Kind.TEMPERATURE,
    "pressure": Kind.PRESSURE,
    "flow": Kind.VOLUME,
}
THINGS: Final[dict[Measures, tuple[ThingKind, ...]]] = {
    "weight": ("keg", "cylinder"),
    "temperature": ("place", "keg"),
    "pressure": ("keg", "cylinder"),
    "flow": ("tap", "keg"),
}
"""What such a sensor can be of."""
USUAL_NOISE: Final[dict[Measures, float]] = {
    "weight": 0.02,
    "temperature": 0.2,
    "pressure": 1000.0,
    "flow": 0.0,
}
"""By how much, in SI, readings of a thing at rest differ; common practice, no source."""

Calibration = Annotated[float, Field(strict=True, ge=-1e9, le=1e9, allow_inf_nan=False)]
Scatter = Annotated[float, Field(strict=True, ge=0.0, le=1e6, allow_inf_nan=False)]


def _way(text: str) -> str:
    if not re.fullmatch(r"[^.\s]+(\.[^.\s]+)*", text) or len(text) > LONGEST:
        raise refuse(
            f"{shown(text)} is no way to a field; write names parted by dots: weight.gross"
        )
    return text


def _topic(text: str) -> str:
    if not text or not text.isprintable() or {"+", "#"} & {*text} or len(text) > LONGEST:
        raise refuse(f"{shown(text)} is not one topic; write it out, without + or #: cellar/k1")
    return text


def _of(text: str) -> str:
    kind, _, name = text.partition(":")
    if kind not in get_args(ThingKind) or not name:
        kinds = ", ".join(f"{one}:NAME" for one in get_args(ThingKind))
        raise refuse(f"{shown(text)} names no thing; write one of {kinds}")
    return text


Way = Annotated[str, AfterValidator(_way)]
Topic = Annotated[str, AfterValidator(_topic)]
Subject = Annotated[str, AfterValidator(_of)]
Problem: TypeAlias = tuple[tuple[str | int, ...], str]


class Sensor(Part):
    """A sensor. `of` names the thing (`keg:K1`), `unit` what its numbers are in.

    A bare number is taken times `scale`, plus `offset` (in `unit`); `noise`, in `unit` too, is by
    how much it scatters at rest, `None`: as is usual. `value`, `time`: where number and moment
    stand in a message that is JSON. `writes`: whether it may write facts into the log; `pours`:
    whether a weight that falls may be a pour.
    """

    name: Name
    of: Subject
    measures: Measures
    unit: Name
    scale: Calibration = 1.0
    offset: Calibration = 0.0
    noise: Scatter | None = None
    topic: Topic | None = None
    value: Way | None = None
    time: Way | None = None
    writes: StrictBool = False
    pours: StrictBool = True

    @model_validator(mode="after")
    def _sound(self) -> Self:
        if self.thing not in THINGS[self.measures]:
            kinds = " or ".join(f"{one}:NAME" for one in THINGS[self.measures])
            raise refuse(f"of: {shown(self.of)} has no {self.measures} to measure; write {kinds}")
        try:
            found = kind_of(self.unit)
        except UnitError as error:
            raise refuse(f"unit: {error}") from None
        if found is not self.kind:
            raise refuse(f"unit: {shown(self.unit)} is a unit of {found.value}; {self._advice}")
        if self.scale == 0.0:
            raise refuse("scale: 0 would make all numbers the same; leave it out, or say how much")
        if self.writes and (self.measures, self.thing) == ("pressure", "cylinder"):
            raise refuse(
                "writes: a cylinder's gauge tells nothing until it is nearly empty; "
                "weigh the cylinder instead"
            )
        return self

    @property
    def kind(self) -> Kind:
        """What its numbers measure."""
        return KINDS[self.measures]

    @property
    def thing(self) -> str:
        """What kind of thing it is of: `keg` of `keg:K1`."""
        return self.of.partition(":")[0]

    @property
    def thing_name(self) -> str:
        """Which one: `K1` of `keg:K1`."""
        return self.of.partition(":")[2]

    @property
    def noise_si(self) -> float:
        """By how much it scatters at rest, in SI."""
        if self.noise is None:
            return USUAL_NOISE[self.measures]
        return self.noise * (from_unit(1.0, self.unit) - from_unit(0.0, self.unit))

    def si_of_number(self, number: float) -> float:
        """A bare number of the sensor in SI, its scale and offset taken in."""
        return from_unit(number * self.scale + self.offset, self.unit)

    def si_of_text(self, text: str) -> float:
        """A text in SI: with a unit as it stands, else as a bare number. Raises `UnitError`."""
        found = terms(text) if len(text) <= LONGEST_TEXT else ()
        if len(found) == 1 and not found[0].unit:
            return self.si_of_number(found[0].number)
        return parse(text, self.kind)

    @property
    def _advice(self) -> str:
        return f'write one of {self.kind.value}, as in "{self.kind.examples[1]}"'


def sensor_problems(system: System) -> Iterator[Problem]:
    """What of the sensors leads nowhere, or would write the same beer down twice."""
    for index, one in enumerate(system.sensors):
        names = [part.name for part in getattr(system, f"{one.thing}s")]
        if one.thing_name not in names:
            yield ("sensor", index, "of"), str(unknown(one.thing, one.thing_name, names))
        elif _lacks_tare(one, system):
            yield (
                ("sensor", index, "writes"),
                f"the cylinder {shown(one.thing_name)} needs its tare, stamped on it (TW), "
                "before a weight can tell what is in it",
            )
    yield from _twice_poured(system)
    yield from _one_place_in_a_message(system)


def _lacks_tare(one: Sensor, system: System) -> bool:
    weighs = one.measures == "weight" and one.thing == "cylinder" and one.writes
    return weighs and system.cylinder(one.thing_name).tare is None


def _twice_poured(system: System) -> Iterator[Problem]:
    """A keg whose scale and whose flow meter would both write each glass down."""
    flows = {keg_of(one, system) for one in system.sensors if one.measures == "flow" and one.writes}
    for index, one in enumerate(system.sensors):
        weighs = one.measures == "weight" and one.writes and one.pours
        if weighs and one.thing == "keg" and one.thing_name in flows:
            yield (
                ("sensor", index, "pours"),
                f"the flow from {shown(one.thing_name)} is written down by another sensor: "
                "write pours = false here, or each glass would count twice",
            )


def keg_of(one: Sensor, system: System) -> str | None:
    """The keg that a sensor of a keg or a tap is of, by the system file."""
    if one.thing == "keg":
        return one.thing_name
    return next((tap.keg for tap in system.taps if tap.name == one.thing_name), None)


def _one_place_in_a_message(system: System) -> Iterator[Problem]:
    seen: dict[tuple[str, str | None], str] = {}
    for index, one in enumerate(system.sensors):
        if one.topic is None:
            continue
        first = seen.setdefault((one.topic, one.value), one.name)
        if first != one.name:
            yield (
                ("sensor", index, "topic"),
                f"{shown(first)} reads the same place of the same messages; "
                "say with value which field of a message is this one's",
            )
