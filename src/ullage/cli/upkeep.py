"""Upkeep and safety: what is due, how it is done, the calendar, what CO2 would do in the room."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import log_of, now, opened, system_of

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.events import Event
    from ullage.cellar.store import Store
    from ullage.system.model import System

Part = Annotated[str | None, typer.Argument(help="Of which part; left out: the only one.")]


def upkeep(
    everything: Annotated[
        bool, typer.Option("--all", help="Also what lies further ahead.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what is due to keep the system clean and sound, by what the log tells."""
    from ullage.plan.upkeep import upkeep as upkeep_of
    from ullage.plan.upkeep_changes import changes_of

    moment = now()
    with opened(store) as there:
        answer = upkeep_of(*_as_it_stands(there, moment), moment, changes_of(there))
    if json:
        print_json(answer)
        return
    from ullage.draw.upkeep_lines import upkeep_lines

    print_lines(upkeep_lines(answer, everything=everything))


def interval(
    task: Annotated[str, typer.Argument(help="Which task, as upkeep lists them: clean line.")],
    days: Annotated[int | None, typer.Option(min=1, max=3650, help="So many days.")] = None,
    years: Annotated[int | None, typer.Option(min=1, max=20, help="So many years.")] = None,
    kegs: Annotated[int | None, typer.Option(min=1, max=100, help="So many kegs.")] = None,
    litres: Annotated[
        float | None, typer.Option(min=0.1, max=10_000, help="So many litres poured.")
    ] = None,
    off: Annotated[bool, typer.Option("--off", help="Never: switch the task off.")] = False,
    store: StoreAddress = None,
) -> None:
    """Say how often a task of upkeep is done here; with nothing said, as it was to begin with."""
    from ullage.plan.upkeep import every
    from ullage.plan.upkeep_changes import Change, change, rule_of

    said = Change(days=days, years=years, kegs=kegs, litres=litres, off=off)
    with opened(store) as there:
        changes = change(there, task, said if said != Change() else None)
    rule = rule_of(task, changes)
    print_lines([f"{rule.title}: {'switched off' if off else every(rule)}."])


def procedure(
    task: Annotated[str, typer.Argument(help="Which task, as upkeep lists them: clean line.")],
    about: Part = None,
    strength: Annotated[
        str | None, typer.Option(help="Of the cleaner, by its label: 2 % is 20 g in a litre.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Show how a task of upkeep is done here, with this system's own volumes and weights."""
    from ullage.plan.procedures import procedure as procedure_of
    from ullage.plan.upkeep import subjects
    from ullage.plan.upkeep_changes import rule_of
    from ullage.units import Kind, parse

    rule = rule_of(task)
    share = None if strength is None else parse(strength, Kind.FRACTION)
    with opened(store) as there:
        system, _ = _as_it_stands(there, now())
    parts = subjects(system, rule.of)
    if about is None and len(parts) != 1:
        refuse(f"which {rule.of}? there are: {', '.join(parts) or 'none yet'}")
    found = procedure_of(rule, about or parts[0], system, system.units, share)
    if json:
        print_json(found)
        return
    from ullage.draw.upkeep_lines import procedure_lines

    print_lines(procedure_lines(found))


def calendar(
    file: Annotated[Path, typer.Argument(help="Where to, as ullage.ics.")],
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write upkeep, planned steps, ready dates and refills as a calendar (iCalendar, RFC 5545)."""
    from ullage.draw.calendar_file import calendar_file
    from ullage.plan.calendar import calendar as calendar_of
    from ullage.plan.upkeep_changes import changes_of

    moment = now()
    with opened(store) as there:
        made = calendar_of(*_as_it_stands(there, moment), moment, changes_of(there))
    file.write_bytes(calendar_file(made))
    if json:
        print_json({"file": str(file), "entries": len(made.entries)})
        return
    print_lines([f"Wrote {len(made.entries)} entries to {file}."])


def safety(store: StoreAddress = None, json: Json = False) -> None:
    """Tell what CO2 would do in the room, and whether any pressure lies above a rating."""
    from ullage.plan.room import safety as safety_of

    moment = now()
    with opened(store) as there:
        system, log = _as_it_stands(there, moment)
    answer = safety_of(system, log, moment)
    if json:
        print_json(answer)
        return
    from ullage.draw.upkeep_lines import safety_lines

    print_lines(safety_lines(answer, system.units))


def _as_it_stands(store: Store, moment: datetime) -> tuple[System, list[Event]]:
    """The system at a moment, and the log."""
    from ullage.cellar.standing import standing
    from ullage.plan.present import present_system, told

    log = log_of(store)
    return present_system(system_of(store), standing(store, moment).now, told(log)), log
