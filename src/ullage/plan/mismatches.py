"""What does not mate in a system, named plainly, each with its remedy."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from ullage.plan import needs as needs_of
from ullage.plan.answers import Finding
from ullage.plan.joints import Closed
from ullage.plan.needs import kegs_on
from ullage.plan.parts_answer import LineChange
from ullage.system import checks, parts, ports
from ullage.system.model import Keg, System
from ullage.system.parts import keg_kind
from ullage.units import Kind, UnitSystem, format_quantity

ORDER = ("danger", "warning", "note")


def mismatches(
    system: System,
    closed: Iterable[Closed],
    lines: Iterable[LineChange],
    at_hand: Iterable[str],
) -> tuple[Finding, ...]:
    """All of them, the gravest first. `at_hand`: small parts that are there, so need no remark."""
    ready = set(at_hand)
    found = [
        *(each for one in closed for each in _joint(one, ready)),
        *_disconnects(system),
        *_ratings(system),
        *_gas_lines(system),
        *_no_gas(system),
        *(line_finding(one, system.units) for one in lines),
    ]
    return tuple(sorted(found, key=lambda one: ORDER.index(one.level)))


def _joint(one: Closed, ready: set[str]) -> Iterator[Finding]:
    need, chain = one.need, one.chain
    if not need.from_ends or not need.to_ends:
        yield _unknown(one)
    elif chain is None:
        yield Finding(
            "danger" if need.gauge_pa >= ports.CYLINDER_PA else "warning",
            need.where,
            f"{_said(need.from_ends)} and {_said(need.to_ends)} ({need.what}) do not mate, and no "
            f"part in the catalogue joins them at this pressure.{_alike(one)}",
            "Change one of the two, or describe a part of your own that joins them "
            "([[own_part]]). Do not force it.",
        )
    elif chain.parts and need.gauge_pa >= ports.CYLINDER_PA and not set(chain.parts) <= ready:
        yield _valve(one)
    elif chain.parts and (pair := _wrong_barb(one)) is not None:
        hose, barb = pair
        names = " and ".join(_title(part) for part in chain.parts)
        yield Finding(
            "warning",
            need.where,
            f"A {hose} does not hold on a {barb} ({need.what}): too wide it leaks, too narrow it "
            "splits.",
            f"Put between them: {names}; or take a line that fits the barb.",
        )


def _unknown(one: Closed) -> Finding:
    need = one.need
    if need.gauge_pa >= ports.CYLINDER_PA:
        what = "The name of the cylinder’s valve, or of the regulator’s inlet, is not known."
        names = ", ".join(joint.aliases[0] for joint in ports.joints() if joint.aliases)
        return Finding("warning", need.where, what, f"Write one of: {names}.")
    return Finding(
        "warning",
        need.where,
        f"No barb or push-fit is known for one of the ends ({need.what}).",
        "Take line of a common bore, such as 3/16 in, 1/4 in, 4 mm or 6 mm; or check the figure.",
    )


def _valve(one: Closed) -> Finding:
    need, chain = one.need, one.chain
    assert chain is not None
    return Finding(
        "warning",
        need.where,
        f"Its {need.to_ends[0]} does not fit the {need.from_ends[0]} ({need.what}).{_alike(one)}",
        f"Get a regulator with a {ports.opposite(need.from_ends[0])}, or the "
        f"{_title(chain.parts[0])[0].lower()}{_title(chain.parts[0])[1:]}, made and marked for CO2 "
        "at full cylinder pressure.",
    )


def _alike(one: Closed) -> str:
    """A word on threads that start on each other and do not hold."""
    pairs = product(one.need.from_ends, one.need.to_ends)
    if not any(ports.look_alike(a, b) for a, b in pairs):
        return ""
    return (
        " Their threads look alike: one may start on the other and then let go under pressure. "
        "Never force them together."
    )


def _wrong_barb(one: Closed) -> tuple[str, str] | None:
    """The hose and the barb that would meet if nothing stood between them."""
    for pair in product(one.need.from_ends, one.need.to_ends):
        hoses = [end for end in pair if end.endswith(" hose")]
        barbs = [end for end in pair if end.endswith(" barb")]
        if hoses and barbs:
            return hoses[0], barbs[0]
    return None


def _disconnects(system: System) -> Iterator[Finding]:
    for tap in system.taps:
        keg = system.keg(tap.keg)
        yield from _disconnect(f'tap "{tap.name}"', keg, tap.disconnect, "liquid")
    for keg in system.kegs:
        yield from _disconnect(f'keg "{keg.name}"', keg, keg.gas_disconnect, "gas")


def _disconnect(where: str, keg: Keg, told: str | None, side: str) -> Iterator[Finding]:
    takes = keg_kind(keg.kind).connection
    if told in (None, takes):
        return
    coupler = takes.startswith("coupler-")
    right = parts.disconnect(takes).title.lower() if coupler else f"{takes} {side} disconnect"
    yield Finding(
        "warning",
        where,
        f"Its {told} {'' if str(told).startswith('coupler') else side + ' disconnect '}does not "
        f'fit keg "{keg.name}", which takes {takes}.',
        f"Use a {right}: it is on the list. Forced on, the wrong one leaks or jams.",
    )


def _ratings(system: System) -> Iterator[Finding]:
    for one in checks.rating_findings(system):
        what, remedy = (
            f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (one.what, one.remedy)
        )
        yield Finding(one.level, one.where, what, remedy)


def _gas_lines(system: System) -> Iterator[Finding]:
    """Gas lines that stand less than their regulator gives; those left out count as vinyl."""
    for one in system.regulators:
        usual = needs_of.usual_trunk(system)
        lines = {f'gas line of keg "{keg.name}"': keg.gas_line for keg in kegs_on(system, one.name)}
        lines |= {f'gas line of regulator "{one.name}"': one.gas_line} if len(lines) > 1 else {}
        for where, line in lines.items():
            material = parts.line_material((line or usual).material)
            if (one.pressure or 0.0) > material.max_gauge_pa:
                set_to, stands = (
                    format_quantity(pressure, Kind.PRESSURE, system.units)
                    for pressure in (one.pressure or 0.0, material.max_gauge_pa)
                )
                yield Finding(
                    "danger",
                    where,
                    f"{material.title} stands {stands}, and the regulator gives {set_to}.",
                    f"Turn the regulator down below {stands} now, or fit line that is marked for "
                    "more.",
                )


def _no_gas(system: System) -> Iterator[Finding]:
    for keg in system.kegs:
        if keg.regulator is None and system.taps_of(keg.name):
            what = "It has a tap but no gas: no regulator feeds it."
            remedy = 'Name its regulator (regulator = "…"), and its gas line goes on the list.'
            yield Finding("warning", f'keg "{keg.name}"', what, remedy)


def line_finding(one: LineChange, units: UnitSystem) -> Finding:
    """A line of the wrong length, and the length that would pour as wanted."""
    present, advised = (
        format_quantity(length, Kind.LENGTH, units) for length in (one.present_m, one.advised_m)
    )
    where = f'tap "{one.tap}"'
    if one.sense == "too short":
        pours = f"a US pint in {one.present_pint_s:.2g} s"
        what = f"Its {present} of line are too short to balance: {pours} foams in the glass."
        remedy = (
            f"Replace it by {advised} in one piece, for a US pint in {one.wanted_pint_s:.3g} s; "
            "cut it a hand longer, you can only shorten it."
        )
        return Finding("warning", where, what, remedy)
    pours = f"a US pint takes {one.present_pint_s:.2g} s"
    what = f"Its {present} of line are longer than it needs: {pours}."
    remedy = f"Cut it to {advised} for a US pint in {one.wanted_pint_s:.3g} s, if that is too slow."
    return Finding("note", where, what, remedy)


def _said(ends: tuple[str, ...]) -> str:
    return " or ".join(ends)


def _title(part: str) -> str:
    known = ports.adapters().get(part)
    return part if known is None else known.title
