"""What a system has to join: every joint from the cylinder's valve to the glass, and its lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from ullage.plan.joints import Need
from ullage.system import ports
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, LinePiece, Regulator, System, Tap
from ullage.system.parts import keg_kind
from ullage.system.ports import Medium
from ullage.units import UnitSystem

GAS_BORE_M: Final[dict[UnitSystem, float]] = {"us": 0.0079375, "metric": 0.008}
"""5/16 in or 8 mm, the usual gas line (common practice, no source)."""
FOOT_M: Final[dict[UnitSystem, float]] = {"us": 0.3048, "metric": 0.3}
"""What is assumed is so many feet, or in metric units so many times 30 cm."""
NEAR, FAR = 4, 8
"""Feet of gas line to a keg in the cylinder's place, and in another: assumed."""
TRUNK: Final = 3
"""Feet of gas line from a regulator to its manifold: assumed."""
SHORT: Final = 1
"""Feet of gas line to a check valve or from one manifold to the next: assumed."""
PICNIC: Final = "faucet-picnic"
CHECK_VALVE: Final = "check-valve-5/16"
TEE: Final = "tee-1/4"
BARB: Final = "5/16 in barb"
USUAL_OUTLET: Final = "1/4 in flare"


@dataclass(frozen=True, slots=True)
class Run:
    """A length of line that must be there. `owned`: by the file, it is."""

    where: str
    medium: Medium
    material: str
    bore_m: float
    length_m: float
    owned: bool

    @property
    def ends(self) -> tuple[str, ...]:
        """What each of its ends can be."""
        return ports.line_ends(self.material, self.bore_m)


@dataclass(frozen=True, slots=True)
class Fixed:
    """A small part that no chain could find: a coupler, a manifold, a check valve, a tee."""

    where: str
    part: str


Item = Need | Run | Fixed


def items(system: System) -> tuple[Item, ...]:
    """All joints, lines and fixed small parts of a system, from the gas to the glass.

    Lengths of gas line that the file leaves out are assumed: 4 ft in one
    place, 8 ft into another.
    """
    return (
        *(each for one in system.regulators for each in _gas(system, one)),
        *(each for keg in system.kegs for each in _coupler(keg)),
        *(each for tap in system.taps for each in _beer(system, tap)),
    )


def valve_of(cylinder: Cylinder) -> str | None:
    """The end of a cylinder's valve; `None` where its name is not known.

    Where the file leaves it out, that which such a cylinder commonly has.
    """
    return ports.valve_end(cylinder.outlet_valve)


def inlet_of(regulator: Regulator, cylinder: Cylinder) -> str | None:
    """The regulator's inlet; `None` where its name is not known.

    Where the file leaves it out, that which fits what a cylinder of that size commonly has.
    """
    end = ports.valve_end(regulator.inlet_valve(cylinder))
    return None if end is None else ports.opposite(end)


def outlet_of(regulator: Regulator, cylinder: Cylinder) -> str:
    """The regulator's outlet: as told, else what is usual with its inlet."""
    if regulator.outlet is not None:
        return regulator.outlet
    known = ports.fixture("regulator", inlet_of(regulator, cylinder) or "")
    return USUAL_OUTLET if known is None or known.outlet is None else known.outlet


def kegs_on(system: System, regulator: str) -> list[Keg]:
    """The kegs that a regulator feeds, in the file's order."""
    return [keg for keg in system.kegs if keg.regulator == regulator]


def is_blends_own(cylinder: Cylinder) -> bool:
    """Whether its valve is one of blended gas that the catalogue does not know."""
    return cylinder.is_blend and valve_of(cylinder) is None


def _gas(system: System, regulator: Regulator) -> Iterator[Item]:
    """From the cylinder's valve to the posts of all kegs on one regulator."""
    cylinder = system.cylinder(regulator.cylinder)
    where = f'regulator "{regulator.name}"'
    valve, inlet = valve_of(cylinder), inlet_of(regulator, cylinder)
    ends = [() if end is None else (end,) for end in (valve, inlet)]
    if _is_first_on(system, regulator) and not is_blends_own(cylinder):
        what = f'cylinder "{cylinder.name}" to regulator'
        yield Need(where, what, ends[0], ends[1], "gas", ports.CYLINDER_PA)
    kegs = kegs_on(system, regulator.name)
    if not kegs:
        return
    start = outlet_of(regulator, cylinder)
    set_pa = regulator.pressure or 0.0
    if len(kegs) > 1:
        yield from _manifolds(system, regulator, len(kegs), start)
        start = BARB
    elif not regulator.check_valve:
        yield from _check_valve(system, regulator, start)
        start = BARB
    for keg in kegs:
        yield from _leg(system, keg, start, cylinder.place, set_pa)


def _is_first_on(system: System, regulator: Regulator) -> bool:
    """A cylinder has one valve: a second regulator shares the first one's body or inlet."""
    fed = [one.name for one in system.regulators if one.cylinder == regulator.cylinder]
    return fed[0] == regulator.name


def _manifolds(system: System, regulator: Regulator, outlets: int, start: str) -> Iterator[Item]:
    """The regulator to a manifold with enough outlets, or to several, one on another."""
    where, set_pa = f'regulator "{regulator.name}"', regulator.pressure or 0.0
    trunk = regulator.gas_line or usual_trunk(system)
    run = _run(where, trunk, "gas", regulator.gas_line is not None and not regulator.to_buy)
    yield run
    yield Need(where, "regulator to its gas line", (start,), run.ends, "gas", set_pa)
    sizes = _ways(outlets)
    for number, part in enumerate(sizes):
        yield Fixed(where, part)
        if number > 0:
            run = _run(where, _feet(system, SHORT), "gas", owned=False)
            yield run
            yield Need(where, "manifold to the next line", (BARB,), run.ends, "gas", set_pa)
        yield Need(where, "gas line to manifold", run.ends, (BARB,), "gas", set_pa)


def _ways(outlets: int) -> list[str]:
    """Manifolds that together give so many outlets, each but the last feeding the next."""
    sizes = list(ports.manifolds().values())
    largest, found = sizes[-1], []
    while outlets > largest.ways:
        found.append(largest.name)
        outlets -= largest.ways - 1
    return [*found, next(one.name for one in sizes if one.ways >= outlets)]


def _check_valve(system: System, regulator: Regulator, start: str) -> Iterator[Item]:
    where, set_pa = f'regulator "{regulator.name}"', regulator.pressure or 0.0
    run = _run(where, _feet(system, SHORT), "gas", owned=False)
    yield run
    yield Fixed(where, CHECK_VALVE)
    yield Need(where, "regulator to its gas line", (start,), run.ends, "gas", set_pa)
    yield Need(where, "gas line to check valve", run.ends, (BARB,), "gas", set_pa)


def _leg(system: System, keg: Keg, start: str, place: str, set_pa: float) -> Iterator[Item]:
    """The gas line of one keg, from where it branches off to the keg."""
    where = f'keg "{keg.name}"'
    piece = keg.gas_line or usual_leg(system, keg, place)
    run = _run(where, piece, "gas", keg.gas_line is not None and not keg.to_buy)
    yield run
    yield Need(where, "gas to its line", (start,), run.ends, "gas", set_pa)
    gas, _ = keg_ends(keg)
    yield Need(where, "gas line to keg", run.ends, (gas,), "gas", set_pa)


def usual_leg(system: System, keg: Keg, place: str) -> LinePiece:
    """The gas line of a keg whose cylinder stands in that place, where the file has none."""
    return _feet(system, NEAR if keg.place == place else FAR)


def usual_trunk(system: System) -> LinePiece:
    """The gas line from a regulator to its manifold, where the file has none."""
    return _feet(system, TRUNK)


def _feet(system: System, feet: int) -> LinePiece:
    return LinePiece(length=feet * FOOT_M[system.units], bore=GAS_BORE_M[system.units])


def keg_ends(keg: Keg) -> tuple[str, str]:
    """Where gas goes in and beer comes out: the posts, or the two sides of its coupler."""
    takes = keg_kind(keg.kind).connection
    coupler = ports.fixture("coupler", takes)
    if coupler is not None and coupler.inlet is not None and coupler.outlet is not None:
        return coupler.inlet, coupler.outlet
    return f"{takes} gas post", f"{takes} liquid post"


def _coupler(keg: Keg) -> Iterator[Item]:
    takes = keg_kind(keg.kind).connection
    if ports.fixture("coupler", takes) is not None:
        yield Fixed(f'keg "{keg.name}"', takes)


def _beer(system: System, tap: Tap) -> Iterator[Item]:
    """From the keg through every piece of line to the faucet."""
    where, keg = f'tap "{tap.name}"', system.keg(tap.keg)
    regulator = None if keg.regulator is None else system.regulator(keg.regulator)
    set_pa = 0.0 if regulator is None else regulator.pressure or 0.0
    start = keg_ends(keg)[1]
    if system.taps_of(keg.name)[0].name != tap.name:
        yield Fixed(where, TEE)
        start = f"{TEE.removeprefix('tee-')} in barb"
    runs = [_run(where, piece, "beer", not tap.to_buy) for piece in tap.line]
    yield from runs
    yield Need(where, "keg to line", (start,), runs[0].ends, "beer", set_pa)
    for one, other in pairwise(runs):
        yield Need(where, "line to line", one.ends, other.ends, "beer", set_pa)
    yield from _glass_end(tap, runs[-1], set_pa)


def _glass_end(tap: Tap, last: Run, set_pa: float) -> Iterator[Need]:
    where, faucet = f'tap "{tap.name}"', _end(ports.fixture("faucet", tap.faucet), "inlet")
    if not has_shank(tap):
        yield Need(where, "line to faucet", last.ends, faucet, "beer", set_pa)
        return
    shank = ports.fixture("shank", tap.shank or "")
    yield Need(where, "line to shank", last.ends, _end(shank, "inlet"), "beer", set_pa)
    yield Need(where, "shank to faucet", _end(shank, "outlet"), faucet, "beer", set_pa)


def has_shank(tap: Tap) -> bool:
    """Whether a shank belongs to it: a picnic faucet hangs on its line."""
    return tap.shank is not None and tap.faucet != PICNIC


def _end(known: ports.Fixture | None, side: str) -> tuple[str, ...]:
    end = None if known is None else getattr(known, side)
    return () if end is None else (end,)


def _run(where: str, piece: LinePiece, medium: Medium, owned: bool) -> Run:
    return Run(where, medium, piece.material, piece.bore, piece.length, owned)


def needs(found: Iterable[Item]) -> list[Need]:
    """Those items that are joints."""
    return [one for one in found if isinstance(one, Need)]


def runs(found: Iterable[Item]) -> list[Run]:
    """Those items that are lengths of line."""
    return [one for one in found if isinstance(one, Run)]


def fixed(found: Iterable[Item]) -> list[Fixed]:
    """Those items that are small parts which no chain finds."""
    return [one for one in found if isinstance(one, Fixed)]
