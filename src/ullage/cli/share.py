"""Several beers on few regulators: what to set, which keg hangs where, what one more gives."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress, Units
from ullage.cli.saying import print_json, print_lines

if TYPE_CHECKING:
    from ullage.system.model import System
    from ullage.system.price_book import PriceBook


def share(
    file: Annotated[
        Path | None, typer.Argument(help="A system file; left out: your log, as it stands now.")
    ] = None,
    regulators: Annotated[
        int | None,
        typer.Option(help="How many may be used, bought ones too, 1 to 12; default: those there."),
    ] = None,
    keep: Annotated[
        list[str] | None, typer.Option(help='A keg that stays where it is told, as "K1=regulator".')
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(help="What if all places with beer were as warm as this.")
    ] = None,
    carbonate: Annotated[
        str | None, typer.Option(help="The keg to carbonate while the others serve.")
    ] = None,
    prices: Annotated[
        Path | None, typer.Option(help="Your price book (TOML), for what one more costs.")
    ] = None,
    start: Annotated[
        str | None, typer.Option(help="When that begins, as 2026-11-25T18:00. Default: now.")
    ] = None,
    store: StoreAddress = None,
    units: Units = None,
    json: Json = False,
) -> None:
    """Share regulators out: the pressure of each, which keg hangs on which, what drifts."""
    from ullage import typed
    from ullage.plan.share import share as answer_of
    from ullage.plan.share_answer import ShareQuestion
    from ullage.plan.share_text import wishes_of

    question = ShareQuestion(
        regulators=regulators,
        keep=wishes_of(keep or ()),
        temperature_k=None if temperature is None else typed.temperature(temperature),
        carbonate=carbonate,
    )
    book, begin = _book(prices), typed.moment(start)
    system = _system(file, store)
    answer = answer_of(system, question, begin, book)
    if json:
        print_json(answer)
        return
    from ullage.draw.share_lines import share_lines
    from ullage.plan.clock import local_now

    print_lines(share_lines(answer, typed.unit_system(units) or system.units, local_now()))


def _book(prices: Path | None) -> PriceBook | None:
    from ullage.system.price_book import load_price_book

    return None if prices is None else load_price_book(prices)


def _system(file: Path | None, address: str | None) -> System:
    """The file's system, or that of the log as it stands now."""
    if file is not None:
        from ullage.system.file import load_system

        return load_system(file)
    from ullage.cli.stores import system_now

    return system_now(address)
