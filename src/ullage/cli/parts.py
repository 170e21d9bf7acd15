"""What a build needs: its parts list, the audit of a kit, growing it, what it costs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ullage.cli.options import Json, StoreAddress, Units
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import system_file

SystemFile = Annotated[Path, typer.Argument(help="A system file (TOML).")]
OrLog = Annotated[
    Path | None, typer.Argument(help="A system file (TOML); left out: the one that your log keeps.")
]


def parts(
    file: OrLog = None, store: StoreAddress = None, units: Units = None, json: Json = False
) -> None:
    """List what joins a system: what mates, what to buy, what does not fit."""
    from ullage import typed
    from ullage.plan.parts_list import parts_list

    system = system_file(file, store)
    listed = parts_list(system)
    if json:
        print_json(listed)
        return
    from ullage.draw.parts_lines import parts_lines

    print_lines(parts_lines(listed, typed.unit_system(units) or system.units))


def audit(file: SystemFile, json: Json = False) -> None:
    """Look through a ready-made kit: what to change, what is missing, and why.

    The kit is described as a system file: [[have]] is what the box holds, to_buy what it lacks.
    """
    from ullage.plan.audit import audit as audit_of
    from ullage.system.file import load_system

    answer = audit_of(load_system(file))
    if json:
        print_json(answer)
        return
    from ullage.draw.build_lines import audit_lines

    print_lines(audit_lines(answer))


def grow(
    taps: Annotated[int, typer.Option(min=1, max=24, help="How many taps there are to be in all.")],
    file: OrLog = None,
    volumes: Annotated[
        str | None, typer.Option(help='Level of the beers to come, as "2.5"; default: the first.')
    ] = None,
    store: StoreAddress = None,
    units: Units = None,
    json: Json = False,
) -> None:
    """Tell what more taps take: what to add, what must change."""
    from ullage import typed
    from ullage.plan.grow import grow as growth_of

    system = system_file(file, store)
    answer = growth_of(system, taps, None if volumes is None else typed.volumes(volumes))
    if json:
        print_json(answer)
        return
    from ullage.draw.build_lines import grow_lines

    print_lines(grow_lines(answer, typed.unit_system(units) or system.units))


def cost(
    file: OrLog = None,
    prices: Annotated[
        Path | None, typer.Option(help="Your price book (TOML); left out: a blank one is printed.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what a build costs three ways, a pint, and kegs against bottles, by your prices.

    No price is built in: without --prices it prints a price book for you to fill in.
    """
    from ullage.plan.money import money
    from ullage.system.price_book import load_price_book

    system = system_file(file, store)
    if prices is None:
        from ullage.draw.build_lines import blank_price_book
        from ullage.plan.parts_list import parts_list

        print_lines(blank_price_book(parts_list(system)))
        return
    answer = money(system, load_price_book(prices))
    if json:
        print_json(answer)
        return
    from ullage.draw.build_lines import money_lines

    print_lines(money_lines(answer))
