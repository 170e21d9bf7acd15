"""Quick questions without a file: a pressure, a pour, a cylinder."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse

Altitude = Annotated[str, typer.Option(help='Height above the sea, as "600 ft".')]
Temperature = Annotated[str, typer.Option(help='Of the beer, as "38 degF" or "3 degC".')]
Alcohol = Annotated[str | None, typer.Option(help='Alcohol by volume, as "5.2 %".')]


def carbonate(
    temperature: Temperature,
    volumes: Annotated[str | None, typer.Option(help='Wanted level, as "2.5" or "5 g/L".')] = None,
    pressure: Annotated[str | None, typer.Option(help='Gauge pressure, as "12 psi".')] = None,
    altitude: Altitude = "0 ft",
    abv: Alcohol = None,
    fg: Annotated[float | None, typer.Option(help="Final gravity, as 1.012; with --abv.")] = None,
    start: Annotated[
        str | None, typer.Option("--from", help="Volumes at the start, as 0.8; with --for.")
    ] = None,
    duration: Annotated[
        str | None, typer.Option("--for", help='How long it stands, as "7d".')
    ] = None,
    keg: Annotated[str, typer.Option(help="Kind of keg.")] = "ball-lock-5gal",
    own: Annotated[
        str | None, typer.Option(help="A keg of your log: with what it keeps of your own.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Find the pressure for volumes, or the volumes for a pressure, and what a time reaches."""
    from ullage import typed, units
    from ullage.plan.what_if import CarbonateQuestion
    from ullage.plan.what_if import carbonate as answer_of

    if (volumes is None) == (pressure is None):
        refuse(
            "give --volumes to find the pressure, or --pressure to find the volumes; one of them"
        )
    if start is not None and duration is None:
        refuse("--from needs --for, the time it stands, as --for 7d")
    question = CarbonateQuestion(
        temperature_k=typed.temperature(temperature),
        target_vol=None if volumes is None else typed.volumes(volumes),
        gauge_pa=None if pressure is None else typed.gauge(pressure),
        altitude_m=units.parse(altitude, units.Kind.ALTITUDE),
        abv_percent=typed.percent(abv),
        final_gravity=fg,
        from_vol=None if start is None else typed.volumes(start),
        for_s=None if duration is None else typed.duration(duration),
        keg_kind=keg,
    )
    if own is not None:
        from ullage.cli.stores import system_now
        from ullage.plan.what_if_own import own_keg_of

        question = replace(question, own=own_keg_of(system_now(store), own))
    answer = answer_of(question)
    if json:
        print_json(answer)
        return
    from ullage.draw.lines import carbonate_lines

    print_lines(carbonate_lines(answer, typed.units_of(temperature)))


def pour(
    pressure: Annotated[str, typer.Option(help='Gauge pressure on the keg, as "12 psi".')],
    line: Annotated[
        str, typer.Option(help='As "10 ft x 3/16 in", pieces joined by +, material last.')
    ],
    rise: Annotated[
        str, typer.Option(help='Faucet above the middle of the keg, as "18 in".')
    ] = "18 in",
    temperature: Temperature = "38 degF",
    volumes: Annotated[
        str | None, typer.Option(help="Level of the beer; default: in balance.")
    ] = None,
    pint_in: Annotated[
        str | None, typer.Option(help='Find the length that pours a US pint in this time: "10s".')
    ] = None,
    tower: Annotated[
        str | None, typer.Option(help="Temperature of shank and faucet, if warmer.")
    ] = None,
    altitude: Altitude = "0 ft",
    abv: Alcohol = None,
    keg: Annotated[str, typer.Option(help="Kind of keg.")] = "ball-lock-5gal",
    own: Annotated[
        str | None, typer.Option(help="A tap of your log: with what it keeps of your own.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell how a line pours, or what length of it pours as wanted."""
    from ullage import typed, units
    from ullage.plan.line_text import parse_line
    from ullage.plan.what_if_tap import PourQuestion, pour_what_if

    question = PourQuestion(
        gauge_pa=typed.gauge(pressure),
        line=parse_line(line),
        temperature_k=typed.temperature(temperature),
        rise_m=units.parse(rise, units.Kind.LENGTH),
        carbonation_vol=None if volumes is None else typed.volumes(volumes),
        pint_s=None if pint_in is None else typed.duration(pint_in),
        tower_k=None if tower is None else typed.temperature(tower),
        altitude_m=units.parse(altitude, units.Kind.ALTITUDE),
        abv_percent=typed.percent(abv),
        keg_kind=keg,
    )
    us_or_metric, meanwhile = typed.units_of(pressure), None
    if own is not None:
        from ullage.cli.stores import system_now
        from ullage.plan.tap_serving import not_yet
        from ullage.plan.what_if_own import own_pour

        here = system_now(store)
        question = own_pour(question, here, own)
        meanwhile = not_yet(here, here.tap(own), us_or_metric) if own else None
    answer = pour_what_if(question)
    if meanwhile is not None:
        answer = replace(answer, cautions=(meanwhile, *answer.cautions))
    if json:
        print_json(answer)
        return
    from ullage.draw.lines import pour_lines

    print_lines(pour_lines(answer, us_or_metric))


def gas(
    cylinder: Annotated[str, typer.Option(help='Size of the cylinder, as "10 lb".')],
    mass: Annotated[
        str | None, typer.Option(help='CO2 in it (weight less tare), as "6.5 lb"; default: full.')
    ] = None,
    temperature: Annotated[str, typer.Option(help="Where the cylinder stands.")] = "68 degF",
    altitude: Altitude = "0 ft",
    without: Annotated[
        list[str] | None,
        typer.Option(help="What its gas does not do: carbonating, sanitiser or purging."),
    ] = None,
    own: Annotated[
        str | None, typer.Option(help="A cylinder of your log: with what it keeps of your own.")
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what a cylinder holds, what its gauge shows, and how many kegs it is good for."""
    from ullage import typed, units
    from ullage.plan.what_if_tap import GasQuestion, gas_what_if, gas_work

    question = GasQuestion(
        size=cylinder,
        mass_kg=None if mass is None else units.parse(mass, units.Kind.MASS),
        temperature_k=typed.room_temperature(temperature),
        altitude_m=units.parse(altitude, units.Kind.ALTITUDE),
        without=gas_work(without or ()),
    )
    if own is not None:
        from ullage.cli.stores import system_now
        from ullage.plan.what_if_own import own_gas

        question = own_gas(question, system_now(store), own)
    answer = gas_what_if(question)
    if json:
        print_json(answer)
        return
    from ullage.draw.lines import gas_lines

    print_lines(gas_lines(answer, typed.units_of(cylinder)))
