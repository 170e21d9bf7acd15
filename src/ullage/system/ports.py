"""Ends that mate: posts, valves, threads, barbs and push-fits, and the small parts between them.

The data are `catalogue/joints.toml` and `catalogue/adapters.toml`, read once when first asked for.
An end is known by its name, such as `1/4 in flare nut`; it mates with one other, its opposite.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Final, Literal

from ullage.system.parts import catalogue_rows, unknown
from ullage.units import Kind, parse

Medium = Literal["gas", "beer", "any"]

BORE_TOLERANCE: Final = 0.05
"""A hose within this share of a barb's size goes on it: 8 mm on 5/16 in (0.8 %), and 5 mm on
3/16 in (5.0 %), under which name that line is sold where inches are not used; common practice, no
source.
"""

ALIKE_M: Final = 1e-3
"""Threads whose diameters differ by less than this look alike and start on each other; assumed."""

CYLINDER_PA: Final = 13.8e6
"""What a part on a cylinder's valve must stand, gauge: 2,000 psi; CO2 at 50 °C in a full cylinder
comes near it (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two ends that mate. `diameter_m` is over the thread; `seal` names what seals them."""

    title: str
    ends: tuple[str, str]
    diameter_m: float | None
    seal: str | None
    aliases: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Adapter:
    """A small part with two ends. `rank` orders by how dear it is; `max_gauge_pa` its rating."""

    name: str
    title: str
    ends: tuple[str, str]
    medium: Medium
    max_gauge_pa: float
    rank: int
    wear: str
    used: bool
    source: str


@dataclass(frozen=True, slots=True)
class Manifold:
    """One inlet and `ways` outlets with shut-offs and check valves, all ends alike."""

    name: str
    title: str
    end: str
    ways: int
    max_gauge_pa: float
    rank: int
    wear: str
    used: bool
    source: str


@dataclass(frozen=True, slots=True)
class Seal:
    """What seals a joint or holds a hose. `shared`: one lot does for all joints."""

    name: str
    title: str
    rank: int
    wear: str
    shared: bool
    source: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """A hose on a barb of another size, where practice allows it; `how` it is done."""

    hose: str
    barb: str
    rank: int
    how: str
    source: str


@dataclass(frozen=True, slots=True)
class Fixture:
    """The ends of a bigger part: faucet, shank, coupler (inlet gas, outlet beer), regulator."""

    part: str
    names: tuple[str, ...]
    inlet: str | None
    outlet: str | None
    source: str


@dataclass(frozen=True, slots=True)
class _Tube:
    material: str
    bore_m: float
    end: str


def opposite(end: str) -> str:
    """Return the end that mates with this one. Raises `UnknownName` with the ends there are."""
    return ends()[check_end(end)]


def check_end(end: str) -> str:
    """Return the name if the catalogue has an end called so. Raises `UnknownName`."""
    if end not in ends():
        raise unknown("end of a part", end, ends())
    return end


def joint_of(end: str) -> Joint:
    """Return the joint that this end makes. Raises `UnknownName`."""
    return _joints_by_end()[check_end(end)]


def look_alike(one: str, other: str) -> bool:
    """Whether the threads of two ends that do not mate start on each other all the same."""
    first, second = joint_of(one), joint_of(other)
    if first is second or first.diameter_m is None or second.diameter_m is None:
        return False
    outer_and_inner = (one in first.ends[:1]) != (other in second.ends[:1])
    return outer_and_inner and abs(first.diameter_m - second.diameter_m) < ALIKE_M


def valve_end(written: str) -> str | None:
    """Return the end of a cylinder valve by any of its names; `None` where it is not known.

    >>> valve_end("DIN 477-1 No. 6")
    'W21.8x1/14 valve'
    """
    plain = _plain(written)
    return next(
        (one.ends[0] for one in joints() if plain in {_plain(alias) for alias in one.aliases}), None
    )


def line_ends(material: str, bore_m: float) -> tuple[str, ...]:
    """Return what the end of a piece of line is: a tube for a push-fit, else a hose for a barb.

    Empty where neither is known for that bore. Stiff line of a known outside goes into push-fits.
    """
    tubes = tuple(
        tube.end
        for tube in _tubes()
        if tube.material == material and abs(bore_m / tube.bore_m - 1.0) <= BORE_TOLERANCE
    )
    if tubes or material == "stainless":
        return tubes
    return tuple(_hoses(bore_m))


def fixture(part: str, name: str) -> Fixture | None:
    """Return the ends of the bigger part of that name; `None` where they are not known."""
    return next((one for one in fixtures() if one.part == part and name in one.names), None)


def _plain(text: str) -> str:
    return "".join(text.casefold().replace("×", "x").replace("-", " ").split())


@cache
def joints() -> tuple[Joint, ...]:
    """Return all joints in the catalogue's order."""
    return tuple(
        Joint(
            title=row["title"],
            ends=_pair(row["ends"]),
            diameter_m=parse(row["diameter"], Kind.LENGTH) if "diameter" in row else None,
            seal=row.get("seal"),
            aliases=tuple(row.get("aliases", ())),
            source=row["source"],
        )
        for row in catalogue_rows("joints", "joint")
    )


@cache
def adapters() -> Mapping[str, Adapter]:
    """Return all small parts with two ends by name, in the catalogue's order."""
    rows = (
        Adapter(
            **{
                **_without(row, "max_gauge"),
                "ends": _pair(row["ends"]),
                "max_gauge_pa": parse(row["max_gauge"], Kind.PRESSURE),
            }
        )
        for row in catalogue_rows("adapters", "adapter")
    )
    return MappingProxyType({one.name: one for one in rows})


@cache
def manifolds() -> Mapping[str, Manifold]:
    """Return all manifolds for gas by name, the smallest first."""
    return _branching("manifold")


@cache
def tees() -> Mapping[str, Manifold]:
    """Return all tees for beer by name."""
    return _branching("tee")


@cache
def seals() -> Mapping[str, Seal]:
    """Return all seals and clamps by name."""
    return MappingProxyType(
        {row["name"]: Seal(**row) for row in catalogue_rows("adapters", "seal")}
    )


@cache
def stretches() -> tuple[Stretch, ...]:
    """Return the hoses that go on a barb of another size."""
    return tuple(Stretch(**row) for row in catalogue_rows("joints", "stretch"))


@cache
def fixtures() -> tuple[Fixture, ...]:
    """Return the ends of the bigger parts."""
    return tuple(
        Fixture(
            row["part"], tuple(row["names"]), row.get("inlet"), row.get("outlet"), row["source"]
        )
        for row in catalogue_rows("joints", "fixture")
    )


@cache
def _tubes() -> tuple[_Tube, ...]:
    return tuple(
        _Tube(row["material"], parse(row["bore"], Kind.LENGTH), row["end"])
        for row in catalogue_rows("joints", "tube")
    )


@cache
def ends() -> Mapping[str, str]:
    """Return all ends by name, each with the one that it mates with."""
    both = [one.ends for one in joints()]
    return MappingProxyType(dict(both) | {b: a for a, b in both})


@cache
def _joints_by_end() -> Mapping[str, Joint]:
    return MappingProxyType({end: one for one in joints() for end in one.ends})


@cache
def _hose_sizes() -> tuple[tuple[str, float], ...]:
    ends = (one.ends[1] for one in joints() if one.ends[1].endswith(" hose"))
    return tuple((end, parse(end.removesuffix(" hose"), Kind.LENGTH)) for end in ends)


def _branching(table: str) -> Mapping[str, Manifold]:
    rows = (
        Manifold(**_without(row, "max_gauge"), max_gauge_pa=parse(row["max_gauge"], Kind.PRESSURE))
        for row in catalogue_rows("adapters", table)
    )
    return MappingProxyType({one.name: one for one in sorted(rows, key=lambda one: one.ways)})


def _hoses(bore_m: float) -> Iterator[str]:
    end, size = min(_hose_sizes(), key=lambda one: abs(bore_m / one[1] - 1.0))
    if abs(bore_m / size - 1.0) <= BORE_TOLERANCE:
        yield end


def _pair(ends: list[str]) -> tuple[str, str]:
    first, second = ends
    return first, second


def _without(row: dict[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != key}
