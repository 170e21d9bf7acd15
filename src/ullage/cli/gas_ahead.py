"""Gas ahead: when each cylinder runs out, when to refill it, a spare, another size."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import log_of, now, opened, system_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ullage.plan.gas_ahead_sizes import GasPrices

Lead = Annotated[
    str, typer.Option(help='How long a refill takes, from the errand to the gas: "7d", "2 weeks".')
]


def gas_ahead(
    lead: Lead = "7d",
    prices: Annotated[
        Path | None, typer.Option(help="Your price book (TOML), to compare sizes of cylinders.")
    ] = None,
    refill: Annotated[
        list[str] | None,
        typer.Option(help='What a refill of a size costs: "5 lb=22", "10 lb=25-30". Repeat it.'),
    ] = None,
    requalification: Annotated[
        str | None, typer.Option(help="What the cylinder's test costs, every five years: 35.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell when each cylinder runs out, when to refill it, if it leaks, which size is cheapest."""
    from ullage import typed
    from ullage.cellar.household import household
    from ullage.plan.gas_ahead import gas_ahead as gas_ahead_of

    lead_s = typed.duration(lead)
    told = _prices(prices, refill or (), requalification)
    moment = now()
    with opened(store) as there:
        log, system = log_of(there), system_of(there)
    answer = gas_ahead_of(log, moment, lead_s, system, told)
    if json:
        print_json(answer)
        return
    from ullage.draw.gas_ahead_lines import gas_ahead_lines

    print_lines(gas_ahead_lines(answer, household(log).units))


def _prices(file: Path | None, refill: Sequence[str], requalification: str | None) -> GasPrices:
    """The prices of a price book, and those typed, which come before it."""
    from dataclasses import replace

    from ullage.plan.gas_ahead_prices import amount_of, refill_price
    from ullage.plan.gas_ahead_sizes import NO_PRICES, prices_of
    from ullage.system.price_book import load_price_book

    found = NO_PRICES if file is None else prices_of(load_price_book(file))
    typed = dict(map(refill_price, refill))
    tested = found.requalification if requalification is None else amount_of(requalification)
    return replace(found, refill={**found.refill, **typed}, requalification=tested)
