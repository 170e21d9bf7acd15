"""What is done with gas: purged, on and off, vented, topped up by hand, shaken in."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.record.writing import Cylinder, Desk, Keg

Pressure = Annotated[str, typer.Argument(help='What the gauge shows, as "12 psi" or "0.8 bar".')]


def purged(
    desk: Desk,
    pressure: Pressure,
    times: Annotated[int, typer.Option(min=1, max=100, help="How many times.")] = 5,
    keg: Keg = None,
) -> None:
    """The headspace charged with CO2 and vented, so many times."""
    from ullage import typed
    from ullage.cellar.keg_events import Purged

    gauge = typed.gauge(pressure)
    desk.write(Purged(keg=desk.keg(keg), cycles=times, gauge_pressure_pa=gauge, **desk.when))


def gas_on(
    desk: Desk,
    pressure: Pressure,
    keg: Keg = None,
    cylinder: Cylinder = None,
    stone: Annotated[
        bool, typer.Option("--stone", help="Through a carbonation stone, not from above.")
    ] = False,
) -> None:
    """Gas connected, or its pressure changed."""
    from ullage import typed
    from ullage.cellar.keg_events import GasOn

    gauge = typed.gauge(pressure)
    desk.write(
        GasOn(
            keg=desk.keg(keg, True),
            gauge_pressure_pa=gauge,
            cylinder=desk.cylinder(cylinder),
            contact="stone" if stone else "still",
            **desk.when,
        )
    )


def gas_off(desk: Desk, keg: Keg = None) -> None:
    """Gas shut, or its disconnect taken off."""
    from ullage.cellar.keg_events import GasOff

    desk.write(GasOff(keg=desk.keg(keg, True), **desk.when))


def vented(
    desk: Desk,
    pressure: Annotated[
        str, typer.Argument(help='What was left, as "5 psi"; left out: none.')
    ] = "0 psi",
    keg: Keg = None,
) -> None:
    """Head pressure let off."""
    from ullage import typed
    from ullage.cellar.keg_events import Vented

    left = typed.gauge(pressure)
    desk.write(Vented(keg=desk.keg(keg, True), gauge_pressure_pa=left, **desk.when))


def topped_up(desk: Desk, pressure: Pressure, keg: Keg = None, cylinder: Cylinder = None) -> None:
    """Charged by hand: gas on until the head stood at a pressure, and off again."""
    from ullage import typed
    from ullage.cellar.keg_events import ToppedUp

    gauge = typed.gauge(pressure)
    desk.write(
        ToppedUp(
            keg=desk.keg(keg, True),
            gauge_pressure_pa=gauge,
            cylinder=desk.cylinder(cylinder),
            **desk.when,
        )
    )


def shaken(
    desk: Desk,
    duration: Annotated[str, typer.Argument(help='How long, as "5 min".')],
    keg: Keg = None,
) -> None:
    """Rocked or rolled for a time, with the gas as it was."""
    from ullage import typed
    from ullage.cellar.keg_events import Shaken

    seconds = typed.shaking(duration)
    desk.write(Shaken(keg=desk.keg(keg, True), duration_s=seconds, **desk.when))


def primed(
    desk: Desk,
    weight: Annotated[str, typer.Argument(help='How much sugar, as "90 g" or "3.2 oz".')],
    sugar: Annotated[
        str,
        typer.Option(help="Which: table sugar (sucrose), corn sugar (dextrose), malt extract."),
    ] = "corn sugar",
    keg: Keg = None,
) -> None:
    """Sugar added, for the yeast to make CO2 from in the keg."""
    from ullage import typed
    from ullage.cellar.keg_events import Primed

    amount, kind = typed.sugar_weight(weight), typed.sugar(sugar)
    desk.write(Primed(keg=desk.keg(keg, True), sugar=kind, sugar_kg=amount, **desk.when))


def spunding(desk: Desk, pressure: Pressure, keg: Keg = None) -> None:
    """A spunding valve put on, that lets off all above a pressure; 0 psi: taken off."""
    from ullage import typed
    from ullage.cellar.keg_events import SpundingSet

    gauge = typed.gauge(pressure)
    desk.write(SpundingSet(keg=desk.keg(keg, True), gauge_pressure_pa=gauge, **desk.when))
