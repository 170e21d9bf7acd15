"""What was read off a keg: its weight, temperature, pressure, carbonation, a timed pint."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.record.writing import Desk, Keg


def weighed(
    desk: Desk,
    weight: Annotated[
        str, typer.Argument(help='As it stands, disconnects off: "18.3 kg", "40 lb gross".')
    ],
    keg: Keg = None,
) -> None:
    """Weighed, keg and all: that corrects how much beer is left."""
    from ullage import typed
    from ullage.cellar.keg_events import KegWeighed

    gross = typed.weight(weight)
    desk.write(KegWeighed(keg=desk.keg(keg, True), gross_kg=gross, **desk.when))


def measured(
    desk: Desk,
    keg: Keg = None,
    temperature: Annotated[str | None, typer.Option(help='Of the beer, as "38 degF".')] = None,
    pressure: Annotated[str | None, typer.Option(help='Of its head, as "12 psi".')] = None,
    volumes: Annotated[
        str | None, typer.Option(help='By a gauge on a shaken keg or sample, as "2.4".')
    ] = None,
    pint: Annotated[str | None, typer.Option(help='How long a US pint took, as "10 s".')] = None,
) -> None:
    """One reading or several: they correct what is worked out."""
    from ullage import typed
    from ullage.cellar.keg_events import Measured
    from ullage.errors import EventError

    if temperature is pressure is volumes is pint is None:
        raise EventError("give at least one of --temperature, --pressure, --volumes and --pint")
    readings = (
        None if temperature is None else typed.temperature(temperature),
        None if pressure is None else typed.gauge(pressure),
        None if volumes is None else typed.volumes(volumes),
        None if pint is None else typed.duration(pint),
    )
    desk.write(
        Measured(
            keg=desk.keg(keg, True),
            temperature_k=readings[0],
            gauge_pressure_pa=readings[1],
            level_vol=readings[2],
            pint_s=readings[3],
            **desk.when,
        )
    )
