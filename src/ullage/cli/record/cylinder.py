"""What happens to a cylinder, and leak tests of the gas side."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.record.writing import Cylinder, Desk

Tare = Annotated[str | None, typer.Option(help="Its empty weight, stamped on it (TW).")]
Net = Annotated[bool, typer.Option("--net", help="The weight is of the gas alone.")]
Weight = Annotated[
    str | None, typer.Option(help='What it weighs, as "19.4 lb", with --tare; left out: full.')
]


def cylinder(
    desk: Desk,
    name: Annotated[str, typer.Argument(help="What you call it, as main.")],
    size: Annotated[str, typer.Argument(help='Its size, as "10 lb".')],
    place: Annotated[str | None, typer.Option(help="Where it stands.")] = None,
    weight: Weight = None,
    tare: Tare = None,
    net: Net = False,
    co2: Annotated[
        str | None, typer.Option(help='CO2 in blended gas, as "25 %"; left out: straight CO2.')
    ] = None,
) -> None:
    """A cylinder put to use; full unless it was weighed."""
    from ullage import typed
    from ullage.cellar.other_events import CylinderConnected

    held = _held(weight, tare, net)
    desk.write(
        CylinderConnected(
            cylinder=name,
            size=size,
            contents_kg=held,
            place=place,
            co2_share=1.0 if co2 is None else typed.co2_share(co2),
            **desk.when,
        ),
        fresh=True,
    )


def cylinder_weighed(
    desk: Desk,
    weight: Annotated[str, typer.Argument(help='On the scale, regulator off: "19.4 lb".')],
    cylinder: Cylinder = None,
    tare: Tare = None,
    net: Net = False,
) -> None:
    """Its gas by weight: what the scale shows less its tare."""
    from ullage import typed
    from ullage.cellar.other_events import CylinderWeighed

    held = typed.gas_weight(weight, tare, net)
    desk.write(
        CylinderWeighed(
            cylinder=desk.cylinder(cylinder), contents_kg=held, tare_kg=_empty(tare), **desk.when
        )
    )


def cylinder_read(
    desk: Desk,
    pressure: Annotated[str, typer.Argument(help='What its gauge shows, as "820 psi".')],
    temperature: Annotated[str, typer.Option(help='How warm it is, as "68 degF".')],
    cylinder: Cylinder = None,
) -> None:
    """Its high-pressure gauge, and how warm it was."""
    from ullage import typed
    from ullage.cellar.other_events import CylinderRead

    gauge, warm = typed.cylinder_gauge(pressure), typed.room_temperature(temperature)
    desk.write(
        CylinderRead(
            cylinder=desk.cylinder(cylinder),
            gauge_pressure_pa=gauge,
            temperature_k=warm,
            **desk.when,
        )
    )


def cylinder_swapped(
    desk: Desk,
    cylinder: Cylinder = None,
    weight: Weight = None,
    tare: Tare = None,
    net: Net = False,
    tested: Annotated[
        str | None, typer.Option(help="The last test date stamped on it, as 2024-05-01.")
    ] = None,
    co2: Annotated[
        str | None, typer.Option(help='CO2 in what it holds now, as "25 %"; left out: as before.')
    ] = None,
) -> None:
    """Exchanged or refilled; full unless it was weighed."""
    from ullage import typed
    from ullage.cellar.other_events import CylinderSwapped

    alone = weight is None and not net
    held = None if alone else _held(weight, tare, net)
    desk.write(
        CylinderSwapped(
            cylinder=desk.cylinder(cylinder),
            contents_kg=held,
            tare_kg=_empty(tare),
            tested=typed.day(tested),
            co2_share=None if co2 is None else typed.co2_share(co2),
            **desk.when,
        )
    )


def leak_tested(
    desk: Desk,
    part: Annotated[str, typer.Argument(help='What was shut in, as "gas line of K1".')],
    start: Annotated[str, typer.Option("--from", help='The gauge at first, as "30 psi".')],
    end: Annotated[str, typer.Option("--to", help="The gauge at the end.")],
    duration: Annotated[str, typer.Option("--for", help='How long between, as "12 h".')],
    temperature: Annotated[str, typer.Option(help='How warm it was at first, as "68 degF".')],
    end_temperature: Annotated[
        str | None, typer.Option(help="And at the end; left out: as warm.")
    ] = None,
    cylinder: Cylinder = None,
) -> None:
    """Pressure shut in, and read again after a time."""
    from ullage import typed
    from ullage.cellar.other_events import LeakTested

    warm = typed.room_temperature(temperature)
    test = (typed.cylinder_gauge(start), typed.cylinder_gauge(end), typed.duration(duration))
    last = warm if end_temperature is None else typed.room_temperature(end_temperature)
    desk.write(
        LeakTested(
            cylinder=desk.cylinder(cylinder),
            part=part,
            start_gauge_pa=test[0],
            end_gauge_pa=test[1],
            duration_s=test[2],
            start_k=warm,
            end_k=last,
            **desk.when,
        )
    )


def _empty(tare: str | None) -> float | None:
    """The empty weight in kg, where it was told."""
    from ullage import typed

    return None if tare is None else typed.weight(tare)


def _held(weight: str | None, tare: str | None, net: bool) -> float | None:
    """The gas in it, in kg; `None`: full."""
    from ullage import typed
    from ullage.errors import UnitError

    if weight is None and (tare is not None or net):
        raise UnitError('give --weight too, what the scale shows, as "19.4 lb"')
    return None if weight is None else typed.gas_weight(weight, tare, net)
