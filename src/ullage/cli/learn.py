"""What the log teaches of this household's own constants; kept and dropped only when told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import log_of, now, opened, system_of

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.recording import Recorded
    from ullage.cellar.store import Store


def learn(
    keep: Annotated[
        list[str] | None,
        typer.Option(help='Go by this constant from now on: "gauge main", or all. Repeatable.'),
    ] = None,
    drop: Annotated[
        list[str] | None,
        typer.Option(help="Go by anybody's value of this constant again, or of all. Repeatable."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Every constant and every reading.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what your readings say of your own lines, gauges, scales, kegs and gas."""
    from ullage.plan.learn import learning

    if keep and drop:
        refuse("say --keep or --drop, one of them")
    moment = now()
    with opened(store) as there:
        done = _changed(there, keep, drop, moment)
        answer = learning(log_of(there), moment, system_of(there))
    if json:
        print_json(answer)
        return
    from ullage.draw.learn_lines import changed_lines, learn_lines

    if done is not None:
        print_lines(changed_lines(done))
        return
    print_lines(learn_lines(answer, everything=everything))


def _changed(
    store: Store, keep: list[str] | None, drop: list[str] | None, moment: datetime
) -> Recorded | None:
    """What was kept or dropped, if that was asked for."""
    from ullage.plan import learn_changes
    from ullage.plan.learn import learning

    if keep:
        learned = learning(log_of(store), moment, system_of(store))
        return learn_changes.keep(store, learned, keep, moment)
    return learn_changes.drop(store, drop, moment) if drop else None
