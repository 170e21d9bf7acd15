"""What is brewed, and the parties and seasons in which more or less is drunk than usual."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.record.writing import Desk

if TYPE_CHECKING:
    from ullage.system.model import System


def brewed(
    desk: Desk,
    batch: Annotated[str, typer.Argument(help='Which beer, as "Amber Ale".')],
    fermenter: Annotated[
        str | None, typer.Option(help="Into which fermenter; left out: the only one.")
    ] = None,
    volume: Annotated[
        str | None,
        typer.Option(help='Finished beer it gives, as "5 gal"; left out: the fermenter\'s.'),
    ] = None,
) -> None:
    """A batch brewed into a fermenter."""
    from ullage import typed
    from ullage.cellar.other_events import Brewed
    from ullage.plan.begin import described

    amount = None if volume is None else typed.beer_volume(volume)
    system = described(desk.store)
    name = fermenter or _only_fermenter(system)
    desk.write(
        Brewed(
            fermenter=name,
            batch=batch,
            volume_m3=_usual(system, name) if amount is None else amount,
            **desk.when,
        )
    )


def gathering(
    desk: Desk,
    name: Annotated[str, typer.Argument(help="What it is called, as Birthday.")],
    lasts: Annotated[str, typer.Option("--for", help='How long, as "6 h" or "3 weeks".')] = "6 h",
    guests: Annotated[int | None, typer.Option(help="How many come.")] = None,
    beer: Annotated[
        str | None, typer.Option(help='Beer drunk at it in all, as "8 gal", instead of the usual.')
    ] = None,
    factor: Annotated[
        float | None, typer.Option(help="Or: times the usual drinking, as 1.5; 0: nobody is there.")
    ] = None,
) -> None:
    """A party or a season in which more or less is drunk than usual; --planned for one to come."""
    from ullage import typed
    from ullage.cellar.other_events import Gathering
    from ullage.plan import party_text

    desk.write(
        Gathering(
            about=name,
            ends=desk.asked.at + timedelta(seconds=typed.duration(lasts)),
            guests=guests,
            beer_m3=None if beer is None else party_text.party_beer(beer),
            factor=factor,
            **desk.when,
        )
    )


def _only_fermenter(system: System | None) -> str:
    """The fermenter that the system file tells, where it is one. Raises `EventError`: which?"""
    from ullage.errors import EventError

    known = [] if system is None else [one.name for one in system.fermenters if not one.to_buy]
    if len(known) == 1:
        return known[0]
    there = f"there are: {', '.join(known)}" if known else "the system file tells none"
    raise EventError(f"which fermenter? Give --fermenter; {there}")


def _usual(system: System | None, name: str) -> float:
    """The beer that a batch in a fermenter gives, by the system file. Raises `EventError`."""
    from ullage.errors import EventError

    for one in () if system is None else system.fermenters:
        if one.name == name:
            return one.volume
    raise EventError(f"how much a batch in fermenter {name} gives is not told; give --volume")
