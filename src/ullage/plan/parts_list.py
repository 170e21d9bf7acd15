"""The parts list of a system: its joints, what to buy for them, what does not mate."""

from __future__ import annotations

from collections.abc import Iterator

from ullage.plan import bill, cautions
from ullage.plan import needs as needs_of
from ullage.plan.answers import Caution, Finding
from ullage.plan.joints import Chain, Closed, close_all
from ullage.plan.line_lengths import line_changes
from ullage.plan.mismatches import mismatches
from ullage.plan.needs import Item
from ullage.plan.parts_answer import JointLine, PartsList, Standing
from ullage.plan.weakest import weakest_behind
from ullage.system.checks import FOR_A_BLEND
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Regulator, System
from ullage.units import Kind, format_quantity


def parts_list(system: System) -> PartsList:
    """Answer for one system. What the file says is there is not bought; small parts are there
    only where `[[have]]` says so."""
    items = needs_of.items(system)
    hand = bill.at_hand(system)
    closed = close_all(needs_of.needs(items), hand, bill.own_adapters(system))
    lines = line_changes(system)
    short = {
        (f'tap "{one.tap}"', one.piece): one.advised_m for one in lines if one.sense == "too short"
    }
    return PartsList(
        system=system.name,
        units=system.units,
        hand_told=bool(system.have or system.own_parts),
        joints=tuple(_joint_line(one) for one in closed),
        parts=(
            *bill.equipment(system),
            *bill.small_parts(system, closed, needs_of.fixed(items)),
        ),
        tubing=bill.tubing(system, needs_of.runs(items), short),
        lines=lines,
        mismatches=mismatches(system, closed, lines, hand),
        checks=tuple(_checks(system)),
        assumed=tuple(_assumed(system, items)),
        cautions=_cautions(system),
    )


def _joint_line(one: Closed) -> JointLine:
    need = one.need
    chain = one.chain or Chain((), ())
    standing: Standing = "open" if one.chain is None else "closed" if chain.parts else "mates"
    how = tuple(f"{each.hose} on {each.barb}: {each.how}" for each in chain.stretched)
    return JointLine(
        need.where,
        need.what,
        standing,
        chain.mating,
        chain.parts,
        chain.seals,
        how,
    )


def _checks(system: System) -> Iterator[Finding]:
    for regulator in system.regulators:
        kegs = needs_of.kegs_on(system, regulator.name)
        where = f'regulator "{regulator.name}"'
        if kegs:
            lowest = weakest_behind(system, kegs)
            most = format_quantity(lowest.gauge_pa, Kind.PRESSURE, system.units)
            yield Finding(
                "warning",
                where,
                f"Its relief valve must open below {most}, the lowest rating behind it: "
                f"{lowest.what}.",
                "Read what is stamped on it; one without a relief valve is not for kegs.",
            )
            yield Finding("note", where, *_check_valve_words(regulator, len(kegs)))
    for cylinder in system.cylinders:
        if needs_of.is_blends_own(cylinder):
            yield _blend(cylinder)
        on = [one.name for one in system.regulators if one.cylinder == cylinder.name]
        if len(on) > 1:
            yield Finding(
                "note",
                f'cylinder "{cylinder.name}"',
                f"It has one valve, and {len(on)} regulators draw on it.",
                "That needs a regulator with several bodies, or others behind the first.",
            )
    yield from _relief([keg for keg in system.kegs if keg.regulator is not None])


def _blend(cylinder: Cylinder) -> Finding:
    return Finding(
        "warning",
        f'cylinder "{cylinder.name}"',
        "It holds a blend: its valve is not that of CO2, and whether its regulator fits is not "
        "looked at here.",
        f"{FOR_A_BLEND[:1].upper()}{FOR_A_BLEND[1:]}.",
    )


def _check_valve_words(regulator: Regulator, kegs: int) -> tuple[str, str]:
    held = "The regulator’s outlet" if regulator.check_valve and kegs == 1 else "The gas line"
    held = "Each outlet of the manifold" if kegs > 1 else held
    return (
        f"{held} needs a check valve, or beer can run back into the regulator.",
        "Blow through it before it goes in: gas must pass one way only.",
    )


def _relief(kegs: list[Keg]) -> Iterator[Finding]:
    """Each keg's own relief valve, or that it has none."""
    own = [keg for keg in kegs if needs_of.keg_ends(keg)[0].endswith("post")]
    if own:
        yield Finding(
            "note",
            _kegs(own),
            "Each keg needs a working relief valve in its lid or post.",
            "Pull its ring under a little pressure: it must hiss and shut again.",
        )
    if bare := [keg for keg in kegs if keg not in own]:
        yield Finding(
            "warning",
            _kegs(bare),
            "A keg for a coupler has no relief valve of its own.",
            "The regulator’s relief valve is all that guards it: never feed it without one.",
        )


def _kegs(kegs: list[Keg]) -> str:
    return ", ".join(f'keg "{keg.name}"' for keg in kegs)


def _assumed(system: System, items: tuple[Item, ...]) -> Iterator[str]:
    guessed = [run for run in needs_of.runs(items) if run.medium == "gas" and not run.owned]
    told = {keg.name for keg in system.kegs if keg.gas_line is not None}
    legs = [run for run in guessed if run.where.removeprefix('keg "').rstrip('"') not in told]
    if legs:
        total = format_quantity(sum(run.length_m for run in legs), Kind.LENGTH, system.units)
        yield (
            f"Gas line: {total} in {len(legs)} pieces of 5/16 in (8 mm) vinyl are assumed. "
            "Measure your own way from regulator to keg (gas_line)."
        )
    for one in system.regulators:
        if one.outlet is None and needs_of.kegs_on(system, one.name):
            end = needs_of.outlet_of(one, system.cylinder(one.cylinder))
            yield f'Regulator "{one.name}": its outlet is taken for {end}. Look at yours (outlet).'
    if not system.have and not system.own_parts:
        yield (
            "The file does not say which small parts are at hand ([[have]]), so every disconnect, "
            "clamp and washer is listed. Strike out what you have."
        )


def _cautions(system: System) -> tuple[Caution, ...]:
    found = [cautions.CYLINDER, cautions.PRESSURE, cautions.CO2_AIR]
    places = {keg.name: keg.place for keg in system.kegs}
    for regulator in system.regulators:
        home = system.cylinder(regulator.cylinder).place
        if any(places[keg.name] != home for keg in needs_of.kegs_on(system, regulator.name)):
            found.append(cautions.COILS)
            break
    return (*found, Caution("note", cautions.DEFER))
