"""Does it fit, from a system file or from what a tape measured."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, Units
from ullage.cli.saying import print_json, print_lines, refuse

if TYPE_CHECKING:
    from ullage.plan.fit_answer import FitAnswer, FitQuestion
    from ullage.units import UnitSystem

USUAL_KEG = "ball-lock-5gal"
USUAL_CYLINDER = "5 lb"


def fit(
    file: Annotated[
        Path | None, typer.Argument(help="A system file with [place.inside]; or give --inside.")
    ] = None,
    place: Annotated[
        str | None, typer.Option(help="Which place of the file; default: the one measured.")
    ] = None,
    inside: Annotated[
        str | None, typer.Option(help='Width x depth x height, as "25 in x 20 in x 30 in".')
    ] = None,
    step: Annotated[
        str | None,
        typer.Option(help='Its size and where, as "25 in x 8 in x 9 in back" or "… right".'),
    ] = None,
    lid: Annotated[bool, typer.Option("--lid", help="It opens on top, with a lid.")] = False,
    collar: Annotated[str | None, typer.Option(help="Height of a collar under the lid.")] = None,
    kegs: Annotated[
        str | None, typer.Option(help="How many, or most; default: the file's, or most.")
    ] = None,
    keg_kind: Annotated[str, typer.Option(help="Kind of keg for --kegs.")] = USUAL_KEG,
    cylinder: Annotated[
        str | None, typer.Option(help="inside or outside; default: the file's, or outside.")
    ] = None,
    size: Annotated[str | None, typer.Option(help='Size of the cylinder, as "10 lb".')] = None,
    between: Annotated[
        str, typer.Option(help="Least distance between things and to walls.")
    ] = "1/4 in",
    svg: Annotated[Path | None, typer.Option(help="Write the drawing into this file.")] = None,
    units: Units = None,
    json: Json = False,
) -> None:
    """Tell whether kegs and cylinder stand in a fridge, and where; or the most that do."""
    from dataclasses import replace

    from ullage import typed
    from ullage.plan.fit_answer import Wanted
    from ullage.plan.fit_text import distance

    outside = _outside(cylinder)
    if (file is None) == (inside is None):
        refuse("give a system file, or --inside with what a tape measured; one of them")
    if file is not None:
        question, shown = _of_file(file, place, outside)
    else:
        question, shown = _of_tape(inside or "", step, lid, collar, outside), None
    if size is not None:
        question = replace(question, cylinders=(Wanted("cylinder", size),))
    question = replace(question, between_m=distance(between))
    answer = _answer(question, kegs, keg_kind)
    in_units = typed.unit_system(units) or shown or _units_of(inside or "")
    if svg is not None:
        _write(answer, in_units, svg)
    if json:
        print_json(answer)
        return
    from ullage.draw.fit_lines import fit_lines

    print_lines(fit_lines(answer, in_units))


def _outside(cylinder: str | None) -> bool | None:
    if cylinder not in (None, "inside", "outside"):
        refuse("--cylinder is inside or outside")
    return None if cylinder is None else cylinder == "outside"


def _of_file(file: Path, place: str | None, outside: bool | None) -> tuple[FitQuestion, UnitSystem]:
    from ullage.plan.fit import question_of
    from ullage.system.file import load_system

    system = load_system(file)
    measured = [one.name for one in system.places if one.inside is not None]
    if place is None and len(measured) != 1:
        refuse(
            f"name the place with --place: {', '.join(measured)}"
            if measured
            else f"{file} describes no inside: add [place.inside] with width, depth and height"
        )
    return question_of(system, place or measured[0], outside), system.units


def _of_tape(
    inside: str, step: str | None, lid: bool, collar: str | None, outside: bool | None
) -> FitQuestion:
    from ullage.plan.fit_answer import FitQuestion, Wanted
    from ullage.plan.fit_text import inside_of

    room = inside_of(inside, step, lid=lid or collar is not None, collar=collar)
    there = (Wanted("cylinder", USUAL_CYLINDER),)
    return FitQuestion("fridge", room, (), there, outside is not False)


def _answer(question: FitQuestion, kegs: str | None, kind: str) -> FitAnswer:
    from dataclasses import replace

    from ullage.plan.fit import fit as answer_of
    from ullage.plan.fit import fit_most, kegs_of
    from ullage.plan.fit_case import MOST_THINGS

    if kegs == "most" or (kegs is None and not question.kegs):
        return fit_most(question, kind)
    if kegs is None:
        return answer_of(question)
    if not kegs.isdigit() or not 0 < int(kegs) <= MOST_THINGS:
        refuse(f"--kegs is a number from 1 to {MOST_THINGS}, or most")
    return answer_of(replace(question, kegs=kegs_of(kind, int(kegs))))


def _units_of(inside: str) -> UnitSystem:
    return "metric" if any(unit in inside for unit in ("mm", "cm", " m")) else "us"


def _write(answer: FitAnswer, units: UnitSystem, path: Path) -> None:
    from ullage.draw.fit_drawing import fit_drawing

    standing = answer.standing or next((one.standing for one in answer.most if one.standing), ())
    path.write_text(fit_drawing(answer, standing, units, standalone=True), encoding="utf-8")
    typer.echo(f"wrote {path}", err=True)
