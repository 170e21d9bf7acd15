"""The same answers in a terminal. Bad input: one line on stderr, exit 2, nothing written.

What a command needs is imported inside it: `ullage --version` and the quick questions must not
wait for libraries they do not use.
"""
# ruff: noqa: PLC0415

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from ullage._version import __version__
from ullage.errors import UllageError

app = typer.Typer(
    name="ullage",
    help="One physical model of your keg system: what to set, when it is ready, how it pours.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON, SI units.")]
Altitude = Annotated[str, typer.Option(help='Height above the sea, as "600 ft".')]
Temperature = Annotated[str, typer.Option(help='Of the beer, as "38 degF" or "3 degC".')]
Alcohol = Annotated[str | None, typer.Option(help='Alcohol by volume, as "5.2 %".')]
Host = Annotated[str, typer.Option(help="Address to serve at; leave it on loopback.")]
Port = Annotated[int, typer.Option(min=0, max=65535, help="Port to serve at; 0 picks a free one.")]
Units = Annotated[str | None, typer.Option(help="us or metric; default: the file's.")]


@app.callback(invoke_without_command=True)
def root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Answer questions about beer served from kegs."""
    if version:
        typer.echo(f"ullage {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@app.command()
def plan(
    file: Annotated[Path, typer.Argument(help="A system file (TOML).")],
    start: Annotated[
        str | None, typer.Option(help="When carbonation begins, as 2026-11-25T18:00. Default: now.")
    ] = None,
    units: Units = None,
    json: Json = False,
    svg: Annotated[Path | None, typer.Option(help="Write the charts into this folder.")] = None,
) -> None:
    """Give the whole answer for a system: set, carbonate, pour, gas, what does not fit."""
    from ullage import typed
    from ullage.plan.whole import whole_answer
    from ullage.system.file import load_system

    system = load_system(file)
    answer = whole_answer(system, start=typed.moment(start))
    shown = typed.unit_system(units) or system.units
    if svg is not None:
        _write_charts(answer, shown, svg)
    if json:
        _print_json(answer)
        return
    from ullage.draw.terminal import print_plan

    print_plan(answer, shown)


@app.command()
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
    json: Json = False,
) -> None:
    """Find the pressure for volumes, or the volumes for a pressure, and what a time reaches."""
    from ullage import typed, units
    from ullage.plan.what_if import CarbonateQuestion
    from ullage.plan.what_if import carbonate as answer_of

    if (volumes is None) == (pressure is None):
        _refuse(
            "give --volumes to find the pressure, or --pressure to find the volumes; one of them"
        )
    if start is not None and duration is None:
        _refuse("--from needs --for, the time it stands, as --for 7d")
    answer = answer_of(
        CarbonateQuestion(
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
    )
    if json:
        _print_json(answer)
        return
    from ullage.draw.lines import carbonate_lines

    _print_lines(carbonate_lines(answer, typed.units_of(temperature)))


@app.command()
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
    answer = pour_what_if(question)
    if json:
        _print_json(answer)
        return
    from ullage.draw.lines import pour_lines

    _print_lines(pour_lines(answer, typed.units_of(pressure)))


@app.command()
def gas(
    cylinder: Annotated[str, typer.Option(help='Size of the cylinder, as "10 lb".')],
    mass: Annotated[
        str | None, typer.Option(help='CO2 in it (weight less tare), as "6.5 lb"; default: full.')
    ] = None,
    temperature: Annotated[str, typer.Option(help="Where the cylinder stands.")] = "68 degF",
    altitude: Altitude = "0 ft",
    json: Json = False,
) -> None:
    """Tell what a cylinder holds, what its gauge shows, and how many kegs it is good for."""
    from ullage import typed, units
    from ullage.plan.what_if_tap import GasQuestion, gas_what_if

    question = GasQuestion(
        size=cylinder,
        mass_kg=None if mass is None else units.parse(mass, units.Kind.MASS),
        temperature_k=typed.room_temperature(temperature),
        altitude_m=units.parse(altitude, units.Kind.ALTITUDE),
    )
    answer = gas_what_if(question)
    if json:
        _print_json(answer)
        return
    from ullage.draw.lines import gas_lines

    _print_lines(gas_lines(answer, typed.units_of(cylinder)))


@app.command()
def serve(
    file: Annotated[Path | None, typer.Argument(help="A system file; default: the demo.")] = None,
    host: Host = "127.0.0.1",
    port: Port = 8420,
) -> None:
    """Serve the system's sheet as a page, on this machine only unless told otherwise."""
    from ullage import typed
    from ullage.system.demo import demo_system
    from ullage.system.file import load_system
    from ullage.web.serve import serve_system

    serve_system(demo_system(typed.today()) if file is None else load_system(file), host, port)


@app.command()
def demo(host: Host = "127.0.0.1", port: Port = 8420) -> None:
    """Answer for the demo system in the terminal, then serve its sheet."""
    from ullage import typed
    from ullage.draw.terminal import print_plan
    from ullage.plan.whole import whole_answer
    from ullage.system.demo import demo_system
    from ullage.web.serve import serve_system

    system = demo_system(typed.today())
    print_plan(whole_answer(system), system.units)
    serve_system(system, host, port)


def main() -> None:
    """Run the command line; every mistake of the caller ends in one line and exit 2."""
    try:
        code = app(standalone_mode=False)
    except UllageError as wrong:
        _refuse(str(wrong))
    except OSError as wrong:
        _refuse(f"{wrong.strerror or wrong}: {wrong.filename or 'the system refused'}")
    except (KeyboardInterrupt, typer.Abort):
        sys.exit(130)
    except Exception as wrong:
        sentence = getattr(wrong, "format_message", None)
        if sentence is None:
            raise
        _refuse(str(sentence()))
    sys.exit(code if isinstance(code, int) else 0)


def _refuse(sentence: str) -> NoReturn:
    one_line = " ".join(sentence.split())
    typer.echo(f"ullage: {one_line}", err=True)
    sys.exit(2)


def _print_json(answer: object) -> None:
    from ullage.plan.as_json import as_json

    typer.echo(as_json(answer))


def _print_lines(lines: list[str]) -> None:
    for line in lines:
        typer.echo(line)


def _write_charts(answer: Any, shown: Any, folder: Path) -> None:
    from ullage.draw.files import write_charts

    for path in write_charts(answer, shown, folder):
        typer.echo(f"wrote {path}", err=True)


if __name__ == "__main__":
    main()
