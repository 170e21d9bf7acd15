"""What a log begins with: a system file, or piece by piece where and what one owns."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ullage.cli.record.writing import Desk
from ullage.cli.stores import log_of, now


def begin(
    desk: Desk,
    file: Annotated[Path, typer.Argument(help="A system file (TOML).")],
    again: Annotated[
        bool,
        typer.Option("--again", help="Take the file in anew: what the log has already is kept."),
    ] = False,
) -> None:
    """Begin a log with a system file: what it says is how things stand at that time."""
    from ullage.cellar.other_events import HouseholdSet
    from ullage.errors import EventError
    from ullage.plan.begin import begin as begin_with
    from ullage.system.file import load_system

    system = load_system(file)
    text = file.read_bytes().decode("utf-8-sig")
    if desk.asked.planned:
        raise EventError("a log begins with facts; leave --planned out")
    store = desk.new_store
    if not again and any(isinstance(one, HouseholdSet) for one in log_of(store)):
        raise EventError(
            f"{store.where} holds a log already; give --again to take in what is new in {file}"
        )
    desk.say(store, begin_with(store, system, text, desk.asked.at, now()))


def household(
    desk: Desk,
    altitude: Annotated[str | None, typer.Option(help='Height above the sea, as "600 ft".')] = None,
    units: Annotated[str | None, typer.Option(help="us or metric.")] = None,
) -> None:
    """Say where the cellar stands, or the units to answer in."""
    from ullage import typed
    from ullage.cellar.household import household as known
    from ullage.cellar.other_events import HouseholdSet
    from ullage.errors import EventError
    from ullage.units import Kind, parse

    if altitude is None and units is None:
        raise EventError("give --altitude, or --units, or both")
    height = None if altitude is None else parse(altitude, Kind.ALTITUDE)
    system = typed.unit_system(units)
    before = known(log_of(desk.new_store))
    desk.write(
        HouseholdSet(
            altitude_m=before.altitude_m if height is None else height,
            units=system or before.units,
            **desk.when,
        ),
        fresh=True,
    )


def place(
    desk: Desk,
    name: Annotated[str, typer.Argument(help="Its name, as fridge.")],
    temperature: Annotated[str, typer.Argument(help='How it is kept, as "38 degF".')],
) -> None:
    """Name a place that things stand in, and how cold or warm it is kept from now on."""
    from ullage import typed
    from ullage.cellar.other_events import PlaceSet

    kelvin = typed.room_temperature(temperature)
    desk.write(PlaceSet(place=name, temperature_k=kelvin, **desk.when), fresh=True)


def batch(
    desk: Desk,
    name: Annotated[str, typer.Argument(help='Its name, as "Amber Ale".')],
    volumes: Annotated[str, typer.Argument(help='Carbonation wanted, as "2.4" or "5 g/L".')],
    style: Annotated[str, typer.Option(help="What kind of beer.")] = "",
    tolerance: Annotated[str, typer.Option(help="How far off still counts.")] = "0.2 vol",
    serve_at: Annotated[
        str | None, typer.Option(help='Temperature to serve at, as "42 degF".')
    ] = None,
    og: Annotated[float | None, typer.Option(help="Original gravity, as 1.052.")] = None,
    fg: Annotated[float | None, typer.Option(help="Final gravity, as 1.012.")] = None,
    abv: Annotated[str | None, typer.Option(help='Alcohol by volume, as "5.2 %".')] = None,
    brewed: Annotated[str | None, typer.Option(help="The day, as 2026-11-01.")] = None,
    packaged: Annotated[str | None, typer.Option(help="The day, as 2026-11-20.")] = None,
    ready_by: Annotated[str | None, typer.Option(help="Wanted by, as 2026-12-24.")] = None,
) -> None:
    """Describe a batch of beer and how it is wanted; a later word replaces an earlier one."""
    from ullage import typed
    from ullage.cellar.other_events import BatchDescribed

    percent = typed.percent(abv)
    desk.write(
        BatchDescribed(
            batch=name,
            style=style,
            target_vol=typed.volumes(volumes),
            tolerance_vol=typed.volumes(tolerance),
            serving_k=None if serve_at is None else typed.temperature(serve_at),
            og=og,
            fg=fg,
            abv=None if percent is None else percent / 100.0,
            brewed=typed.day(brewed),
            packaged=typed.day(packaged),
            ready_by=typed.day(ready_by),
            **desk.when,
        ),
        fresh=True,
    )


def keg(
    desk: Desk,
    name: Annotated[str, typer.Argument(help='What you call it, as "K1".')],
    kind: Annotated[str, typer.Option(help="Kind of keg.")] = "ball-lock-5gal",
    place: Annotated[
        str | None, typer.Option(help="Where it stands; left out: the only place.")
    ] = None,
    used: Annotated[
        bool,
        typer.Option("--used", help="It came used: upkeep wants seals, strip and test first."),
    ] = False,
) -> None:
    """A keg came into the cellar."""
    from ullage.cellar.keg_events import KegAcquired
    from ullage.plan import meant

    where = place or meant.place(desk.log, desk.asked.at)
    came_used = True if used else None
    desk.write(KegAcquired(keg=name, keg_kind=kind, place=where, used=came_used, **desk.when))
