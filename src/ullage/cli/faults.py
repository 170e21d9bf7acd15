"""What is wrong: causes of what is seen, and leak tests."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, Moment, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import log_of, opened, system_of

if TYPE_CHECKING:
    from ullage.plan.fault_scene import FaultScene
    from ullage.plan.leak_answer import LeakAnswer

File = Annotated[
    Path | None, typer.Argument(help="A system file (TOML); left out: your log.", metavar="[FILE]")
]
Many = list[str] | None


def faults(
    file: File = None,
    seen: Annotated[
        str, typer.Option(help='What is seen, as "foam first glass"; several parted by commas.')
    ] = "",
    tap: Annotated[str, typer.Option(help="At which tap; default: the first with beer.")] = "",
    keg: Annotated[str, typer.Option(help="Or at which keg.")] = "",
    yes: Annotated[Many, typer.Option(help="A check whose answer is yes, by its name.")] = None,
    no: Annotated[Many, typer.Option(help="A check whose answer is no.")] = None,
    skip: Annotated[Many, typer.Option(help="A check that cannot be done now.")] = None,
    at: Moment = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Find out why a glass is foamy or flat: causes by probability, checks, fixes."""
    from ullage.plan.fault_finder import answers_from, find_faults, seen_from
    from ullage.system.fault_table import fault_table

    known = ", ".join(f'"{one.name}"' for one in fault_table().sights)
    found = seen_from(seen)
    if not found:
        refuse(f"say what is seen with --seen; one or more of {known}")
    answers = answers_from(yes or (), no or ())
    answer = find_faults(_scene(file, tap, keg, at, store), found, answers, skip or ())
    if json:
        print_json(answer)
        return
    from ullage.draw.faults_lines import faults_lines

    print_lines(faults_lines(answer))


def _scene(file: Path | None, tap: str, keg: str, at: str | None, store: str | None) -> FaultScene:
    from ullage import typed
    from ullage.plan.fault_finder import replayed
    from ullage.plan.fault_scene import scene_of
    from ullage.plan.present import present_system, told
    from ullage.system.file import load_system

    moment = typed.when(at)
    if file is not None:
        return scene_of(load_system(file), at=moment, tap=tap, keg=keg)
    with opened(store) as there:
        log, described = log_of(there), system_of(there)
    past = replayed(log, moment)
    system = present_system(described, past.now, told(log))
    return scene_of(system, at=moment, tap=tap, keg=keg, replayed=past)


leak = typer.Typer(name="leak", help="Leak tests: which one, hold, weigh, where to look next.")
Contents = Annotated[
    str | None, typer.Option(help='CO2 in the cylinder, as "5 lb": tells the days until empty.')
]
Time = Annotated[str, typer.Option(help='Between the two readings, as "12 h".')]


@leak.command()
def hold(
    start: Annotated[str, typer.Option(help='The gauge at the start, as "30 psi".')],
    end: Annotated[str, typer.Option(help="The gauge at the end.")],
    time: Time,
    volume: Annotated[str, typer.Option(help='Gas shut in, as "5 gal" for an empty keg.')],
    start_temperature: Annotated[str, typer.Option(help="Of the gas at the start.")] = "68 degF",
    end_temperature: Annotated[
        str | None, typer.Option(help="Of the gas at the end; default: as at the start.")
    ] = None,
    gauge_error: Annotated[
        str, typer.Option(help="How well the needle can be read: a quarter of its division.")
    ] = "0.3 psi",
    altitude: Annotated[str, typer.Option(help='Height above the sea, as "600 ft".')] = "0 ft",
    contents: Contents = None,
    json: Json = False,
) -> None:
    """Tell a leak from a pressure that was shut in and read again."""
    from ullage import typed, units
    from ullage.physics.atmosphere import ambient_pressure
    from ullage.plan.leaks import Hold, HoldErrors, Reading, pressure_hold

    warm = typed.room_temperature(start_temperature)
    cold = warm if end_temperature is None else typed.room_temperature(end_temperature)
    test = Hold(
        start=Reading(typed.gauge(start), warm),
        end=Reading(typed.gauge(end), cold),
        duration_s=typed.duration(time),
        volume_m3=units.parse(volume, units.Kind.VOLUME),
        contents_kg=_kg(contents),
        ambient_pa=ambient_pressure(units.parse(altitude, units.Kind.ALTITUDE)),
        errors=HoldErrors(gauge_pa=typed.gauge(gauge_error)),
    )
    _told(pressure_hold(test), start, json)


@leak.command()
def weigh(
    start: Annotated[str, typer.Option(help='The cylinder on the scale, as "21.4 lb".')],
    end: Annotated[str, typer.Option(help="The same later.")],
    time: Time,
    used: Annotated[str, typer.Option(help='CO2 that was used meanwhile, as "2 oz".')] = "0 oz",
    scale_error: Annotated[
        str, typer.Option(help="How well the scale repeats itself; half its step.")
    ] = "0.05 lb",
    contents: Contents = None,
    json: Json = False,
) -> None:
    """Tell a leak from two weighings of the cylinder."""
    from ullage import typed
    from ullage.plan.leaks import Weighings, weigh_test

    test = Weighings(
        start_kg=typed.weight(start),
        end_kg=typed.weight(end),
        duration_s=typed.duration(time),
        scale_kg=typed.weight(scale_error),
        used_kg=_kg(used) or 0.0,
        contents_kg=_kg(contents),
    )
    _told(weigh_test(test), start, json)


@leak.command()
def guide(
    contents: Annotated[str, typer.Option(help='CO2 in the cylinder, as "5 lb".')],
    empties: Annotated[
        str, typer.Option(help="How small a leak is looked for: one that empties it in this.")
    ] = "6 weeks",
    volume: Annotated[
        str, typer.Option(help="Gas shut in: gas lines and regulator, kegs off.")
    ] = "80 mL",
    gauge_error: Annotated[
        str, typer.Option(help="How well the needle can be read: a quarter of its division.")
    ] = "0.3 psi",
    scale_error: Annotated[
        str, typer.Option(help="How well the scale repeats itself; half its step.")
    ] = "0.05 lb",
    json: Json = False,
) -> None:
    """Tell which test to do, step by step, and when to read again."""
    from ullage import typed, units
    from ullage.plan.leak_guide import LeakQuestion, leak_guide
    from ullage.plan.leaks import HoldErrors

    found = leak_guide(
        LeakQuestion(
            contents_kg=units.parse(contents, units.Kind.MASS),
            empties_s=typed.duration(empties),
            volume_m3=units.parse(volume, units.Kind.VOLUME),
            errors=HoldErrors(gauge_pa=typed.gauge(gauge_error)),
            scale_kg=typed.weight(scale_error),
        ),
        typed.units_of(contents),
    )
    if json:
        print_json(found)
        return
    from ullage.draw.faults_lines import guide_lines

    print_lines(guide_lines(found))


@leak.command()
def where(
    file: Annotated[Path, typer.Argument(help="A system file (TOML).")],
    suspect: Annotated[
        Many, typer.Option(help='What is still under suspicion, as "keg K1"; default: all.')
    ] = None,
    json: Json = False,
) -> None:
    """Tell where to look next: the gas side halved at what can be shut."""
    from ullage.plan.halving import halve
    from ullage.system.file import load_system

    found = halve(load_system(file), suspect or None)
    if json:
        print_json(found)
        return
    from ullage.draw.faults_lines import split_lines

    print_lines(split_lines(found))


def _kg(text: str | None) -> float | None:
    from ullage import units

    return None if text is None else units.parse(text, units.Kind.MASS)


def _told(answer: LeakAnswer, text: str, json: bool) -> None:
    if json:
        print_json(answer)
        return
    from ullage import typed
    from ullage.draw.faults_lines import leak_lines

    print_lines(leak_lines(answer, typed.units_of(text)))
