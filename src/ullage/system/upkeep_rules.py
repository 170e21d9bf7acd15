"""What is done to keep a system clean and sound: the catalogue's rules, as typed forms.

A rule says what is done to which part, how often (days, years, fills, litres poured), why, by what
source, and the steps of the hand. The data are `catalogue/upkeep.toml`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from ullage.system.part import Part
from ullage.system.parts import catalogue

Of = Literal["tap", "keg", "cylinder", "regulator", "place", "cellar"]
DoneBy = Literal["line_cleaned", "line_replaced", "keg_cleaned", "leak_tested"]
Days = Annotated[int, Field(ge=1, le=3650)]
Years = Annotated[int, Field(ge=1, le=20)]
Fills = Annotated[int, Field(ge=1, le=100)]
Litres = Annotated[float, Field(ge=0.1, le=10_000.0, allow_inf_nan=False)]
Words = Annotated[str, Field(min_length=1, max_length=600)]


Minutes = Annotated[int, Field(ge=1, le=1440)]


class Step(Part):
    """One thing that the hand does; `caution` names the text said beside it.

    `minutes`: so long it must last at least, from when the step before was done; `contact`: how
    long follows from the line's own flow. `solution`: with this step cleaner goes in, or is out.
    """

    do: Words
    caution: str = ""
    minutes: Minutes | None = None
    contact: bool = False
    solution: Literal["in", "out"] | None = None


class Rule(Part):
    """One task: done to every part `of` its kind, as often as the first interval reached says.

    `kegs`: fills since it was last done; `litres`: poured since. `upon`: due as well whenever such
    an event is newer. `done_by`: the event that tells it was done, with `stripped` or a `cleaner`
    that names this word; none: `upkeep_done`. `from_date`: counted from a date of the system file.
    `changed`: how often is this household's own, no longer its source's.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    title: Words
    of: Of
    days: Days | None = None
    years: Years | None = None
    kegs: Fills | None = None
    litres: Litres | None = None
    upon: Literal["cylinder_swapped"] | None = None
    done_by: DoneBy | None = None
    stripped: bool = False
    cleaner: str = ""
    from_date: Literal["requalified"] | None = None
    changed: bool = False
    why: Words
    source: Words
    steps: Annotated[tuple[Step, ...], Field(alias="step", min_length=1)]

    @model_validator(mode="after")
    def _some_interval(self) -> Self:
        if not (self.days or self.years or self.kegs or self.litres):
            raise ValueError(f"{self.name}: give days, years, kegs or litres")
        if (self.kegs or self.litres) and self.of not in ("keg", "tap"):
            raise ValueError(f"{self.name}: kegs and litres are counted for kegs and taps only")
        return self


class _File(Part):
    cautions: Annotated[dict[str, str], Field(alias="caution")]
    rules: Annotated[tuple[Rule, ...], Field(alias="rule")]

    @model_validator(mode="after")
    def _known_cautions(self) -> Self:
        for rule in self.rules:
            for step in rule.steps:
                if step.caution and step.caution not in self.cautions:
                    raise ValueError(f"{rule.name}: no caution is called {step.caution}")
        return self


FILE: Final = "upkeep"


def rules() -> tuple[Rule, ...]:
    """The catalogue's rules in its order.

    >>> rules()[0].name, rules()[0].days
    ('clean line', 14)
    """
    return _read().rules


def cautions() -> Mapping[str, str]:
    """The texts of the cautions by the name that a step gives."""
    return MappingProxyType(_read().cautions)


@cache
def _read() -> _File:
    return _File.model_validate(catalogue(FILE))
