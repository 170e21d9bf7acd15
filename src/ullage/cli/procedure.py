"""How a task of upkeep is done here, step by step; and how far one is that was begun."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import now, opened
from ullage.cli.upkeep import as_it_stands

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.store import Store
    from ullage.plan.clean_drive import Drive
    from ullage.plan.upkeep_progress import Begun, Setup
    from ullage.system.model import System
    from ullage.system.upkeep_rules import Rule

Part = Annotated[str | None, typer.Argument(help="Of which part; left out: the only one.")]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be changed of a procedure's progress."""

    did: tuple[int, ...]
    not_done: int | None
    again: bool
    drop: bool


def procedure(
    task: Annotated[str, typer.Argument(help="Which task, as upkeep lists them: clean line.")],
    about: Part = None,
    strength: Annotated[
        str | None, typer.Option(help="Of the cleaner, by its label: 2 % is 20 g in a litre.")
    ] = None,
    push: Annotated[
        str | None, typer.Option(help="Push it from a clean keg with gas at this: 10 psi.")
    ] = None,
    pump_head: Annotated[
        str | None, typer.Option(help="How high the pump lifts with its outlet shut: 10 ft.")
    ] = None,
    pump_flow: Annotated[
        str | None, typer.Option(help="What the pump moves freely: 4 gal/min.")
    ] = None,
    solution_at: Annotated[str | None, typer.Option(help="How warm the solution is: 40 degC.")] = (
        None
    ),
    did: Annotated[
        list[int] | None,
        typer.Option(min=1, help="Tick off this step as done now; may be given again."),
    ] = None,
    not_done: Annotated[
        int | None, typer.Option("--not-done", min=1, help="Take the tick off this step.")
    ] = None,
    again: Annotated[bool, typer.Option("--again", help="Begin again: no step is done.")] = False,
    drop: Annotated[bool, typer.Option("--drop", help="Forget that it was begun.")] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Show how a task of upkeep is done here, in this system's own numbers, and tick it off.

    The last step that is ticked off writes the task down as done.
    """
    from ullage.plan.upkeep_changes import changes_of, rule_of
    from ullage.plan.upkeep_progress import Setup

    wanted = Wanted(tuple(did or ()), not_done, again, drop)
    drive = _drive(push, pump_head, pump_flow, solution_at)
    moment = now()
    with opened(store) as there:
        rule = rule_of(task, changes_of(there))
        system = as_it_stands(there, moment)[0]
        name = _about(rule, about, system)
        asked = Setup(strength=_share(strength), **({} if drive is None else {"drive": drive}))
        given = asked if asked != Setup() else None
        _show(there, rule, name, (wanted, given), moment, json)


def _show(
    store: Store,
    rule: Rule,
    about: str,
    asked: tuple[Wanted, Setup | None],
    moment: datetime,
    json: bool,
) -> None:
    """Change what is wanted, then tell the steps and how far they are."""
    from ullage.plan.as_json import plain
    from ullage.plan.procedures import procedure as procedure_of
    from ullage.plan.upkeep_progress import USUAL, begun_of, finish
    from ullage.plan.upkeep_under_way import under_way

    wanted, given = asked
    system = as_it_stands(store, moment)[0]
    kept = begun_of(store).find(rule.name, about)
    setup = given or (kept.setup if kept and not wanted.again else USUAL)
    found = procedure_of(rule, about, system, system.units, setup.strength, setup.drive)
    begun = _changed(store, rule, about, (wanted, setup), moment, system)
    stands = under_way(begun, rule, system, moment) if begun else None
    recorded = finish(store, rule, about, moment) if wanted.did else None
    if json:
        written = [one.id for one in recorded.events] if recorded else []
        print_json({**plain(found), "begun": stands, "recorded": written})
        return
    from ullage.draw.log_lines import recorded_lines
    from ullage.draw.procedure_lines import next_lines, procedure_lines

    if recorded is not None:
        print_lines(["All steps are done."])
        print_lines(recorded_lines(recorded, (), recorded.events, system.units))
        return
    if stands is not None and (wanted.did or wanted.not_done):
        print_lines(next_lines(stands, moment))
        return
    print_lines(procedure_lines(found, system.units, stands, moment))


def _changed(
    store: Store,
    rule: Rule,
    about: str,
    asked: tuple[Wanted, Setup],
    moment: datetime,
    system: System,
) -> Begun | None:
    """What is begun once it was changed as wanted; `None` where nothing is."""
    from ullage.plan import upkeep_progress as progress
    from ullage.plan.upkeep import hindered

    wanted, setup = asked
    if wanted.drop:
        progress.drop(store, rule.name, about)
        return None
    hindrance = hindered(rule, about, system)
    if hindrance and (wanted.did or wanted.again):
        refuse(hindrance)
    if wanted.again:
        progress.begin(store, rule, about, moment, setup)
    if wanted.not_done is not None:
        progress.untick(store, rule, about, wanted.not_done)
    if wanted.did:
        return progress.tick(store, rule, about, wanted.did, moment, setup)
    return progress.begun_of(store).find(rule.name, about)


def _about(rule: Rule, about: str | None, system: System) -> str:
    """The part that is meant. Refuses one that is not there."""
    from ullage.plan.upkeep import subjects
    from ullage.system.parts import unknown

    parts = subjects(system, rule.of)
    if about is None and len(parts) != 1:
        refuse(f"which {rule.of}? there are: {', '.join(parts) or 'none yet'}")
    if about is not None and about not in parts:
        raise unknown(rule.of, about, parts)
    return about or parts[0]


def _share(strength: str | None) -> float | None:
    from ullage.units import Kind, parse

    return None if strength is None else parse(strength, Kind.FRACTION)


def _drive(
    push: str | None, head: str | None, flow: str | None, solution_at: str | None
) -> Drive | None:
    """What moves the solution; `None` where nothing is said of it."""
    if push is head is flow is solution_at is None:
        return None
    from ullage.plan.clean_drive import SOLUTION_K, Drive, Pump
    from ullage.units import Kind, parse

    if push is not None and (head or flow):
        refuse("give --push or a pump (--pump-head, --pump-flow), not both")
    usual = Pump()
    pump = Pump(
        usual.shut_off_m if head is None else parse(head, Kind.LENGTH),
        usual.free_flow_m3_s if flow is None else parse(flow, Kind.FLOW),
    )
    kelvin = SOLUTION_K if solution_at is None else parse(solution_at, Kind.TEMPERATURE)
    gauge = None if push is None else parse(push, Kind.PRESSURE)
    return Drive(pump, gauge, kelvin, "pump" if push is None else "keg")
