"""A ready-made kit, looked through: what to change before it serves well, and why."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.plan import bill, cautions
from ullage.plan import needs as needs_of
from ullage.plan.answers import Caution
from ullage.plan.cylinder_fits import FILLINGS, enough_for, kegs_a_filling
from ullage.plan.line_lengths import kept_case, pouring
from ullage.plan.mismatches import ORDER, line_finding
from ullage.plan.parts_answer import LineChange, PartLine, PartsList
from ullage.plan.parts_list import parts_list
from ullage.plan.pour import pour
from ullage.plan.pour_advice import WARM_TOWER_PA
from ullage.plan.sharing import shared_pressures
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

SEALS: Final = "Take it apart, clean it, and fit a new set of seals."
CREEPS: Final = "Check that its pressure stays where it is set, and that its relief valve opens."
STAMPED: Final = "Read the test date stamped on it, and test its joints for leaks."
LINED: Final = "Clean its line, faucet and disconnect, or put in a new line."
BEFORE: Final = (
    "It came used, and nobody knows when that was last done; upkeep tells how, step by step."
)
Sort = Literal["change", "add", "leave out", "know"]
SORTS: Final[tuple[Sort, ...]] = ("change", "add", "leave out", "know")


@dataclass(frozen=True, slots=True)
class Change:
    """One change to a kit. `do` is the hand's part, `why` the reason from the physics or fit."""

    sort: Sort
    level: Literal["note", "warning", "danger"]
    where: str
    do: str
    why: str


@dataclass(frozen=True, slots=True)
class Audit:
    """What a kit lacks and what in it does not fit, the gravest first within each sort."""

    system: str
    units: Literal["us", "metric"]
    changes: tuple[Change, ...]
    parts: PartsList
    cautions: tuple[Caution, ...]

    @property
    def of_sorts(self) -> tuple[tuple[Sort, tuple[Change, ...]], ...]:
        """The changes by what is to be done, those sorts alone of which there are any."""
        found = ((sort, tuple(one for one in self.changes if one.sort == sort)) for sort in SORTS)
        return tuple((sort, changes) for sort, changes in found if changes)


def audit(system: System) -> Audit:
    """Answer for a kit that is described as a system file: its `[[have]]` is what the box holds,
    `to_buy` marks what the kit does not bring along."""
    listed = parts_list(system)
    found = [
        *(_line(one, system.units) for one in listed.lines),
        *_pours(system, listed),
        *_warm(system),
        *_used(system),
        *_misfits(listed),
        *_missing(listed),
        *_pressures(system),
        *_left_over(system, listed),
        *_cylinders(system),
    ]
    ordered = sorted(found, key=lambda one: (SORTS.index(one.sort), ORDER.index(one.level)))
    return Audit(
        system=system.name,
        units=system.units,
        changes=tuple(ordered),
        parts=listed,
        cautions=(cautions.PRESSURE, cautions.CYLINDER, Caution("note", cautions.DEFER)),
    )


def _line(one: LineChange, units: UnitSystem) -> Change:
    lengths = (one.present_m, one.advised_m)
    present, advised = (format_quantity(each, Kind.LENGTH, units) for each in lengths)
    gauge = format_quantity(one.gauge_pressure_pa, Kind.PRESSURE, units)
    short = one.sense == "too short"
    ends = "faster than beer stays calm, so it foams" if short else "slower than anyone waits for"
    return Change(
        "change",
        "warning" if short else "note",
        f'tap "{one.tap}"',
        f"{'Lengthen' if short else 'Shorten'} its line from {present} to {advised}.",
        f"At the {gauge} that keep this beer, a US pint takes {one.present_pint_s:.2g} s through "
        f"{present}: {ends}; {advised} pour it in {one.wanted_pint_s:.3g} s.",
    )


def _pours(system: System, listed: PartsList) -> Iterator[Change]:
    """How the taps pour whose lines will do, and what would pour just as wanted."""
    told = {one.tap for one in listed.lines}
    for tap in system.taps:
        now = None if tap.name in told else pouring(system, tap)
        if now is None or now.advised_m is None or not math.isfinite(now.present_pint_s):
            continue
        present, advised = (
            format_quantity(each, Kind.LENGTH, system.units)
            for each in (now.present_m, now.advised_m)
        )
        gauge = format_quantity(now.gauge_pressure_pa, Kind.PRESSURE, system.units)
        yield Change(
            "know",
            "note",
            f'tap "{tap.name}"',
            f"Its {present} of line will do; with {advised} a US pint takes "
            f"{now.wanted_pint_s:.3g} s.",
            f"At the {gauge} that keep this beer, a US pint takes {now.present_pint_s:.2g} s now.",
        )


def _warm(system: System) -> Iterator[Change]:
    """Taps in whose warmest part gas comes out of the beer while the faucet is shut."""
    for tap in system.taps:
        case = kept_case(system, tap)
        if case is None:
            continue
        try:
            answer = pour(case)
        except OutOfRange:
            continue  # the plan says why
        if answer.shut_margin_pa < -WARM_TOWER_PA:
            yield Change(
                "change",
                "warning",
                f'tap "{tap.name}"',
                f"Cool its {answer.shut_margin_part}: let the fridge's air reach it, or keep less "
                "gas in this beer.",
                "With the faucet shut, gas comes out of the beer there: the first glass foams.",
            )


def _used(system: System) -> Iterator[Change]:
    """Parts that came used, which are seen to before they are relied on."""
    owned = (
        *((f'keg "{one.name}"', one.used, SEALS) for one in system.kegs),
        *((f'regulator "{one.name}"', one.used, CREEPS) for one in system.regulators),
        *((f'cylinder "{one.name}"', one.used, STAMPED) for one in system.cylinders),
        *((f'tap "{one.name}"', one.used, LINED) for one in system.taps),
    )
    for where, used, do in owned:
        if used:
            yield Change("change", "warning", where, do, BEFORE)


def _misfits(listed: PartsList) -> Iterator[Change]:
    told = {line_finding(one, listed.units) for one in listed.lines}
    for one in listed.mismatches:
        if one not in told:
            yield Change("change", one.level, one.where, one.remedy, one.what)


def _missing(listed: PartsList) -> Iterator[Change]:
    for one in listed.to_buy:
        yield Change("add", _weight(one), ", ".join(one.places), f"Add {_counted(one)}.", _why(one))
    for tube in listed.tubing_to_buy:
        length = format_quantity(tube.to_buy_m, Kind.LENGTH, listed.units)
        why = "The line it brings does not reach, or it brings none."
        yield Change("add", "note", tube.part, f"Add {length}: {tube.title}.", why)


def _weight(one: PartLine) -> Literal["note", "warning"]:
    guards = one.part == needs_of.CHECK_VALVE or one.part.startswith("manifold-")
    return "warning" if guards or one.kind == "equipment" else "note"


def _counted(one: PartLine) -> str:
    return f"{one.to_buy} × {one.title}"


def _why(one: PartLine) -> str:
    if one.kind == "equipment":
        return f"The kit has {one.have} of the {one.needed} that the system needs."
    if one.part == needs_of.CHECK_VALVE or one.part.startswith("manifold-"):
        return "Without a check valve in each gas line, beer can run back into the regulator."
    if one.kind == "seal":
        return f"The joints take {one.needed}; the kit has {one.have}. {one.wear}."
    return f"The joints need {one.needed} to close; the kit has {one.have}."


def _pressures(system: System) -> Iterator[Change]:
    for one in system.regulators:
        groups = shared_pressures(system, one.name)
        if len(groups) > 1:
            said = " and ".join(
                format_quantity(group.gauge_pa, Kind.PRESSURE, system.units) for group in groups
            )
            yield Change(
                "change",
                "warning",
                f'regulator "{one.name}"',
                f"Add {len(groups) - 1} more regulators, or want levels nearer to each other.",
                f"Its beers want {said}: no one setting keeps them all within their tolerance.",
            )


def _left_over(system: System, listed: PartsList) -> Iterator[Change]:
    used = {one.part: one.needed for one in listed.parts}
    for part, count in bill.at_hand(system).items():
        spare = count - used.get(part, 0)
        if spare > 0:
            fits = "More than its joints need" if part in used else "No joint here needs it"
            yield Change("leave out", "note", part, f"Do without {spare} of them.", f"{fits}.")


def _cylinders(system: System) -> Iterator[Change]:
    for one in system.cylinders:
        kegs, size = kegs_a_filling(system, one), enough_for(system, one)
        if kegs is None:
            continue
        where = f'cylinder "{one.name}"'
        why = f"A filling of {one.size} serves about {kegs:.0f} kegs, losses included."
        if size not in (None, one.size):
            do = f"Take a {size} cylinder if you can."
            why = f"{why[:-1]}; {FILLINGS} fillings of every keg are common practice."
            yield Change("change", "note", where, do, why)
        else:
            yield Change("know", "note", where, "Weigh it, and have it refilled in time.", why)
