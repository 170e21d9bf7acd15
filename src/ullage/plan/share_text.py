"""A sharing as it is typed: kegs that stay, beers by their levels; and a little system of those."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from ullage.errors import UnitError
from ullage.plan.share_answer import Wish
from ullage.system.cylinder import Cylinder
from ullage.system.model import Beer, Keg, Place, Regulator, System
from ullage.units import Kind, UnitSystem, format_quantity, parse, shown

MOST_BEERS: Final = 24
LONGEST_NAME: Final = 40
USUAL_TOLERANCE_VOL: Final = 0.2
USUAL_KEG: Final = "ball-lock-5gal"
EXAMPLE: Final = 'write them as "Pale 2.5; Stout 2.1; Wheat 3.0 @ 45 degF"'
WISH_EXAMPLE: Final = 'write a keg that stays as "K1=regulator"'
_LEVEL: Final = r"\d+(?:[.,]\d+)?\s*(?:vols?|volumes|g/L)?"
_BEER: Final = re.compile(
    rf"(?P<name>.*?)\s*(?P<level>{_LEVEL})\s*(?:(?:±|\+-|\+/-)\s*(?P<near>{_LEVEL}))?"
    r"\s*(?:@\s*(?P<warm>.+))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class WantedBeer:
    """A beer that is only asked about; `temperature_k` `None`: that of all."""

    name: str
    volumes: float
    tolerance: float
    temperature_k: float | None


def wishes_of(texts: Iterable[str]) -> tuple[Wish, ...]:
    """Read kegs that stay, one or several in each text, parted by commas or semicolons.

    Raises `UnitError`.

    >>> wishes_of(["K1=left, K2 = right"])
    (Wish(keg='K1', regulator='left'), Wish(keg='K2', regulator='right'))
    """
    parted = (one.strip() for text in texts for one in re.split(r"[;,\n]", text))
    return tuple(_wish(one) for one in parted if one)


def _wish(text: str) -> Wish:
    keg, sign, regulator = (part.strip() for part in text.partition("="))
    if not (keg and sign and regulator):
        raise UnitError(f"{shown(text)} does not say which keg stays where; {WISH_EXAMPLE}")
    return Wish(keg, regulator)


def beers_of(text: str) -> tuple[WantedBeer, ...]:
    """Read beers with their levels, parted by semicolons, new lines, or a comma and a space.

    Each is a name (or none), a level in volumes unless it says g/L, perhaps a tolerance after ±
    and a temperature after @. Raises `UnitError`.

    >>> [(one.name, one.volumes) for one in beers_of("Pale 2.5; 2.1 vol ± 0.1")]
    [('Pale', 2.5), ('beer 2', 2.1)]
    """
    parted = [one.strip() for one in re.split(r"[;\n]|,\s", text) if one.strip()]
    if not 1 <= len(parted) <= MOST_BEERS:
        raise UnitError(f"give 1 to {MOST_BEERS} beers; {EXAMPLE}")
    found = tuple(_beer(one, number) for number, one in enumerate(parted, start=1))
    names = [one.name for one in found]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise UnitError(f"two beers are called {shown(twice)}: give each a name of its own")
    return found


def _beer(text: str, number: int) -> WantedBeer:
    found = _BEER.fullmatch(text)
    if found is None:
        raise UnitError(f"{shown(text)} is not a beer with its level; {EXAMPLE}")
    name = found["name"].strip(" :=") or f"beer {number}"
    near, warm = found["near"], found["warm"]
    volumes = _level(found["level"])
    if not 0.0 < volumes <= 6.0 or len(name) > LONGEST_NAME:
        raise UnitError(f"{shown(text)} is not a level that a keg's beer has; {EXAMPLE}")
    tolerance = USUAL_TOLERANCE_VOL if near is None else _level(near)
    if not 0.01 <= tolerance <= 1.0:
        raise UnitError(f"{shown(text)}: a tolerance is 0.01 to 1 vol")
    return WantedBeer(
        name, volumes, tolerance, None if warm is None else parse(warm, Kind.TEMPERATURE)
    )


def _level(text: str) -> float:
    bare = text.strip()
    return parse(bare if bare[-1].isalpha() else f"{bare} vol", Kind.CARBONATION)


def system_of(
    beers: Sequence[WantedBeer],
    regulators: int,
    temperature_k: float,
    altitude_m: float,
    units: UnitSystem,
) -> System:
    """A little system: a keg for each beer, in a place for each temperature, and regulators."""
    warm = [temperature_k if one.temperature_k is None else one.temperature_k for one in beers]
    places = {kelvin: _place(kelvin, units) for kelvin in warm}
    gas = Cylinder(name="cylinder", size="5 lb", place=places[warm[0]])
    return System(
        name="what if",
        units=units,
        altitude=altitude_m,
        places=tuple(Place(name=name, temperature=kelvin) for kelvin, name in places.items()),
        cylinders=(gas,),
        regulators=tuple(
            Regulator(name=f"regulator {number}", cylinder=gas.name)
            for number in range(1, regulators + 1)
        ),
        beers=tuple(
            Beer(name=one.name, volumes=one.volumes, tolerance=one.tolerance) for one in beers
        ),
        kegs=tuple(
            Keg(name=f"K{number}", kind=USUAL_KEG, place=places[kelvin], beer=one.name)
            for number, (one, kelvin) in enumerate(zip(beers, warm, strict=True), start=1)
        ),
    )


def _place(kelvin: float, units: UnitSystem) -> str:
    return f"a place at {format_quantity(kelvin, Kind.TEMPERATURE, units)}"
