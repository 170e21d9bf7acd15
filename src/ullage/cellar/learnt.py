"""Constants that are a household's own: which there are, and those that its keeper kept.

Each has a prior, the value and spread that anybody's has before anything is read. What is kept
replaces it in every answer, for all times: a constant has always been what it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from ullage.cellar.happening import Happening, Name
from ullage.cellar.offsets import GAUGE_OFFSET, THERMOMETER_OFFSET
from ullage.physics import constants
from ullage.physics.constants import Constant
from ullage.physics.fitted import BEER_FACTOR

ConstantName = Literal[
    "absorption",
    "shaking",
    "stone",
    "beer factor",
    "handling",
    "leak",
    "gauge",
    "thermometer",
    "chilling",
    "tare",
    "scale",
    "line",
]
Of = Literal["cellar", "cylinder", "place", "keg", "tap"]
Title = Annotated[str, Field(min_length=1, max_length=120)]
MOST: Final = 500
"""Constants that one household may keep."""
FARTHEST: Final = 6.0
"""No constant is believed to lie more than so many standard deviations from its prior."""


@dataclass(frozen=True, slots=True)
class Learnable:
    """A constant that readings can teach: its prior, whether it is positive, and of what it is.

    A positive one is spread by its logarithm.
    """

    name: ConstantName
    of: Of
    prior: Constant
    positive: bool

    @property
    def log_sd(self) -> float:
        """Standard deviation of the logarithm: √ln(1 + (sd/value)²)."""
        return math.sqrt(math.log1p((self.prior.sd / self.prior.value) ** 2))

    @property
    def least(self) -> float:
        """The lowest value that is believed."""
        return self.at(-FARTHEST)

    @property
    def most(self) -> float:
        """The highest value that is believed."""
        return self.at(FARTHEST)

    def at(self, z: float) -> float:
        """The value so many standard deviations from the prior's."""
        if self.positive:
            return self.prior.value * math.exp(self.log_sd * z)
        return self.prior.value + self.prior.sd * z

    def sd(self, value: float, z_sd: float) -> float:
        """Standard deviation in the constant's unit, at a value, of a spread of `z_sd`.

        Over its value that of a positive one is the standard deviation of its logarithm.
        """
        return value * self.log_sd * z_sd if self.positive else self.prior.sd * z_sd


LEARNABLE: Final[Mapping[str, Learnable]] = MappingProxyType(
    {
        one.name: one
        for one in (
            Learnable("absorption", "cellar", constants.CONVECTION, True),
            Learnable("shaking", "cellar", constants.SHAKEN_CONTACT, True),
            Learnable("stone", "cellar", constants.STONE_CONTACT, True),
            Learnable("beer factor", "cellar", BEER_FACTOR, True),
            Learnable("handling", "cellar", constants.GAS_HANDLING, True),
            Learnable("leak", "cylinder", constants.LEAK_RATE, True),
            Learnable("gauge", "cylinder", GAUGE_OFFSET, False),
            Learnable("scale", "cylinder", constants.CYLINDER_SCALE, False),
            Learnable("thermometer", "place", THERMOMETER_OFFSET, False),
            Learnable("chilling", "place", constants.HEAT_LOSS, True),
            Learnable("tare", "keg", constants.KEG_TARE, False),
            Learnable("line", "tap", constants.LINE_RESISTANCE, True),
        )
    }
)
"""Every constant that can be learnt, by its name."""


class KeptConstant(BaseModel):
    """One constant of this household: its value and standard deviation in SI units.

    `about`: the cylinder, place, keg or tap that it is of.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    constant: ConstantName
    about: Name | None = None
    value: float
    sd: Annotated[float, Field(gt=0.0)]

    @model_validator(mode="after")
    def _believable(self) -> Self:
        known = LEARNABLE[self.constant]
        if (known.of == "cellar") != (self.about is None):
            wants = "no name of a part" if known.of == "cellar" else f"the name of a {known.of}"
            raise ValueError(f"{self.constant} needs {wants} with it")
        if not known.least <= self.value <= known.most:
            raise ValueError(
                f"{self.constant} lies between {known.least:.3g} and {known.most:.3g} "
                f"{known.prior.unit}"
            )
        return self

    @property
    def title(self) -> str:
        """Its name, with that of its part: `absorption`, `gauge main`."""
        return titled(self.constant, self.about)


def titled(name: str, about: str | None) -> str:
    """A constant's name with that of its part.

    >>> titled("absorption", None), titled("gauge", "main")
    ('absorption', 'gauge main')
    """
    return name if about is None else f"{name} {about}"


@dataclass(frozen=True)
class Learnt:
    """What was kept; each constant of a part once."""

    kept: tuple[KeptConstant, ...] = ()

    def known(self, name: ConstantName, about: str | None = None) -> Constant | None:
        """The constant as kept, `None` where it was not."""
        one = self._by_name.get((name, about))
        if one is None:
            return None
        unit = LEARNABLE[name].prior.unit
        return Constant(one.value, one.sd, unit, "this household's own readings")

    def of_parts(self, name: ConstantName) -> Mapping[str, Constant]:
        """A constant of parts as kept, by the part's name."""
        found = {one.about: self.known(name, one.about) for one in self.kept}
        return {about: one for about, one in found.items() if about is not None and one is not None}

    @cached_property
    def _by_name(self) -> Mapping[tuple[str, str | None], KeptConstant]:
        return {(one.constant, one.about): one for one in self.kept}


NOTHING_LEARNT: Final = Learnt()


class KeptValue(BaseModel):
    """The value of a kept constant and its standard deviation, in SI units."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    value: float
    sd: Annotated[float, Field(gt=0.0)]


class ConstantsKept(Happening):
    """All constants of its own that a household goes by, by their names: `gauge main`.

    A later one replaces it whole. Nothing in it: back to those that anybody has.
    """

    subject_kind = "cellar"
    subject_field = "household"

    kind: Literal["constants_kept"] = "constants_kept"
    household: Name = "home"
    constants: Annotated[dict[Title, KeptValue], Field(max_length=MOST, default_factory=dict)]

    @model_validator(mode="after")
    def _believable(self) -> Self:
        assert self.kept is not None
        return self

    @property
    def kept(self) -> tuple[KeptConstant, ...]:
        """The constants. Raises `ValueError` for one that is none, or is not believed."""
        return tuple(_kept(title, one) for title, one in self.constants.items())


def _kept(title: str, one: KeptValue) -> KeptConstant:
    name, about = parted(title)
    try:
        return KeptConstant(constant=name, about=about, value=one.value, sd=one.sd)
    except ValidationError as wrong:
        said = wrong.errors(include_url=False)[0]["msg"].removeprefix("Value error, ")
        raise ValueError(said) from None


def parted(title: str) -> tuple[ConstantName, str | None]:
    """The constant and the part that a name is of. Raises `ValueError`.

    >>> parted("beer factor"), parted("gauge main")
    (('beer factor', None), ('gauge', 'main'))
    """
    for known in LEARNABLE.values():
        if title == known.name:
            return known.name, None
        if title.startswith(f"{known.name} "):
            return known.name, title.removeprefix(f"{known.name} ")
    raise ValueError(f"no constant is called {title!r}; there are: {', '.join(LEARNABLE)}")


def constants_kept(at: datetime, kept: Iterable[KeptConstant]) -> ConstantsKept:
    """The event that these constants, and no others, are kept."""
    constants = {one.title: KeptValue(value=one.value, sd=one.sd) for one in kept}
    return ConstantsKept(at=at, constants=constants)
