"""Do the names in a system lead anywhere? Run whenever a system is made, from a file or not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from pydantic_core import PydanticCustomError

from ullage.system.parts import disconnects, line_materials, unknown
from ullage.system.ports import adapters, manifolds, seals, tees
from ullage.system.sensor import sensor_problems
from ullage.units import shown

if TYPE_CHECKING:
    from ullage.system.model import Keg, System

Path = tuple[str | int, ...]
Problem = tuple[Path, str]

BEER_FREEZES_K: Final = 270.65
"""Beer of ordinary strength is ice below about −2.5 °C; nothing here is computed for ice."""

LINKS: Final = (
    ("cylinder", "place"),
    ("regulator", "cylinder"),
    ("keg", "place"),
    ("keg", "regulator"),
    ("keg", "beer"),
    ("tap", "keg"),
)
"""Which kind of part names a part of which other kind, under a key of that kind's name."""


def check_links(system: System) -> None:
    """Raise one error that holds every problem with its path, or return if there is none."""
    named = [
        *_doubles(system),
        *_loose_ends(system),
        *_small_parts(system),
        *sensor_problems(system),
    ]
    problems = named or list(_frozen_kegs(system))
    if problems:
        text = "; ".join(message for _, message in problems)
        raise PydanticCustomError("links", "{text}", {"text": text, "problems": problems})


def _names(system: System, kind: str) -> list[str]:
    return [item.name for item in getattr(system, f"{kind}s")]


def _doubles(system: System) -> Iterator[Problem]:
    for kind in (
        "place",
        "cylinder",
        "regulator",
        "beer",
        "fermenter",
        "keg",
        "tap",
        "own_part",
        "sensor",
    ):
        seen: set[str] = set()
        for index, name in enumerate(_names(system, kind)):
            if name in seen:
                yield (kind, index, "name"), f"{shown(name)} is the name of another {kind} already"
            seen.add(name)


def _loose_ends(system: System) -> Iterator[Problem]:
    for kind, key in LINKS:
        names = _names(system, key)
        for index, item in enumerate(getattr(system, f"{kind}s")):
            name = getattr(item, key)
            if name is not None and name not in names:
                yield (kind, index, key), str(unknown(key, name, names))


def _small_parts(system: System) -> Iterator[Problem]:
    """What is at hand but in no catalogue, or is line without its bore and length."""
    for index, one in enumerate(system.have):
        lined = one.part in line_materials()
        if (one.bore is None, one.length is None) != (not lined, not lined):
            what = "line needs its bore and length" if lined else "only line has a bore and length"
            yield ("have", index, "part"), f"{shown(one.part)}: {what}"
        elif not lined and one.part not in (known := _known_parts(system)):
            yield ("have", index, "part"), str(unknown("part", one.part, known))


def _known_parts(system: System) -> list[str]:
    couplers = [name for name in disconnects() if name.startswith("coupler-")]
    return [*couplers, *adapters(), *manifolds(), *tees(), *seals(), *_names(system, "own_part")]


def _frozen_kegs(system: System) -> Iterator[Problem]:
    for index, keg in enumerate(system.kegs):
        if _is_frozen(keg, system):
            yield (
                ("keg", index, "place"),
                f"{shown(keg.place)} is colder than -2.5 degC, where beer freezes: "
                "no keg of beer can stand there",
            )


def _is_frozen(keg: Keg, system: System) -> bool:
    cold = system.place(keg.place).temperature < BEER_FREEZES_K - 1e-6
    return cold and keg.beer is not None
