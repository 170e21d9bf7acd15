"""Labels for kegs, taps and cylinders, as a file to print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress, Units
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import log_of, now, opened, system_of

if TYPE_CHECKING:
    from ullage.draw.label_pages import LabelJob
    from ullage.plan.labels import Labelled
    from ullage.units import UnitSystem

KINDS = (".html", ".svg")


def labels(
    address: Annotated[
        str, typer.Option(help="Of the pages, as your phone reaches them: http://HOST:8420.")
    ],
    file: Annotated[
        Path | None, typer.Argument(help="A system file; left out: what your log knows.")
    ] = None,
    sheet: Annotated[
        str | None, typer.Option(help="Which sheet, as a4-70x37; default: plain paper to cut.")
    ] = None,
    of: Annotated[
        list[str] | None,
        typer.Option(help='keg, tap or cylinder, or one: "keg K1"; may be repeated; default: all.'),
    ] = None,
    start: Annotated[int, typer.Option(help="First label of a sheet partly used.")] = 1,
    copies: Annotated[int, typer.Option(help="Copies of each label.")] = 1,
    out: Annotated[
        Path, typer.Option(help="Where to: .html, all sheets in one file, or .svg, one each.")
    ] = Path("labels.html"),
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    store: StoreAddress = None,
    units: Units = None,
    json: Json = False,
) -> None:
    """Write labels with a code that opens the page of each keg, tap and cylinder on a phone."""
    from ullage.draw.label_pages import LabelJob, placed_labels
    from ullage.draw.label_sheet import label_sheet
    from ullage.draw.label_tag import tag_of
    from ullage.plan.labels import chosen
    from ullage.web.addresses import record_path
    from ullage.web.site_address import is_loopback, site_address

    site = site_address(address)
    things, household = _of_file(file) if file is not None else _of_log(store)
    shown = _units(units, household)
    wanted = chosen(things, [_thing(one) for one in of]) if of else things
    if not wanted:
        refuse("nothing to label: there is no such keg, tap or cylinder yet")
    plain = "letter-plain" if shown == "us" else "a4-plain"
    tags = tuple(tag_of(one, site + record_path(one.kind, one.name), shown) for one in wanted)
    job = LabelJob(label_sheet(sheet or plain), tags, start, copies)
    placed = placed_labels(job)
    files = _write(job, out, placed.pages, overwrite)
    if is_loopback(site):
        typer.echo(
            f"Mind: {site} leads only to the machine itself; a phone finds nothing there.", err=True
        )
    if json:
        print_json(placed)
        return
    count = len(placed.labels)
    print_lines(
        [
            f"Wrote {count} label{'' if count == 1 else 's'} ({placed.title}) to "
            f"{', '.join(str(one) for one in files)}. Print at 100 %, without margins."
        ]
    )


def _units(asked: str | None, household: UnitSystem) -> UnitSystem:
    from ullage import typed

    return typed.unit_system(asked) or household


def _thing(said: str) -> str:
    """`keg` or `keg K1` as it is chosen by: `keg`, `keg:K1`."""
    kind, _, name = said.strip().partition(" ")
    return f"{kind}:{name.strip()}" if name else kind


def _of_file(file: Path) -> tuple[tuple[Labelled, ...], UnitSystem]:
    from ullage.plan.labels import labelled
    from ullage.system.file import load_system

    system = load_system(file)
    return labelled(system, now()), system.units


def _of_log(store: str | None) -> tuple[tuple[Labelled, ...], UnitSystem]:
    from ullage.cellar.standing import standing
    from ullage.plan.labels import Written, labelled
    from ullage.plan.upkeep_changes import changes_of

    moment = now()
    with opened(store) as there:
        stands = standing(there, moment)
        written = Written(log_of(there), stands.now, changes_of(there))
        return labelled(system_of(there), moment, written), stands.home.units


def _write(job: LabelJob, out: Path, pages: int, overwrite: bool) -> list[Path]:
    """Write the file, or a drawing for each sheet; all are made before the first is written."""
    from ullage.draw.label_pages import label_svgs, labels_file

    if out.suffix.lower() not in KINDS:
        refuse(f"{out}: write labels as {' or '.join(KINDS)}")
    texts = [labels_file(job)] if out.suffix.lower() == ".html" else [*label_svgs(job)]
    more = [out.with_stem(f"{out.stem}-{number}") for number in range(2, pages + 1)]
    files = [out, *more][: len(texts)]
    for one in files:
        if one.exists() and not overwrite:
            refuse(f"{one} exists already: give another name, or --overwrite")
    for one, text in zip(files, texts, strict=True):
        one.write_text(text, encoding="utf-8")
    return files
