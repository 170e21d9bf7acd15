"""Upkeep and safety: what is due, how often, the calendar, what CO2 would do in the room."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import log_of, now, opened, system_of

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.events import Event
    from ullage.cellar.store import Store
    from ullage.system.model import System


def upkeep(
    everything: Annotated[
        bool, typer.Option("--all", help="Also what lies further ahead.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what is due to keep the system clean and sound, by what the log tells."""
    from ullage.plan.as_json import plain
    from ullage.plan.upkeep import upkeep as upkeep_of
    from ullage.plan.upkeep_changes import changes_of
    from ullage.plan.upkeep_progress import begun_of
    from ullage.plan.upkeep_under_way import all_under_way

    moment = now()
    with opened(store) as there:
        system, log = as_it_stands(there, moment)
        changes = changes_of(there)
        answer = upkeep_of(system, log, moment, changes)
        begun = all_under_way(begun_of(there), system, moment, changes)
    if json:
        print_json({**plain(answer), "begun": begun})
        return
    from ullage.draw.upkeep_lines import upkeep_lines

    print_lines(upkeep_lines(answer, begun, everything=everything))


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


def calendar(
    file: Annotated[Path, typer.Argument(help="Where to, as ullage.ics.")],
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write upkeep, planned steps, ready dates and refills as a calendar (iCalendar, RFC 5545)."""
    from ullage.draw.calendar_file import calendar_file
    from ullage.plan.alarms_calendar import with_alarms
    from ullage.plan.alarms_heard import heard_of
    from ullage.plan.alarms_now import alarms_now
    from ullage.plan.alarms_telling import standings
    from ullage.plan.calendar import calendar as calendar_of
    from ullage.plan.calendar_origin import origin
    from ullage.plan.upkeep_changes import changes_of

    moment = now()
    with opened(store) as there:
        system, log = as_it_stands(there, moment)
        of = origin(there)
        made = calendar_of(system, log, moment, changes_of(there), of)
        found = alarms_now(there, system_of(there), moment, system.units, log=log)
        made = with_alarms(made, standings(found, heard_of(there), moment), of.home)
    file.write_bytes(calendar_file(made))
    if json:
        print_json({"file": str(file), "entries": len(made.entries)})
        return
    print_lines([f"Wrote {len(made.entries)} entries to {file}."])


def safety(
    card: Annotated[
        Path | None, typer.Option(help="Write a card for the wall into this file (HTML).")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what CO2 would do in the room, and whether any pressure lies above a rating."""
    from ullage.plan.room import safety as safety_of

    moment = now()
    with opened(store) as there:
        system, log = as_it_stands(there, moment)
        odds = _odds(there, system, moment)
    if card is not None:
        _write_card(system, log, moment, card)
    answer = safety_of(system, log, moment, odds)
    if json:
        print_json(answer)
        return
    from ullage.draw.upkeep_lines import safety_lines

    print_lines(safety_lines(answer, system.units))


def _odds(store: Store, system: System, moment: datetime) -> tuple[str, ...]:
    """Regulators whose kegs are on different pressures by the log, a sentence each."""
    from ullage.cellar.standing import standing
    from ullage.plan.one_regulator import odds_of

    kegs = standing(store, moment).now.kegs
    supplies = {name: keg.supply.gauge_pa for name, keg in kegs.items() if keg.supply}
    return odds_of(system, supplies, supplies, system.units)


def _write_card(system: System, log: list[Event], moment: datetime, file: Path) -> None:
    """Write the card; to be printed anew it may take the place of an earlier one."""
    from ullage.plan.wall_card import wall_card
    from ullage.web.card_page import card_file

    file.write_text(card_file(wall_card(system, log, moment), system.units), encoding="utf-8")
    typer.echo(f"wrote {file}", err=True)


def as_it_stands(store: Store, moment: datetime) -> tuple[System, list[Event]]:
    """The system at a moment, and the log."""
    from ullage.cellar.standing import standing
    from ullage.plan.present import present_system, told

    log = log_of(store)
    return present_system(system_of(store), standing(store, moment).now, told(log)), log
