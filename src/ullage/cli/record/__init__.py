"""`ullage record`: write down what happened, or what is planned; a verb for each kind of event."""

from __future__ import annotations

import typer

from ullage.cli.record import brewing, cylinder, first, gas, keg, other, readings
from ullage.cli.record.writing import Verb, verb

__all__ = ["Verb", "app", "undo"]

undo = verb(other.undo)
app = typer.Typer(
    name="record",
    help="Write down what happened: one event, checked against the log first.",
    rich_markup_mode=None,
    no_args_is_help=True,
)

for _verb in (
    first.begin,
    first.household,
    first.place,
    first.batch,
    first.keg,
    brewing.brewed,
    brewing.gathering,
    keg.cleaned,
    keg.sanitised,
    gas.purged,
    keg.filled,
    gas.gas_on,
    gas.gas_off,
    gas.vented,
    gas.topped_up,
    gas.shaken,
    gas.primed,
    gas.spunding,
    keg.moved,
    keg.tapped,
    keg.poured,
    readings.weighed,
    readings.measured,
    keg.kicked,
    cylinder.cylinder,
    cylinder.cylinder_weighed,
    cylinder.cylinder_read,
    cylinder.cylinder_swapped,
    other.line_cleaned,
    other.line_replaced,
    cylinder.leak_tested,
    other.upkeep_done,
    other.note,
    other.undo,
):
    app.command(_verb.__name__.replace("_", "-"), cls=Verb)(verb(_verb))
