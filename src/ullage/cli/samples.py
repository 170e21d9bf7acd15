"""Readings of sensors at the terminal: how each stands, out to a table and in from one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ullage.cellar.naming import counted
from ullage.cli.files import STANDARD, say, written_text
from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import log_of, now, opened, units_of

app = typer.Typer(
    name="samples",
    help="Readings of sensors: how each stands, and all of them as a table (CSV).",
    rich_markup_mode=None,
    no_args_is_help=True,
)
MOST_TOLD = 10


@app.command()
def newest(store: StoreAddress = None, json: Json = False) -> None:
    """Show every sensor of the system file with its newest reading and what it wrote down."""
    from ullage.draw.sample_lines import sample_lines
    from ullage.plan.sensors_now import newest as as_data
    from ullage.plan.sensors_now import sensors_now

    with opened(store) as there:
        found, units = sensors_now(there, log_of(there)), units_of(there)
    if json:
        print_json({"sensors": [as_data(one, now()) for one in found]})
    else:
        print_lines(sample_lines(found, now(), units))


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A table with the columns that export writes.")],
    facts: Annotated[
        bool, typer.Option("--facts", help="Write down what they tell, as if they came now.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Take in the samples of a table; those that are here already are left out."""
    from ullage.errors import EventError
    from ullage.plan.sensed_table import read_table

    with file.open(encoding="utf-8", newline="") as table, opened(store) as there:
        try:
            done = read_table(there, table, now(), facts=facts)
        except EventError as wrong:
            raise EventError(f"{file}, {wrong}") from None
    for one in done.refused[:MOST_TOLD]:
        typer.echo(f"line {one.place}: {one.why}", err=True)
    for doubt in done.followed.doubts:
        typer.echo(f"{doubt.source}: not written down: {doubt.why}", err=True)
    wrote = len(done.followed.facts)
    say(
        f"took in {counted(done.new, 'sample')}; {done.known} here already, "
        f"{len(done.refused)} refused; wrote down {counted(wrote, 'fact')}",
        {"new": done.new, "known": done.known, "refused": len(done.refused), "facts": wrote},
        json,
    )


@app.command()
def export(
    file: Annotated[str, typer.Argument(help="Where to; - is the terminal.")] = STANDARD,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write every sample that is kept as a table, in SI; the log itself goes by ullage export."""
    from ullage.plan.sensed_table import write_table

    with opened(store) as there, written_text(file, overwrite) as to:
        rows = write_table(there, to)
    say(f"wrote {counted(rows, 'sample')}", {"samples": rows}, json, aside=file == STANDARD)
