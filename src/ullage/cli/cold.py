"""How to keep kegs cold: set point, probe, pull-down, running cost."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.options import Json
from ullage.cli.questions import Temperature
from ullage.cli.saying import print_json, print_lines, refuse

MOST_KEGS = 50


def cold(
    temperature: Temperature,
    kegs: Annotated[int, typer.Option(help="How many warm kegs go in.")] = 1,
    keg: Annotated[str, typer.Option(help="Kind of keg.")] = "ball-lock-5gal",
    start: Annotated[
        str, typer.Option("--from", help="How warm the beer is that goes in.")
    ] = "68 degF",
    room: Annotated[str, typer.Option(help="How warm it is around the fridge.")] = "70 degF",
    differential: Annotated[
        str | None,
        typer.Option(help='The controller\'s swing, as "2 degF"; left out: chosen.'),
    ] = None,
    power: Annotated[
        str | None, typer.Option(help='Electric power while it runs, as "90 W".')
    ] = None,
    energy: Annotated[
        str | None, typer.Option(help='What a meter counts in a day, cold and shut: "1.1 kWh".')
    ] = None,
    cooling: Annotated[
        str | None, typer.Option(help='Heat it carries out, if rated, as "150 W".')
    ] = None,
    price: Annotated[str | None, typer.Option(help='Of a kWh, as "0.18 USD" or 0.31.')] = None,
    tower: Annotated[
        str | None, typer.Option(help="Temperature of tower or shank, if warmer.")
    ] = None,
    volumes: Annotated[str, typer.Option(help="Level of the beer, for --tower.")] = "2.5",
    json: Json = False,
) -> None:
    """Tell how to set a temperature controller, how long warm kegs take, what cold costs."""
    from ullage import typed, units
    from ullage.plan.cold import cold as answer_of
    from ullage.plan.cold_answer import ColdQuestion
    from ullage.plan.cold_text import difference, price_of

    if not 0 < kegs <= MOST_KEGS:
        refuse(f"--kegs is a number from 1 to {MOST_KEGS}")
    cost, currency = (None, "") if price is None else price_of(price)
    question = ColdQuestion(
        kegs=kegs,
        keg_kind=keg,
        start_k=typed.temperature(start),
        target_k=typed.temperature(temperature),
        room_k=typed.room_temperature(room),
        differential_k=None if differential is None else difference(differential),
        power_w=None if power is None else units.parse(power, units.Kind.POWER),
        energy_j_day=None if energy is None else units.parse(energy, units.Kind.ENERGY),
        cooling_w=None if cooling is None else units.parse(cooling, units.Kind.POWER),
        price_per_j=cost,
        currency=currency,
        tower_k=None if tower is None else typed.room_temperature(tower),
        target_vol=typed.volumes(volumes),
    )
    answer = answer_of(question)
    if json:
        print_json(answer)
        return
    from ullage.draw.cold_lines import cold_lines

    print_lines(cold_lines(answer, typed.units_of(temperature)))
