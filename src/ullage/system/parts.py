"""The catalogue of generic parts: kinds of kegs, cylinders, lines and fittings, by name.

The data are the files of `catalogue/`, read once when first asked for. Every entry has its source.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final, TypeVar

from ullage.errors import UnknownName
from ullage.physics import thermal
from ullage.units import Kind, parse, shown


@dataclass(frozen=True, slots=True)
class KegKind:
    """A kind of keg. `connection` is what fits it, `max_gauge_pa` what it is usually marked."""

    name: str
    title: str
    capacity_m3: float
    usual_fill_m3: float
    diameter_m: float
    height_m: float
    inside_diameter_m: float
    tare_kg: float
    max_gauge_pa: float
    connection: str
    dip_tube_bore_m: float
    dip_tube_length_m: float
    source: str

    @property
    def cross_section_m2(self) -> float:
        """Area of the beer's free surface."""
        return 0.25 * math.pi * self.inside_diameter_m**2

    def time_constant(self, beer_kg: float) -> float:
        """Seconds in which it comes nearer to the air around it by a factor e, with that beer."""
        area = thermal.cylinder_area(self.diameter_m, self.height_m)
        return float(thermal.time_constant(beer_kg, self.tare_kg, area))


@dataclass(frozen=True, slots=True)
class CylinderSize:
    """A CO2 cylinder by the mass it is rated for. `valve` names its outlet by the standard."""

    name: str
    title: str
    rated_kg: float
    tare_kg: float
    diameter_m: float
    height_m: float
    valve: str
    source: str


@dataclass(frozen=True, slots=True)
class LineMaterial:
    """What a line is made of: its roughness inside, and the pressure it commonly stands."""

    name: str
    title: str
    roughness_m: float
    max_gauge_pa: float
    source: str


@dataclass(frozen=True, slots=True)
class Fitting:
    """A disconnect, shank or faucet. `loss_coefficient`: K on its own bore beyond tube friction."""

    name: str
    title: str
    loss_coefficient: float
    bore_m: float
    length_m: float
    source: str


@dataclass(frozen=True, slots=True)
class Restriction:
    """The handbook's loss per metre of line, in Pa/m; it holds at 1 US gal/min and only there."""

    material: str
    bore_m: float
    pa_per_m: float
    source: str


BORE_TOLERANCE: Final = 0.02
"""A bore within this share of the handbook's counts as the same bore."""

_SUFFIXES: Final = {
    "_m": Kind.LENGTH,
    "_m3": Kind.VOLUME,
    "_kg": Kind.MASS,
    "_pa": Kind.PRESSURE,
}
Part = TypeVar("Part", KegKind, CylinderSize, LineMaterial, Fitting)


def keg_kind(name: str) -> KegKind:
    """Return the kind of keg of that name. Raises `UnknownName` with the names there are."""
    return _find(keg_kinds(), name, "kind of keg")


def keg_called(name: str) -> str:
    """A kind of keg as it is spoken of; a name that the catalogue lacks as it is.

    >>> keg_called("ball-lock-5gal"), keg_called("my own")
    ('ball lock, 5 US gal', 'my own')
    """
    kind = keg_kinds().get(name)
    return name if kind is None else kind.title[:1].lower() + kind.title[1:]


def cylinder_size(name: str) -> CylinderSize:
    """Return the cylinder of that size, such as `10 lb`. Raises `UnknownName`."""
    return _find(cylinder_sizes(), name, "size of cylinder")


def line_material(name: str) -> LineMaterial:
    """Return the line material of that name. Raises `UnknownName`."""
    return _find(line_materials(), name, "line material")


def disconnect(name: str) -> Fitting:
    """Return the disconnect or coupler of that name. Raises `UnknownName`."""
    return _find(disconnects(), name, "disconnect")


def shank(name: str) -> Fitting:
    """Return the shank of that name. Raises `UnknownName`."""
    return _find(shanks(), name, "shank")


def faucet(name: str) -> Fitting:
    """Return the faucet of that name. Raises `UnknownName`."""
    return _find(faucets(), name, "faucet")


def handbook_restriction(material: str, bore_m: float) -> Restriction | None:
    """Return what the handbook gives for a line of that material and bore (m), if it gives any."""
    for row in restrictions():
        if row.material == material and abs(bore_m / row.bore_m - 1.0) <= BORE_TOLERANCE:
            return row
    return None


@cache
def keg_kinds() -> Mapping[str, KegKind]:
    """Return all kinds of kegs by name, in the catalogue's order."""
    return _read("kegs", "keg", KegKind)


@cache
def cylinder_sizes() -> Mapping[str, CylinderSize]:
    """Return all sizes of cylinders by name, in the catalogue's order."""
    return _read("cylinders", "cylinder", CylinderSize)


@cache
def line_materials() -> Mapping[str, LineMaterial]:
    """Return all line materials by name, in the catalogue's order."""
    return _read("lines", "material", LineMaterial)


@cache
def disconnects() -> Mapping[str, Fitting]:
    """Return all disconnects and couplers by name, in the catalogue's order."""
    return _read("fittings", "disconnect", Fitting)


@cache
def shanks() -> Mapping[str, Fitting]:
    """Return all shanks by name, in the catalogue's order."""
    return _read("fittings", "shank", Fitting)


@cache
def faucets() -> Mapping[str, Fitting]:
    """Return all faucets by name, in the catalogue's order."""
    return _read("fittings", "faucet", Fitting)


@cache
def restrictions() -> tuple[Restriction, ...]:
    """Return the handbook's table of restrictions."""
    foot = parse("1 ft", Kind.LENGTH)
    return tuple(
        Restriction(
            material=row["material"],
            bore_m=parse(row["bore"], Kind.LENGTH),
            pa_per_m=parse(row["per_foot"], Kind.PRESSURE) / foot,
            source=row["source"],
        )
        for row in catalogue_rows("lines", "restriction")
    )


def unknown(what: str, name: str, known: Iterable[str]) -> UnknownName:
    """Return the error for a name that is not among those known: it offers the nearest and all."""
    names = list(known)
    near = get_close_matches(name, names, n=1) or get_close_matches(name.lower(), names, n=1)
    guess = f'; did you mean "{near[0]}"?' if near else ""
    listed = ", ".join(f'"{each}"' for each in names[:20]) + ("…" if len(names) > 20 else "")
    return UnknownName(f"no {what} is called {shown(name)}{guess} (there are: {listed or 'none'})")


def _find(parts: Mapping[str, Part], name: str, what: str) -> Part:
    try:
        return parts[name]
    except KeyError:
        raise unknown(what, name, parts) from None


@cache
def catalogue(file: str) -> dict[str, Any]:
    """The tables of a file of the catalogue, named without its ending. Read once: do not change."""
    path = files("ullage.system") / "catalogue" / f"{file}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def catalogue_rows(file: str, table: str) -> list[dict[str, Any]]:
    """The rows of one of its tables."""
    rows: list[dict[str, Any]] = catalogue(file)[table]
    return rows


def _read(file: str, table: str, make: Callable[..., Part]) -> Mapping[str, Part]:
    parts = [make(**_si(row, make)) for row in catalogue_rows(file, table)]
    return MappingProxyType({part.name: part for part in parts})


def _si(row: dict[str, Any], make: Any) -> dict[str, Any]:
    """The row with SI values, under the names of the fields: `bore` in inches is `bore_m`."""
    found: dict[str, Any] = {}
    for field in fields(make):
        stem, _, suffix = field.name.rpartition("_")
        kind = _SUFFIXES.get(f"_{suffix}") if stem else None
        found[field.name] = parse(row[stem], kind) if kind else row[field.name]
    return found
