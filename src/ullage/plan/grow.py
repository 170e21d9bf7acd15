"""From the present system to more taps: what to add, what must change."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.plan import cautions
from ullage.plan.answers import Caution, Finding
from ullage.plan.cylinder_fits import enough_for, kegs_a_filling
from ullage.plan.grow_tap import new_name, with_one_more
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.parts_answer import PartsList
from ullage.plan.parts_list import parts_list
from ullage.plan.sharing import shared_pressures
from ullage.plan.spoken import listed, part
from ullage.system import parts
from ullage.system.model import Regulator, System
from ullage.units import Kind, format_quantity

MOST_TAPS: Final = 24


@dataclass(frozen=True, slots=True)
class PartChange:
    """How many of a part the system needs before and after; more is to be bought or found."""

    part: str
    title: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class TubingChange:
    """How much line of a kind it needs before and after."""

    part: str
    title: str
    before_m: float
    after_m: float


@dataclass(frozen=True, slots=True)
class Growth:
    """The way to more taps: what is added or no longer needed, what must change and why."""

    system: str
    units: Literal["us", "metric"]
    taps_before: int
    taps_after: int
    parts: tuple[PartChange, ...]
    tubing: tuple[TubingChange, ...]
    changes: tuple[Finding, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]


def grow(system: System, taps: int, volumes: float | None = None) -> Growth:
    """Answer for `taps` in all. `volumes`: the carbonation of the beers to come, default: that of
    the first beer. Raises `OutOfRange` for fewer taps than there are, or none more."""
    bigger = grown(system, taps, volumes)
    before, after = parts_list(system), parts_list(bigger)
    return Growth(
        system=system.name,
        units=system.units,
        taps_before=len(system.taps),
        taps_after=taps,
        parts=_parts(before, after),
        tubing=_tubing(before, after),
        changes=_changes(system, bigger, after),
        assumed=_assumed(system, bigger),
        cautions=(cautions.COILS, cautions.PRESSURE, cautions.CYLINDER),
    )


def grown(system: System, taps: int, volumes: float | None = None) -> System:
    """The system with so many taps, each new one on a keg that hung on none, or with a new one.

    Beers that no one pressure keeps get regulators of their own; a cylinder too small for two
    fillings of every keg becomes a bigger one. What is new is marked `to_buy`.
    """
    if not len(system.taps) < taps <= MOST_TAPS:
        raise OutOfRange(
            f"{taps} taps in all: give more than the {len(system.taps)} there are, and at most "
            f"{MOST_TAPS}"
        )
    if not system.kegs or not system.regulators:
        raise OutOfRange("there is no keg on gas to grow from: describe the first one in the file")
    bigger = system
    for number in range(len(system.taps) + 1, taps + 1):
        bigger = with_one_more(bigger, number, volumes)
    return _with_room_for_gas(_with_own_regulators(bigger))


def _with_own_regulators(system: System) -> System:
    """Give the kegs that no shared pressure keeps regulators of their own, on the same cylinder."""
    regulators, moved = list[Regulator](), dict[str, str]()
    pressures: dict[str, float] = {}
    for one in system.regulators:
        groups = shared_pressures(system, one.name)
        regulators.append(one)
        for number, group in enumerate(groups[1:], start=2):
            name = new_name(
                [each.name for each in (*system.regulators, *regulators)], f"{one.name} {number}"
            )
            extra = one.model_copy(
                update={"name": name, "pressure": group.gauge_pa, "to_buy": True, "gas_line": None}
            )
            regulators.append(extra)
            moved |= dict.fromkeys(group.kegs, name)
        if len(groups) > 1:
            pressures[one.name] = groups[0].gauge_pa
    kegs = [
        keg.model_copy(update={"regulator": moved.get(keg.name, keg.regulator)})
        for keg in system.kegs
    ]
    turned = [
        one.model_copy(update={"pressure": pressures.get(one.name, one.pressure)})
        for one in regulators
    ]
    return system.model_copy(update={"kegs": tuple(kegs), "regulators": tuple(turned)})


def _with_room_for_gas(system: System) -> System:
    cylinders = []
    for one in system.cylinders:
        size = enough_for(system, one)
        same = size is None or size == one.size
        changed = {"size": size, "to_buy": True, "contents": None, "gross_weight": None}
        cylinders.append(one if same else one.model_copy(update=changed))
    return system.model_copy(update={"cylinders": tuple(cylinders)})


def _parts(before: PartsList, after: PartsList) -> tuple[PartChange, ...]:
    was = {one.part: one for one in before.parts}
    now = {one.part: one for one in after.parts}
    found = []
    for name, one in (was | now).items():
        counts = [lines[name].needed if name in lines else 0 for lines in (was, now)]
        if counts[0] != counts[1]:
            found.append(PartChange(name, one.title, *counts))
    return tuple(found)


def _tubing(before: PartsList, after: PartsList) -> tuple[TubingChange, ...]:
    was = {one.part: one for one in before.tubing}
    now = {one.part: one for one in after.tubing}
    found = []
    for name, one in (was | now).items():
        lengths = [lines[name].needed_m if name in lines else 0.0 for lines in (was, now)]
        if abs(lengths[0] - lengths[1]) > 1e-6:
            found.append(TubingChange(name, one.title, *lengths))
    return tuple(found)


def _changes(system: System, bigger: System, after: PartsList) -> tuple[Finding, ...]:
    return (
        *_regulator_changes(system, bigger),
        *_cylinder_changes(system, bigger),
        *after.mismatches,
    )


def _regulator_changes(system: System, bigger: System) -> list[Finding]:
    found = []
    known = {one.name for one in system.regulators}
    for one in bigger.regulators:
        if one.name in known:
            continue
        kegs = [keg for keg in bigger.kegs if keg.regulator == one.name]
        gauge = format_quantity(one.pressure or 0.0, Kind.PRESSURE, system.units)
        beers = ", ".join(str(keg.beer) for keg in kegs)
        found.append(
            Finding(
                "warning",
                f'regulator "{one.name}"',
                f"{beers}: no one pressure keeps it and the others on the same regulator within "
                "their tolerance.",
                f"Give it a regulator of its own, a second body beside the first or one behind it; "
                f"set that to {gauge}.",
            )
        )
    return found


def _cylinder_changes(system: System, bigger: System) -> list[Finding]:
    found = []
    for old, new in zip(system.cylinders, bigger.cylinders, strict=True):
        before, after = kegs_a_filling(system, old), kegs_a_filling(bigger, new)
        if old.size != new.size:
            what = f"A {old.size} filling would not do for two kegs on each tap."
            remedy = f"Get a {new.size} one: about {after:.0f} kegs a filling."
            found.append(Finding("note", f'cylinder "{old.name}"', what, remedy))
        elif after is not None and before is not None:
            what = f"One filling lasts about {after:.0f} kegs, now shared by more taps."
            remedy = "It is big enough; have it filled as often as the taps empty kegs."
            found.append(Finding("note", f'cylinder "{old.name}"', what, remedy))
    return found


def _assumed(system: System, bigger: System) -> tuple[str, ...]:
    known = {one.name for one in system.kegs}
    hangs = [bigger.keg(tap.keg) for tap in bigger.taps[len(system.taps) :]]
    new = [keg for keg in hangs if keg.name not in known]
    spare = [part("keg", keg.name) for keg in hangs if keg.name in known]
    said = (
        "shank, faucet and line like those of the first tap.",
        "Whether the kegs stand in the fridge is another question: look at its fit.",
    )
    them = "a new tap is for it" if len(spare) == 1 else "new taps are for them"
    whose = listed(spare)
    first = (f"{whose[:1].upper()}{whose[1:]} had no tap yet: {them}.",) if spare else ()
    if not new:
        return (*first, f"Each new tap has {said[0]}", said[1])
    keg, beer = new[0], bigger.beer(new[0].beer or "")
    try:
        gauge = format_quantity(keeping_gauge(bigger, keg, beer), Kind.PRESSURE, system.units)
        kept = f", which {gauge} keeps"
    except OutOfRange:
        kept = ""
    level = format_quantity(beer.volumes, Kind.CARBONATION, system.units)
    which = "Each other new tap" if spare else "Each new tap"
    return (
        *first,
        f"{which} has its own keg ({parts.keg_called(keg.kind)}) in {keg.place}, a beer of "
        f"{level}{kept}, and {said[0]}",
        said[1],
    )
