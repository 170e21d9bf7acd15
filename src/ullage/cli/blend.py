"""A beer served by blended gas: the pressure, the blend, where it goes."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.options import Json
from ullage.cli.questions import Alcohol, Altitude, Temperature
from ullage.cli.saying import print_json, print_lines, refuse


def blend(
    temperature: Temperature,
    volumes: Annotated[str, typer.Option(help='Wanted level, as "1.2" or "2.4 g/L".')],
    co2: Annotated[str | None, typer.Option(help='CO2 in the blend, as "25 %".')] = None,
    pressure: Annotated[
        str | None, typer.Option(help='Gauge pressure to serve at, as "30 psi".')
    ] = None,
    tolerance: Annotated[str, typer.Option(help="By how many volumes it may miss.")] = "0.2",
    start: Annotated[
        str | None, typer.Option("--from", help="Volumes it holds now; left out: as wanted.")
    ] = None,
    altitude: Altitude = "0 ft",
    abv: Alcohol = None,
    keg: Annotated[str, typer.Option(help="Kind of keg.")] = "ball-lock-5gal",
    json: Json = False,
) -> None:
    """Tell the pressure for a blend of CO2 and nitrogen, or the blend for a pressure."""
    from ullage import typed, units
    from ullage.plan.blend import blended
    from ullage.plan.blend_answer import BlendQuestion

    if co2 is None and pressure is None:
        refuse("give --co2 to find the pressure, --pressure to find the blend, or both")
    answer = blended(
        BlendQuestion(
            temperature_k=typed.temperature(temperature),
            target_vol=typed.volumes(volumes),
            share=None if co2 is None else typed.co2_share(co2),
            gauge_pa=None if pressure is None else typed.gauge(pressure),
            tolerance_vol=typed.volumes(tolerance),
            from_vol=None if start is None else typed.volumes(start),
            altitude_m=units.parse(altitude, units.Kind.ALTITUDE),
            abv_percent=typed.percent(abv),
            keg_kind=keg,
        )
    )
    if json:
        print_json(answer)
        return
    from ullage.draw.blend_lines import blend_lines

    print_lines(blend_lines(answer, typed.units_of(temperature)))
