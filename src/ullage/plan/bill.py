"""Counting: what of each part a system needs, what is at hand of it, what must be bought."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from ullage.plan.joints import Closed
from ullage.plan.needs import Fixed, Run, has_shank
from ullage.plan.parts_answer import PartKind, PartLine, TubingLine
from ullage.system import parts, ports
from ullage.system.model import System
from ullage.system.ports import Adapter
from ullage.units import Kind, format_quantity


@dataclass(slots=True)
class _Tally:
    """One part as it is counted."""

    needed: int = 0
    have: int = 0
    places: dict[str, None] = field(default_factory=dict)

    def add(self, where: str) -> None:
        """One more is needed there."""
        self.needed += 1
        self.places[where] = None


def own_adapters(system: System) -> tuple[Adapter, ...]:
    """The household's own parts as the catalogue would have them, dearest to give away first."""
    return tuple(
        Adapter(
            name=one.name,
            title=one.name,
            ends=(one.ends[0], one.ends[1]),
            medium=one.medium,
            max_gauge_pa=one.max_pressure,
            rank=1,
            wear="As you know it",
            used=True,
            source="Your system file",
        )
        for one in system.own_parts
    )


def at_hand(system: System) -> Counter[str]:
    """How many of each small part there are."""
    found: Counter[str] = Counter()
    for one in system.have:
        if one.length is None:
            found[one.part] += one.count
    for part in system.own_parts:
        found[part.name] += part.count
    return found


def small_parts(
    system: System, closed: Iterable[Closed], fixed: Iterable[Fixed]
) -> tuple[PartLine, ...]:
    """The small parts and seals of all joints, in the catalogue's order."""
    tallies: dict[str, _Tally] = defaultdict(_Tally)
    for one in fixed:
        tallies[one.part].add(one.where)
    for joint in closed:
        if joint.chain is not None:
            for part in (*joint.chain.parts, *joint.chain.seals):
                tallies[part].add(joint.need.where)
    known, hand = _catalogue(system), at_hand(system)
    found = []
    for name, about in known.items():
        if name in tallies:
            tally = tallies[name]
            needed = 1 if about.shared else tally.needed
            found.append(_line(name, about, needed, min(hand[name], needed), tally.places))
    return tuple(found)


def equipment(system: System) -> tuple[PartLine, ...]:
    """Cylinders, regulators, kegs, shanks and faucets: those that are there, those to buy."""
    tallies: dict[str, _Tally] = defaultdict(_Tally)
    about: dict[str, _About] = {}
    for name, title, where, missing, source in _pieces(system):
        about[name] = _About(title, "equipment", "", source)
        tallies[name].add(where)
        tallies[name].have += not missing
    return tuple(
        _line(name, about[name], tally.needed, tally.have, tally.places)
        for name, tally in tallies.items()
    )


def tubing(
    system: System, runs: Iterable[Run], lengths: Mapping[tuple[str, int], float]
) -> tuple[TubingLine, ...]:
    """Line by medium, material and bore. `lengths`: by tap's name and piece, where they change."""
    left = _lengths_at_hand(system)
    needed: dict[tuple[str, str, float], list[tuple[float, bool]]] = defaultdict(list)
    seen: Counter[str] = Counter()
    for run in runs:
        length, owned = run.length_m, run.owned
        if run.medium == "beer":
            advised = lengths.get((run.where, seen[run.where]))
            seen[run.where] += 1
            if advised is not None:
                length, owned = advised, owned and advised <= run.length_m
        needed[run.medium, run.material, run.bore_m].append((length, owned))
    return tuple(_tubing_line(system, key, cuts, left) for key, cuts in needed.items())


def _tubing_line(
    system: System,
    key: tuple[str, str, float],
    cuts: list[tuple[float, bool]],
    left: Counter[tuple[str, float]],
) -> TubingLine:
    medium, material, bore = key
    missing = sorted((length for length, owned in cuts if not owned), reverse=True)
    total, wanted = sum(length for length, _ in cuts), sum(missing)
    stored = min(left[_kind(material, bore)], wanted)
    left[_kind(material, bore)] -= stored  # type: ignore[assignment]
    wide = format_quantity(bore, Kind.LENGTH, system.units)
    title = f"{parts.line_material(material).title}, {medium} line, {wide} bore"
    to_buy = wanted - stored if wanted - stored > 1e-9 else 0.0
    return TubingLine(
        f"{material} {medium} line {wide}",
        title,
        material,
        bore,
        total,
        total - to_buy,
        to_buy,
        tuple(missing) if to_buy > 0.0 else (),
    )


def _kind(material: str, bore_m: float) -> tuple[str, float]:
    return material, round(bore_m, 5)


def _lengths_at_hand(system: System) -> Counter[tuple[str, float]]:
    found: Counter[tuple[str, float]] = Counter()
    for one in system.have:
        if one.length is not None and one.bore is not None:
            found[_kind(one.part, one.bore)] += one.length * one.count  # type: ignore[assignment]
    return found


@dataclass(frozen=True, slots=True)
class _About:
    title: str
    kind: PartKind
    wear: str
    source: str
    shared: bool = False


def _catalogue(system: System) -> Mapping[str, _About]:
    found: dict[str, _About] = {}
    for name, coupler in parts.disconnects().items():
        if ports.fixture("coupler", name) is not None:
            found[name] = _About(coupler.title, "small part", "Its seals each year", coupler.source)
    for group in (ports.manifolds(), ports.tees(), ports.adapters()):
        for name, one in group.items():
            found[name] = _About(one.title, "small part", one.wear, one.source)
    for one in own_adapters(system):
        found[one.name] = _About(one.title, "small part", one.wear, one.source)
    for name, seal in ports.seals().items():
        found[name] = _About(seal.title, "seal", seal.wear, seal.source, seal.shared)
    return found


def _line(name: str, about: _About, needed: int, have: int, places: Iterable[str]) -> PartLine:
    return PartLine(
        part=name,
        title=about.title,
        kind=about.kind,
        needed=needed,
        have=have,
        to_buy=needed - have,
        places=tuple(places),
        wear=about.wear,
        source=about.source,
    )


def _pieces(system: System) -> Iterator[tuple[str, str, str, bool, str]]:
    """Name, title, where, whether it is to be bought, source."""
    for cylinder in system.cylinders:
        size = parts.cylinder_size(cylinder.size)
        where = f'cylinder "{cylinder.name}"'
        yield f"cylinder {size.name}", size.title, where, cylinder.to_buy, size.source
    for one in system.regulators:
        gas = "Blended gas" if system.cylinder(one.cylinder).is_blend else "CO2"
        title = f"{gas} regulator with a relief valve"
        where = f'regulator "{one.name}"'
        yield "regulator", title, where, one.to_buy, "Your system file"
    for keg in system.kegs:
        kind = parts.keg_kind(keg.kind)
        yield f"keg {kind.name}", f"Keg: {kind.title}", f'keg "{keg.name}"', keg.to_buy, kind.source
    for tap in system.taps:
        where, faucet = f'tap "{tap.name}"', parts.faucet(tap.faucet)
        if has_shank(tap) and tap.shank is not None:
            shank = parts.shank(tap.shank)
            yield shank.name, shank.title, where, tap.to_buy, shank.source
        yield faucet.name, faucet.title, where, tap.to_buy, faucet.source
