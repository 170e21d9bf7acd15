"""What a build needs: its parts list, the audit of a kit, growing it, what it costs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ullage.cli.options import Json, Units
from ullage.cli.saying import print_json, print_lines

SystemFile = Annotated[Path, typer.Argument(help="A system file (TOML).")]


def parts(file: SystemFile, units: Units = None, json: Json = False) -> None:
    """List what joins a system: what mates, what to buy, what does not fit."""
    from ullage import typed
    from ullage.plan.parts_list import parts_list
    from ullage.system.file import load_system

    system = load_system(file)
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
    file: SystemFile,
    taps: Annotated[int, typer.Option(min=1, max=24, help="How many taps there are to be in all.")],
    volumes: Annotated[
        str | None, typer.Option(help='Level of the beers to come, as "2.5"; default: the first.')
    ] = None,
    units: Units = None,
    json: Json = False,
) -> None:
    """Tell what more taps take: what to add, what must change."""
    from ullage import typed
    from ullage.plan.grow import grow as growth_of
    from ullage.system.file import load_system

    system = load_system(file)
    answer = growth_of(system, taps, None if volumes is None else typed.volumes(volumes))
    if json:
        print_json(answer)
        return
    from ullage.draw.build_lines import grow_lines

    print_lines(grow_lines(answer, typed.unit_system(units) or system.units))


def cost(
    file: SystemFile,
    prices: Annotated[
        Path | None, typer.Option(help="Your price book (TOML); left out: a blank one is printed.")
    ] = None,
    json: Json = False,
) -> None:
    """Tell what a build costs three ways, a pint, and kegs against bottles, by your prices.

    No price is built in: without --prices it prints a price book for you to fill in.
    """
    from ullage.plan.money import money
    from ullage.system.file import load_system
    from ullage.system.price_book import load_price_book

    system = load_system(file)
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
