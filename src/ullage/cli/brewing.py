"""Brewing ahead: when to brew what, and what a party needs."""

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
    from ullage.plan.brewing_question import BrewingQuestion
    from ullage.plan.party_answer import PartyQuestion
    from ullage.system.model import System

File = Annotated[
    Path | None,
    typer.Argument(help="A system file (TOML), to ask of it alone; left out: the log."),
]


def brewing(
    file: File = None,
    weeks: Annotated[int, typer.Option(min=1, max=60, help="How far ahead.")] = 12,
    days: Annotated[
        str, typer.Option(help='When you may brew: "sat, sun", "fri" or "any".')
    ] = "sat, sun",
    a_day: Annotated[int, typer.Option(min=1, max=4, help="Brews on one day at most.")] = 1,
    sure: Annotated[
        int,
        typer.Option(
            min=50, max=99, help="How likely beer must last, in %; 50 counts the usual drinking."
        ),
    ] = 90,
    pours: Annotated[
        list[str] | None,
        typer.Option("--next", help='What a tap pours from now on, as "left=Stout".'),
    ] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="Carbonate the quickest way, not the advised one.")
    ] = False,
    drunk: Annotated[
        list[str] | None,
        typer.Option("--drunk", help='How quickly a tap is drunk, as "left=7 pints/week".'),
    ] = None,
    adopt: Annotated[
        bool, typer.Option("--adopt", help="Make it the plan: its steps are written as planned.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell when to brew what, and what to package when, so that no tap runs dry."""
    from ullage.cellar.household import household
    from ullage.errors import EventError
    from ullage.plan.brewing import brewing as answer_of
    from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
    from ullage.plan.brewing_text import drunk_at, next_beers, weekdays

    asked = BrewingQuestion(
        horizon_s=weeks * WEEK_S,
        weekdays=weekdays(days),
        most_a_day=a_day,
        sureness=sure / 100.0,
        beers=next_beers(pours or ()),
        quick=quick,
        drunk=drunk_at(drunk or ()),
    )
    if adopt:
        if file is not None:
            raise EventError("--adopt writes into the log; leave the file out")
        _adopt(asked, store, json)
        return
    moment = now()
    log, system = _found(file, store, moment)
    answer = answer_of(log, moment, system, asked)
    if json:
        print_json(answer)
        return
    from ullage.draw.brew_lines import brewing_lines, told_by

    print_lines([*brewing_lines(answer, household(log).units), *told_by(answer)])


def party(
    guests: Annotated[int, typer.Argument(min=1, max=2000, help="How many drink beer.")],
    at: Annotated[str, typer.Option(help="When it begins, as 2026-06-20T16:00.")],
    lasts: Annotated[str, typer.Option("--for", help='How long, as "5 h".')] = "5 h",
    first: Annotated[
        float, typer.Option(min=0, max=10, help="Drinks of a guest in the first hour.")
    ] = 2.0,
    later: Annotated[
        float, typer.Option(min=0, max=10, help="Drinks of a guest in each hour after it.")
    ] = 1.0,
    drink: Annotated[
        str | None, typer.Option(help='How large a drink is; default "12 fl oz".')
    ] = None,
    beer: Annotated[
        list[str] | None, typer.Option(help="What is poured; default: what the taps pour.")
    ] = None,
    untapped: Annotated[
        bool,
        typer.Option(
            "--untapped/--tapped-only", help="Count kegs that no tap pours yet but could, or not."
        ),
    ] = True,
    name: Annotated[str, typer.Option(help="What it is called.")] = "Party",
    file: Annotated[
        Path | None, typer.Option(help="A system file (TOML), to ask of it alone.")
    ] = None,
    adopt: Annotated[
        bool, typer.Option("--adopt", help="Put it on the timeline, so that forecasts count it.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what a party needs: beer, kegs that must be ready, cold, gas, and time at the taps."""
    from ullage import typed
    from ullage.cellar.household import household
    from ullage.errors import EventError
    from ullage.plan import party_text
    from ullage.plan.party import party as answer_of
    from ullage.plan.party_answer import DRINK_M3, PartyQuestion

    asked = PartyQuestion(
        starts=typed.when(at),
        lasts_s=party_text.party_length(lasts),
        guests=guests,
        first_hour=first,
        per_hour=later,
        drink_m3=DRINK_M3 if drink is None else party_text.drink(drink),
        beers=tuple(beer or ()),
        name=name,
        untapped=untapped,
    )
    if adopt:
        if file is not None:
            raise EventError("--adopt writes into the log; leave the file out")
        _adopt_party(asked, store, json)
        return
    moment = now()
    log, system = _found(file, store, moment)
    answer = answer_of(log, moment, asked, system)
    if json:
        print_json(answer)
        return
    from ullage.draw.party_lines import party_lines

    print_lines(party_lines(answer, household(log).units))


def _found(
    file: Path | None, store: str | None, moment: datetime
) -> tuple[list[Event], System | None]:
    """The log and the system: those of the store, or of a file as if it were begun with now."""
    if file is not None:
        from ullage.plan.begin import first_events
        from ullage.system.file import load_system

        system = load_system(file)
        return [*first_events(system, moment)], system
    with opened(store) as there:
        return log_of(there), system_of(there)


def _adopt(asked: BrewingQuestion, store: str | None, json: bool) -> None:
    from ullage.draw.brew_lines import adopted_lines
    from ullage.plan.brewing_adopt import adopt_brewing

    with opened(store) as there:
        adopted = adopt_brewing(there, now(), system_of(there), asked)
    if json:
        print_json(adopted)
        return
    print_lines(adopted_lines(adopted, adopted.answer.units))


def _adopt_party(asked: PartyQuestion, store: str | None, json: bool) -> None:
    from ullage.cellar.household import household
    from ullage.cellar.recording import record
    from ullage.draw.log_lines import recorded_lines
    from ullage.draw.party_lines import party_lines
    from ullage.plan.party import gathering_of
    from ullage.plan.party import party as answer_of

    moment = now()
    with opened(store) as there:
        log = log_of(there)
        answer = answer_of(log, moment, asked, system_of(there))
        done = record(there, [gathering_of(answer, moment)], moment)
    if json:
        print_json({"party": answer, "event": done.events[0].id})
        return
    units = household(log).units
    print_lines([*party_lines(answer, units), "", *recorded_lines(done, (), (), units)])
